"""The logo of the demo's firm: stones of a stamped slab, one of them coloured. Drawn here: no picture is kept."""

from __future__ import annotations

import io

from PIL import Image, ImageDraw

INK, PAPER = "#1d1b19", "#ffffff"
SIDE = 96
"""Units of the drawing each way; three of them to a joint."""

STONES = ((3, 3, 57, 30), (60, 3, 93, 48), (3, 33, 27, 63), (30, 33, 57, 93), (60, 51, 93, 93), (3, 66, 27, 93))
"""Left, top, right and bottom of each stone."""

COLOURED = 3


def draw_logo(accent: str, *, scale: int = 6) -> bytes:
    """A square PNG, `scale` pixels a unit, with one stone in the accent."""
    picture = Image.new("RGB", (SIDE * scale, SIDE * scale), INK)
    pencil = ImageDraw.Draw(picture)
    for place, (left, top, right, bottom) in enumerate(STONES):
        corners = (left * scale, top * scale, right * scale - 1, bottom * scale - 1)
        pencil.rectangle(corners, fill=accent if place == COLOURED else PAPER)
    kept = io.BytesIO()
    picture.save(kept, "PNG", optimize=True)
    return kept.getvalue()
