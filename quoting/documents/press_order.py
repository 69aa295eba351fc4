"""What goes to the press and what comes back: an order, its verdict, and the ways in which a paper can fail.

The order crosses a socket to a process that prints what strangers typed, and its answer comes back the same way:
lengths, JSON and raw bytes, with a digest. Never pickle: a renderer that was taken over must not be able to run
anything in the web process.
"""

import hashlib
import json
import logging
import re
import socket
import struct
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Literal, Self

from quoting.documents.accent import readable_accent

LOG = logging.getLogger(__name__)

WALL_SECONDS = 20
"""How long one paper may take in all; also the limit of its processor time."""

MEMORY_BYTES = 1024**3
"""Address space of the process that sets one paper, its warm parent's 300 MB included."""

LARGEST_HTML = 4_000_000
"""Characters. A proposal of 40 pages has some 400,000."""

LARGEST_IMAGES = 60_000_000
"""Bytes of all images of one paper together."""

LARGEST_PIXELS = 50_000_000
"""Pixels of one image; what is uploaded has no more either."""

IMAGE_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}", re.ASCII)
LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*", re.ASCII)

PaperSize = Literal["letter", "a4"]


class PaperNotPrinted(Exception):
    """A paper could not be printed; `sentence` says why, in words for the person who asked for it."""

    sentence = "The paper could not be printed."

    def __init__(self, sentence: str = "") -> None:
        self.sentence = sentence or type(self).sentence
        super().__init__(self.sentence)


class RenderRefused(PaperNotPrinted):
    """The paper asks for something it may not have, or the renderer found a fault in it."""


class RenderTimedOut(PaperNotPrinted):
    """The paper was not set within the time allowed for one."""

    sentence = (
        f"The paper was stopped after {WALL_SECONDS} seconds: it is too long or too involved to set. "
        "Take out areas, photographs or text, and try again."
    )


class RenderTooLarge(PaperNotPrinted):
    """The paper needed more memory than one may have."""

    sentence = "The paper is too large to set: it needs more than a gigabyte of memory. Take out photographs or tables."


class RenderCrashed(PaperNotPrinted):
    """The process that set the paper ended without an answer."""

    sentence = (
        "The press broke off while it set this paper. Nothing was issued. "
        "If it happens again, tell whoever looks after the site."
    )


class PressBusy(PaperNotPrinted):
    """Two papers were being printed for all the time this one waited."""

    sentence = "Other papers are being printed. This one waited a minute for its turn; nothing was issued. Try again."


class PressDown(PaperNotPrinted):
    """The press could not be started, or does not answer."""

    sentence = "The press does not start. Nothing was issued. Whoever looks after the site finds the reason in its log."


