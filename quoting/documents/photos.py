"""Photographs from a telephone: decoded in a limited child, turned upright, written anew in four sizes.

What comes in is JPEG, PNG, WebP or HEIC by content. What is kept is JPEG without place, time, telephone or profile; the
colours are brought to sRGB first, since colour is what the work is about.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from quoting.documents.picture import ChildFailed, decode_apart

LARGEST_FILE = 25 * 1024 * 1024
"""Bytes."""

MOST_PIXELS = 50_000_000

SIZES = {"full": 2400, "page": 960, "print": 1400, "small": 240}
"""Pixels of the longer side, at most; nothing is blown up."""

PRINT_BYTES = 190_000
"""Of the size for paper, so that a proposal with four photographs stays under 1 MB."""

HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}

SENTENCES = {
    "kind": "not a photograph that can be taken: send JPEG, PNG, WebP or HEIC.",
    "empty": "the file is empty.",
    "bytes": "larger than 25 MB. Send it smaller.",
    "pixels": "more than 50 megapixels. Send it smaller.",
    "damaged": "damaged, and can’t be read to its end. Send it again, or take it anew.",
}


class PhotoRefused(Exception):
    """A photograph that is not taken; the sentence goes on after the name of its file."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(SENTENCES[why])


@dataclass(frozen=True, slots=True, kw_only=True)
class Rewritten:
    """A photograph as it is kept: JPEG by the name of its size, and the pixels of the largest."""

    width: int
    height: int
    files: dict[str, bytes]

    @property
    def bytes(self) -> int:
        """Of all files together."""
        return sum(len(content) for content in self.files.values())


def check_before(content: bytes) -> None:
    """Refuse by size and first bytes, before anything is decoded. Raises PhotoRefused."""
    if not content:
        raise PhotoRefused("empty")
    if len(content) > LARGEST_FILE:
        raise PhotoRefused("bytes")
    if kind_of(content) is None:
        raise PhotoRefused("kind")


def kind_of(content: bytes) -> str | None:
    """What the first bytes say it is; the name of a file says nothing."""
    if content.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "WEBP"
    if content[4:8] == b"ftyp" and content[8:12] in HEIF_BRANDS:
        return "HEIF"
    return None


def rewrite_photo(content: bytes) -> Rewritten:
    """The photograph upright in four sizes, with nothing else that was in the file.

    Raises PhotoRefused. Takes up to 20 seconds; never to be called inside a transaction.
    """
    check_before(content)
    try:
        answer = decode_apart("quoting.documents.photos_child", content)
    except ChildFailed as failed:
        raise PhotoRefused(failed.why if failed.why in SENTENCES else "damaged") from failed
    head, _, rest = answer.partition(b"\n")
    told = json.loads(head)
    files = {}
    for size, length in told["lengths"]:
        files[size], rest = rest[:length], rest[length:]
    return Rewritten(width=told["width"], height=told["height"], files=files)
