"""From HTML to PDF: the only importer of WeasyPrint, and the one function that the rest of the house calls.

`render_pdf` runs in the web process and hands the paper to the press (see press_client and press). `Composer` is the
other end: it lives in the press, keeps the fonts and the parsed style sheet, and sets one paper in a forked, limited
child.
"""

import gc
import io
import logging
import re
import sys
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import Any

from PIL import Image

from quoting.documents.paper_check import check_paper
from quoting.documents.press_client import print_paper
from quoting.documents.press_order import (
    LARGEST_PIXELS,
    Order,
    PaperSize,
    PressDown,
    RenderRefused,
    RenderTooLarge,
    image_type,
)

STYLE_SHEET = Path(__file__).resolve().parent.parent / "static" / "quoting" / "paper.css"
NO_IMAGES: Mapping[str, bytes] = MappingProxyType({})

# dpi samples photographs down when they are embedded; no image cache is shared, which would print wrong sizes with it.
OPTIONS: Mapping[str, Any] = MappingProxyType({"pdf_variant": "pdf/ua-1", "dpi": 150})

SANS, SERIF = "Source Sans Pro", "Source Serif Pro"
STYLES = {
    "Regular": (400, "normal"),
    "It": (400, "italic"),
    "Semibold": (600, "normal"),
    "SemiboldIt": (600, "italic"),
    "Bold": (700, "normal"),
}
FONT_FILES = {
    f"font:{stem}-{style}.ttf": (family, style, files(package) / "files" / f"{stem}-{style}.ttf")
    for family, package, stem in (
        (SANS, "font_source_sans_pro", "SourceSansPro"),
        (SERIF, "font_source_serif_pro", "SourceSerifPro"),
    )
    for style in STYLES
}
"""The only fonts that may be in a PDF, by the address that the style sheet knows them by. TTF: nothing to unpack."""

UNPRINTABLE = re.compile(r'unsupported by fonts: "(.*)" \((.*)\)', re.DOTALL)


def render_pdf(
    html: str,
    *,
    document_date: datetime,
    images: Mapping[str, bytes] = NO_IMAGES,
    paper: PaperSize = "letter",
    accent: str | None = None,
    language: str = "en",
) -> bytes:
    """Print a paper: a tagged PDF (PDF/UA-1 conventions), the same bytes for the same arguments.

    `html` is a whole document with a title, made by Django's templates with escaping on; paper.css is the only style
    sheet and is added here. `images` are whole JPEG or PNG files by name; the paper shows one as `<img
    src="image:name" alt="…">`. `accent` is the firm's colour, darkened until it can be read. `document_date`, with a
    time zone, is the date in the PDF's metadata.

    Takes 0.1 to 2 seconds and may wait for its turn: never call it inside a transaction. Raises a PaperNotPrinted
    with a sentence to show: RenderRefused, RenderTimedOut, RenderTooLarge, RenderCrashed, PressBusy or PressDown.
    """
    return print_paper(
        Order(html=html, document_date=document_date, images=images, paper=paper, accent=accent, language=language)
    )


class Composer:
    """One font configuration and one parsed style sheet, kept as long as the press runs. Not safe to share between
    threads.
    """

    def __init__(self) -> None:
        weasyprint = _renderer()
        from weasyprint.text.fonts import FontConfiguration  # as late as the renderer itself

        self._weasyprint = weasyprint
        with _listening() as complaints:
            fonts = {address: _font_bytes(path) for address, (_, _, path) in FONT_FILES.items()}
            self._fonts = FontConfiguration()
            self._sheet = weasyprint.CSS(
                string=_font_faces() + STYLE_SHEET.read_text(encoding="utf-8"),
                font_config=self._fonts,
                url_fetcher=Fetcher(fonts),
            )
        if complaints:
            raise PressDown(f"The press can't use its fonts or its style sheet: {complaints[0]}")

    def set_paper(self, order: Order) -> bytes:
        """The PDF of one order. Raises RenderRefused at any unknown address and any warning of the renderer."""
        # BaseException by design of the renderer, so that nothing of its own swallows it.
        from weasyprint.urls import FatalURLFetchingError

        for name, data in order.images.items():
            _check_pixels(name, data)
        fetcher = Fetcher({f"image:{name}": data for name, data in order.images.items()})
        with _listening() as complaints, _uncollected():
            try:
                html = self._weasyprint.HTML(string=order.html, url_fetcher=fetcher)
                check_paper(html.etree_element)
                html.etree_element.set("lang", order.language)
                document = html.render(
                    font_config=self._fonts, stylesheets=[self._sheet, self._varied(order, fetcher)], **OPTIONS
                )
                document.metadata.created = document.metadata.modified = order.stamp
                pdf: bytes = document.write_pdf(**OPTIONS)
            except FatalURLFetchingError as error:
                raise RenderRefused(fetcher.refusal) from error
        if fetcher.refused:  # a drawing swallows even the fatal error and leaves a gap
            raise RenderRefused(fetcher.refusal)
        if complaints:
            raise RenderRefused(_plain(complaints[0]))
        strange = {font.family for font in document.fonts.values()} - {SANS, SERIF}
        if strange:
            raise RenderRefused(
                f"The paper would be set in a font that is not the house's own: {', '.join(sorted(strange))}."
            )
        return pdf

    def _varied(self, order: Order, fetcher: "Fetcher") -> Any:
        """The few rules that change from firm to firm."""
        rules = f"@page {{ size: {'A4' if order.paper == 'a4' else 'letter'} }}"
        if order.accent:
            rules += f" :root {{ --accent: {order.accent} }}"
        return self._weasyprint.CSS(string=rules, url_fetcher=fetcher)


