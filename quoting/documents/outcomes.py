"""Counts drawn as dimension lines, a row each: what was won heavy, what was lost thin, what is open dashed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.documents.drawing import Drawing, Line, Primitive, Text, clean, shorten, width_of

ROW = 30.0
"""Height of a row, px."""

SIZE = 13.0
LONGEST_STEP = 48.0
"""px for one offer at most, so that one offer alone is no long line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A label, the three counts, and the figure at the end of its line."""

    label: str
    won: int = 0
    lost: int = 0
    open: int = 0
    figure: str = ""

    @property
    def count(self) -> int:
        return self.won + self.lost + self.open


def draw_rows(rows: Sequence[Row], *, width_px: int, title: str, desc: str, prefix: str) -> Drawing:
    """The rows below each other, all at one scale. Every figure stands in a table beside the drawing as well."""
    labels = [shorten(clean(row.label), SIZE, width_px * 0.4) for row in rows]
    left = max([width_of(label, SIZE) for label in labels], default=0.0) + 14
    room = max([width_of(clean(row.figure), SIZE) for row in rows], default=0.0) + 18
    most = max([row.count for row in rows], default=0)
    step = min((width_px - left - room) / most, LONGEST_STEP) if most else 0.0
    things: list[Primitive] = []
    for place, (row, label) in enumerate(zip(rows, labels, strict=True)):
        y = ROW * (place + 0.5)
        things.append(Text(cls="t-dim", x=0, y=y + 4, words=label, size=SIZE))
        end = left + row.count * step
        things += _line(row, left, y, step)
        cls = "t-area" if row.count else "t-note"
        things.append(Text(cls=cls, x=end + (10 if row.count else 0), y=y + 4, words=clean(row.figure), size=SIZE))
    height = int(ROW * len(rows)) + 2
    return Drawing(width=width_px, height=height, title=title, desc=desc, primitives=tuple(things), prefix=prefix)


def _line(row: Row, left: float, y: float, step: float) -> list[Primitive]:
    """The stretches of one row end to end, with oblique ticks at both ends."""
    if not row.count:
        return []
    things: list[Primitive] = []
    at = left
    for cls, count in (("work", row.won), ("dim", row.lost), ("hid", row.open)):
        if count:
            things.append(Line(cls=cls, x1=at, y1=y, x2=at + count * step, y2=y))
            at += count * step
    things += [Line(cls="tick", x1=x - 5, y1=y + 5, x2=x + 5, y2=y - 5) for x in (left, at)]
    return things
