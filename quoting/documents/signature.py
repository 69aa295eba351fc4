"""A drawn signature: a small PNG from the page, decoded in the limited child and written anew."""

from __future__ import annotations

from quoting.documents.picture import PictureRefused, rewrite_picture

LARGEST_SIGNATURE = 150_000
"""Bytes; a page of ours draws one of 5,000 to 20,000."""

PNG = b"\x89PNG\r\n\x1a\n"


class SignatureRefused(Exception):
    """What came is no drawing of our page."""

    def __init__(self) -> None:
        super().__init__(
            "The drawn signature can’t be read. Draw it again, or leave it out: your typed name is enough."
        )


def redraw(content: bytes) -> bytes:
    """The signature as a clean PNG. Raises SignatureRefused. Takes up to 20 seconds; never inside a transaction."""
    if len(content) > LARGEST_SIGNATURE or not content.startswith(PNG):
        raise SignatureRefused
    try:
        return rewrite_picture(content)
    except PictureRefused as refused:
        raise SignatureRefused from refused
