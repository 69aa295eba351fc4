"""Reads a printed paper back: its text, its pages as pictures, its structure tree, its fonts, and what it lacks.

Text and pictures come from pypdfium2, structure from pikepdf. `ua_faults` holds the rules of PDF/UA-1 that can be
looked at by a program; it is no validator, and says so nowhere on a paper.
"""

import io
from collections.abc import Iterator
from dataclasses import dataclass, field

import pikepdf
import pypdfium2
from PIL import Image

HOUSE_FONTS = ("Source-Sans-Pro", "Source-Serif-Pro")


@dataclass(frozen=True, slots=True)
class Tag:
    """One element of the structure tree: its type (`H1`, `Table`, `Figure` …), alternative text, and what is in it."""

    name: str
    alt: str = ""
    children: tuple["Tag", ...] = field(default=())

    def walk(self) -> Iterator["Tag"]:
        """This element and all below it, in reading order."""
        yield self
        for child in self.children:
            yield from child.walk()


def pages_of(pdf: bytes) -> list[str]:
    """The text of each page, lines joined by one newline."""
    with _Opened(pdf) as document:
        return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document]


def text_of(pdf: bytes) -> str:
    """The text of all pages with every run of white space as one blank, so that a line break never hides a phrase."""
    return " ".join(" ".join(pages_of(pdf)).split())


def picture_of(pdf: bytes, page: int = 0, width: int = 850) -> Image.Image:
    """One page as a picture, `width` pixels wide."""
    with _Opened(pdf) as document:
        sheet = document[page]
        return sheet.render(scale=width / sheet.get_width()).to_pil().convert("RGB")


def size_of(pdf: bytes) -> tuple[int, int]:
    """Width and height of the first page in points, to the nearest one."""
    with _Opened(pdf) as document:
        width, height = document[0].get_size()
        return round(width), round(height)


def bookmarks_of(pdf: bytes) -> list[tuple[int, str]]:
    """The outline: depth (0 is the top) and words of every bookmark."""
    with _Opened(pdf) as document:
        return [(mark.level, mark.get_title()) for mark in document.get_toc()]


def structure_of(pdf: bytes) -> list[Tag]:
    """The top elements of the structure tree; [] for an untagged PDF."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        root = document.Root.get("/StructTreeRoot")
        return [] if root is None else [_tag(kid) for kid in _kids(root)]


def tags_of(pdf: bytes) -> list[Tag]:
    """Every element of the structure tree in reading order."""
    return [tag for top in structure_of(pdf) for tag in top.walk()]


def fonts_of(pdf: bytes) -> dict[str, bool]:
    """The name of every font, and whether it is embedded with a map back to text (ToUnicode)."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        return {str(font["/BaseFont"]).lstrip("/"): _sound(font) for font in _fonts(document)}


def facts_of(pdf: bytes) -> dict[str, str]:
    """Title, author, language and dates as the PDF states them."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        facts = {key.lstrip("/"): str(value) for key, value in document.docinfo.items()}
        return facts | {"Lang": str(document.Root.get("/Lang", ""))}


def colours_of(pdf: bytes) -> set[str]:
    """Every colour that fills or draws something on a page itself, as `#rrggbb`."""
    found = set()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            for operands, operator in pikepdf.parse_content_stream(page, "rg RG scn SCN sc SC"):
                if str(operator) in {"rg", "RG", "scn", "SCN", "sc", "SC"} and len(operands) == 3:
                    found.add("#" + "".join(f"{round(float(part) * 255):02x}" for part in operands))
    return found


def ua_faults(pdf: bytes, language: str = "en") -> list[str]:
    """What this paper lacks of PDF/UA-1, as far as a program can tell; [] when nothing was found."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        faults = [*_catalogue_faults(document, language), *_font_faults(document)]
    return faults + structure_faults(structure_of(pdf))


