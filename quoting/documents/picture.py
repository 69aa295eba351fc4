"""Pictures that people bring: looked at, decoded and written anew in a limited child process, never in this one."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

LARGEST_FILE = 5 * 1024 * 1024
"""Bytes."""

MOST_PIXELS = 20_000_000
WIDEST = 1200
"""Pixels, across and down, of what is kept."""

SECONDS = 20
MEMORY_BYTES = 1 << 30

PROJECT = Path(__file__).resolve().parent.parent.parent
KEPT_VARIABLES = ("PATH", "LD_LIBRARY_PATH", "PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV", "TMPDIR")
BEGINNINGS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")
"""How a PNG and a JPEG file begin; the name of a file says nothing."""

SENTENCES = {
    "kind": "This is not a PNG or JPEG picture. Save the logo as one of the two.",
    "empty": "This file is empty.",
    "bytes": "This file is larger than 5 MB. Save the logo smaller.",
    "pixels": "This picture has more than 20 megapixels. Save it smaller: 1200 pixels across are enough.",
    "damaged": "This picture is damaged and can’t be read to its end. Save it anew.",
}


class PictureRefused(Exception):
    """A picture that is not taken; says why, and what would be right."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(SENTENCES[why])


def rewrite_picture(content: bytes) -> bytes:
    """The picture upright as a PNG of at most 1200 pixels a side, with nothing else that was in the file.

    Raises PictureRefused. Takes up to 20 seconds; never to be called inside a transaction.
    """
    if not content:
        raise PictureRefused("empty")
    if len(content) > LARGEST_FILE:
        raise PictureRefused("bytes")
    if not content.startswith(BEGINNINGS):
        raise PictureRefused("kind")
    try:
        return decode_apart("quoting.documents.picture_child", content)
    except ChildFailed as failed:
        raise PictureRefused(failed.why if failed.why in SENTENCES else "damaged") from failed


class ChildFailed(Exception):
    """The child that decodes gave nothing; `why` is the word it said, empty where it said none or took too long."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(why or "the picture was not decoded")


def decode_apart(module: str, content: bytes) -> bytes:
    """What the module, run as a limited child, makes of a file. Raises ChildFailed. Takes up to 20 seconds."""
    environment = {name: os.environ[name] for name in KEPT_VARIABLES if name in os.environ}
    try:
        done = subprocess.run(
            [sys.executable, "-m", module],
            input=content,
            capture_output=True,
            timeout=SECONDS,
            cwd=PROJECT,
            env=environment | {"LC_ALL": "C.UTF-8"},
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise ChildFailed("") from error
    if done.returncode == 0 and done.stdout:
        return done.stdout
    said = done.stderr.decode(errors="replace").strip()
    raise ChildFailed(said if said.isalpha() else "")
