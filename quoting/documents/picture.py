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
    environment = {name: os.environ[name] for name in KEPT_VARIABLES if name in os.environ}
    try:
        done = subprocess.run(
            [sys.executable, "-m", "quoting.documents.picture_child"],
            input=content,
            capture_output=True,
            timeout=SECONDS,
            cwd=PROJECT,
            env=environment | {"LC_ALL": "C.UTF-8"},
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise PictureRefused("damaged") from error
    if done.returncode == 0 and done.stdout:
        return done.stdout
    why = done.stderr.decode(errors="replace").strip()
    raise PictureRefused(why if why in SENTENCES else "damaged")