def structure_faults(tops: list[Tag]) -> list[str]:
    """Faults of a structure tree: its root, figures without words, headings that jump, tables without header cells."""
    faults = [] if [top.name for top in tops] == ["Document"] else ["the structure is not one tree under one document"]
    level = 0
    for tag in (tag for top in tops for tag in top.walk()):
        inside = {child.name for child in tag.walk()}
        if tag.name == "Figure" and not tag.alt.strip():
            faults.append("a figure has no alternative text")
        if tag.name == "Table" and "TH" not in inside:
            faults.append("a table has no header cells")
        if tag.name in {"H1", "H2", "H3", "H4", "H5", "H6"}:
            if int(tag.name[1]) > level + 1:
                faults.append(f"the headings jump from level {level} to {tag.name}")
            level = int(tag.name[1])
    return faults if level else [*faults, "there is no heading"]


def _catalogue_faults(document: pikepdf.Pdf, language: str) -> Iterator[str]:
    """Faults of the document as a whole."""
    root = document.Root
    if not root.get("/MarkInfo", {}).get("/Marked", False):
        yield "it is not marked as tagged"
    if str(root.get("/Lang", "")) != language:
        yield f"its language is {str(root.get('/Lang', 'missing'))!r}, not {language!r}"
    if not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle", False):
        yield "its title is not shown"
    with document.open_metadata() as metadata:
        if not str(metadata.get("dc:title", "")).strip():
            yield "it has no title"
        if str(metadata.get("pdfuaid:part", "")) != "1":
            yield "it does not say that it follows PDF/UA-1"
    if bytes(root.get("/Metadata", pikepdf.Stream(document, b"")).read_bytes()).count(b"<rdf:RDF") != 1:
        yield "its metadata are not one block"
    if "/Outlines" not in root:
        yield "it has no bookmarks"
    if "/EmbeddedFiles" in root.get("/Names", {}) or "/AF" in root:
        yield "it has attachments"
    if "/OpenAction" in root or "/AA" in root or "/JavaScript" in root.get("/Names", {}):
        yield "it does something when it is opened"
    if any(str(page.obj.get("/Tabs", "")) != "/S" for page in document.pages):
        yield "a page does not follow the structure when tabbed through"


def _font_faults(document: pikepdf.Pdf) -> Iterator[str]:
    """Faults of the fonts: strangers, and fonts that are not embedded or can't be read back as text."""
    for font in _fonts(document):
        name = str(font["/BaseFont"]).lstrip("/").partition("+")[2]
        if not name.startswith(HOUSE_FONTS):
            yield f"the font {name or font['/BaseFont']} is not the house's own"
        if not _sound(font):
            yield f"the font {name} is not embedded with its letters"


def _fonts(document: pikepdf.Pdf) -> list[pikepdf.Object]:
    """Every font object that stands for itself, not as a descendant of another."""
    return [
        thing
        for thing in document.objects
        if isinstance(thing, pikepdf.Dictionary)
        and thing.get("/Type") == "/Font"
        and "CIDFont" not in str(thing.get("/Subtype", ""))
    ]


def _sound(font: pikepdf.Object) -> bool:
    """Whether a font is embedded and its glyphs lead back to letters."""
    holders = list(font.get("/DescendantFonts", [font]))
    embedded = all(
        any(key in holder.get("/FontDescriptor", {}) for key in ("/FontFile", "/FontFile2", "/FontFile3"))
        for holder in holders
    )
    return embedded and "/ToUnicode" in font


def _kids(element: pikepdf.Object) -> list[pikepdf.Object]:
    """The structure elements right below one, leaving out marked content and references."""
    kids = element.get("/K", [])
    kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
    return [kid for kid in kids if isinstance(kid, pikepdf.Dictionary) and "/S" in kid]


def _tag(element: pikepdf.Object) -> Tag:
    """A structure element with all that is below it."""
    return Tag(
        str(element["/S"]).lstrip("/"),
        str(element.get("/Alt", "")),
        tuple(_tag(kid) for kid in _kids(element)),
    )


class _Opened:
    """A PDF as pypdfium2 sees it, closed again after use."""

    def __init__(self, pdf: bytes) -> None:
        self._document = pypdfium2.PdfDocument(pdf)

    def __enter__(self) -> pypdfium2.PdfDocument:
        return self._document

    def __exit__(self, *_: object) -> None:
        self._document.close()