class Fetcher:
    """Answers the renderer's requests from a fixed set of bytes; any other address ends the rendering.

    Deliberately not the renderer's own fetcher with things switched off: this one can't open a file or a connection.
    """

    _fail_on_errors = True  # the renderer asks for it: whatever goes wrong in here is fatal

    def __init__(self, known: Mapping[str, bytes]) -> None:
        self._known = known
        self.refused: list[str] = []

    def __call__(self, url: str) -> Any:
        urls = _renderer().urls
        data = self._known.get(url)
        if data is None:
            self.refused.append(url)
            raise urls.FatalURLFetchingError(url)
        return urls.URLFetcherResponse(url, data, {"Content-Type": image_type(data) or "font/ttf"})

    @property
    def refusal(self) -> str:
        """The sentence about the first address that was refused."""
        return f"The paper asks for “{self.refused[0][:80]}”, which is not one of its own images."


def _check_pixels(name: str, data: bytes) -> None:
    """Refuse an image by the size in its header, before anything decodes it."""
    try:
        with Image.open(io.BytesIO(data)) as picture:
            pixels = picture.width * picture.height
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise RenderRefused(f"The image “{name}” can't be read.") from error
    if pixels > LARGEST_PIXELS:
        raise RenderRefused(f"The image “{name}” is too large: 50 megapixels is the most.")


def _renderer() -> Any:
    """WeasyPrint. Imported when first used because it takes a second, and only the press sets papers."""
    with warnings.catch_warnings():
        # The press has no system fonts on purpose, a bare machine has none either: ours come with the style sheet.
        warnings.filterwarnings("ignore", message="No fonts configured in FontConfig")
        import weasyprint
    return weasyprint


class _Complaints(logging.Handler):
    """Keeps what the renderer and its font tools warn about."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.heard: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        cause = sys.exception()
        while (
            cause is not None
        ):  # pictures and drawings catch everything, memory included, and only log that they failed
            if isinstance(cause, MemoryError):
                raise RenderTooLarge
            cause = cause.__cause__ or cause.__context__
        self.heard.append(record.getMessage())


@contextmanager
def _listening() -> Iterator[list[str]]:
    """Collect every log record at WARNING or above of WeasyPrint and fontTools."""
    ear = _Complaints()
    loggers = [logging.getLogger(name) for name in ("weasyprint", "fontTools")]
    for logger in loggers:
        logger.addHandler(ear)
    try:
        yield ear.heard
    finally:
        for logger in loggers:
            logger.removeHandler(ear)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Hold the garbage collector back while a paper is set: it takes a tenth of the time and finds nothing to free."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _plain(complaint: str) -> str:
    """The renderer's first complaint as a sentence for the person who wrote the paper."""
    if letter := UNPRINTABLE.search(complaint):
        return f"The paper's fonts have no letter for “{letter[1]}” ({letter[2]}). Write it in another way."
    return f"The renderer found a fault in the paper: {complaint[:200]}"


def _font_faces() -> str:
    """One @font-face rule for every font file."""
    return "".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {STYLES[style][0]}; font-style: {STYLES[style][1]}; '
        f"src: url({address}) }}\n"
        for address, (family, style, _) in FONT_FILES.items()
    )


def _font_bytes(path: Any) -> bytes:
    """A font file, found out to be there and to be a TrueType font before the renderer could fall back to another."""
    try:
        data: bytes = path.read_bytes()
    except OSError as error:
        raise PressDown(f"The font {path.name} is missing. Install the packages of the lock file again.") from error
    if not data.startswith(b"\0\1\0\0"):
        raise PressDown(f"The font {path.name} is damaged. Install the packages of the lock file again.")
    return data