FAILURES: dict[str, type[PaperNotPrinted]] = {
    kind.__name__: kind for kind in (RenderRefused, RenderTimedOut, RenderTooLarge, RenderCrashed, PressDown)
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One paper to print: its HTML, the images it shows, and what changes from firm to firm.

    `images` maps a name to the bytes of a JPEG or PNG; the paper shows it as `<img src="image:name" alt="…">`.
    `accent` is readable on white (see `readable_accent`). `document_date` is in UTC.
    """

    html: str
    document_date: datetime
    images: Mapping[str, bytes] = field(default_factory=dict)
    paper: PaperSize = "letter"
    accent: str | None = None
    language: str = "en"

    def __post_init__(self) -> None:
        if self.paper not in ("letter", "a4"):
            raise RenderRefused(f"“{self.paper}” is not a paper size here: letter or a4.")
        if not LANGUAGE.fullmatch(self.language):
            raise RenderRefused(f"“{self.language[:20]}” is not the tag of a language, as en or es-MX.")
        if self.document_date.tzinfo is None:
            raise RenderRefused("The date of the paper has no time zone.")
        if len(self.html) > LARGEST_HTML:
            raise RenderRefused("The paper is too long to print: it has more than four million characters.")
        if sum(map(len, self.images.values())) > LARGEST_IMAGES:
            raise RenderRefused("The photographs of this paper are too large together: 60 megabytes is the most.")
        for name, data in self.images.items():
            if not IMAGE_NAME.fullmatch(name):
                raise RenderRefused(
                    f"“{name[:40]}” can't be the name of an image on a paper: letters, digits, . _ - only."
                )
            if image_type(data) is None:
                raise RenderRefused(f"The image “{name}” is not a whole JPEG or PNG file.")
        if self.accent is not None:
            object.__setattr__(self, "accent", readable_accent(self.accent))

    @property
    def stamp(self) -> str:
        """The paper's date as its metadata write it: UTC, to the second."""
        return self.document_date.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")

    def send(self, line: socket.socket) -> None:
        """Write this order to a socket."""
        names = sorted(self.images)
        head = json.dumps(
            {
                "html": self.html,
                "date": self.stamp,
                "paper": self.paper,
                "accent": self.accent,
                "language": self.language,
                "images": [[name, len(self.images[name])] for name in names],
            }
        ).encode()
        line.sendall(struct.pack("!Q", len(head)) + head)
        for name in names:
            line.sendall(self.images[name])

    @classmethod
    def receive(cls, line: socket.socket) -> Self:
        """Read an order from a socket; EOFError if the other side goes away before its end."""
        (length,) = struct.unpack("!Q", _read(line, 8))
        head = json.loads(_read(line, length))
        return cls(
            html=head["html"],
            document_date=datetime.fromisoformat(head["date"]),
            paper=head["paper"],
            accent=head["accent"],
            language=head["language"],
            images={name: _read(line, size) for name, size in head["images"]},
        )


def send_pdf(line: socket.socket, pdf: bytes) -> None:
    """Answer an order with its paper. The digest comes first, so that half an answer is never taken for a whole one."""
    line.sendall(b"P" + struct.pack("!Q", len(pdf)) + hashlib.sha256(pdf).digest() + pdf)


def send_failure(line: socket.socket, failure: PaperNotPrinted, detail: str = "") -> None:
    """Answer an order with the reason why there is no paper; `detail` is for the log of the site."""
    body = json.dumps([type(failure).__name__, failure.sentence, detail[-4000:]]).encode()
    line.sendall(b"F" + struct.pack("!Q", len(body)) + hashlib.sha256(body).digest() + body)


def receive_answer(line: socket.socket) -> bytes:
    """Read the answer to an order: the PDF, or the failure raised. EOFError if there is none; RenderCrashed if it is
    half.
    """
    kind = _read(line, 1)
    try:
        (length,) = struct.unpack("!Q", _read(line, 8))
        digest = _read(line, 32)
        body = _read(line, length)
    except EOFError as error:
        raise RenderCrashed from error
    if hashlib.sha256(body).digest() != digest:
        raise RenderCrashed
    if kind == b"P":
        return body
    name, sentence, detail = json.loads(body)
    if detail:
        LOG.error("The press broke off:\n%s", detail)
    raise FAILURES.get(name, RenderCrashed)(sentence)


def image_type(data: bytes) -> str | None:
    """`image/jpeg` or `image/png` for a whole file of that kind, else None.

    The end is looked at too: the renderer prints half a photograph as grey, without a word.
    """
    if data.startswith(b"\xff\xd8\xff") and data.rstrip(b"\0").endswith(b"\xff\xd9"):
        return "image/jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n") and data.endswith(b"IEND\xaeB`\x82"):
        return "image/png"
    return None


def _read(line: socket.socket, length: int) -> bytes:
    """Exactly `length` bytes, or EOFError."""
    parts: list[bytes] = []
    while length:
        part = line.recv(min(length, 1 << 20))
        if not part:
            raise EOFError
        parts.append(part)
        length -= len(part)
    return b"".join(parts)
