"""Keep what was shown: canonical JSON and the fingerprints by which it is known again."""

from __future__ import annotations

import hashlib
import json
import re
import zlib


def canonical_json(value: object) -> str:
    """JSON that is the same text for the same value: keys sorted, no blanks, no numbers but whole ones.

    Raises TypeError for a float: a figure on a paper is a string of digits, so that it reads back as it was written.
    """
    _refuse_floats(value)
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _refuse_floats(value: object) -> None:
    if isinstance(value, float):
        raise TypeError("a figure that is kept must be text or a whole number, never a float")
    if isinstance(value, dict):
        for key, item in value.items():
            if not isinstance(key, str):
                raise TypeError("a key that is kept must be text")
            _refuse_floats(item)
    elif isinstance(value, (list, tuple)):
        for item in value:
            _refuse_floats(item)


def sha256_of(content: str | bytes) -> str:
    """SHA-256 in hexadecimal, of text as UTF-8 or of bytes as they are."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


_STREAM = re.compile(rb"/Type\s*/ObjStm.*?stream\r?\n(.*?)\nendstream", re.DOTALL)
_PAGE = re.compile(rb"/Type\s*/Page(?![A-Za-z])")


def count_pages(pdf: bytes) -> int:
    """How many pages a PDF of the press has: its page objects, which stand plainly or in packed streams of objects."""
    # A packed stream may itself end in \r, so no \r before the end is taken off; what is over is passed over.
    packed = b"".join(zlib.decompressobj().decompress(found[1]) for found in _STREAM.finditer(pdf))
    return len(_PAGE.findall(_STREAM.sub(b"", pdf))) + len(_PAGE.findall(packed))
