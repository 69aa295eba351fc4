"""What is owed, drawn as dimension lines: a row for each span of days, all at one scale; the oldest is heavy."""

from __future__ import annotations

from collections.abc import Sequence

from quoting.documents.drawing import Drawing, Line, Primitive, Text, clean, width_of

ROW = 30.0
SIZE = 13.0


def draw_ageing(rows: Sequence[tuple[str, int, str]], *, width_px: int, prefix: str) -> Drawing:
    """Rows of words, an amount in minor units that gives the length, and the amount as it is printed."""
    left = max([width_of(words, SIZE) for words, _amount, _figure in rows], default=0.0) + 14
    room = max([width_of(figure, SIZE) for _words, _amount, figure in rows], default=0.0) + 18
    most = max([amount for _words, amount, _figure in rows], default=0)
    things: list[Primitive] = []
    for place, (words, amount, figure) in enumerate(rows):
        y = ROW * (place + 0.5)
        things.append(Text(cls="t-dim", x=0, y=y + 4, words=clean(words), size=SIZE))
        if amount <= 0:
            things.append(Text(cls="t-note", x=left, y=y + 4, words="nothing", size=SIZE))
            continue
        end = left + (width_px - left - room) * amount / most
        cls = "work" if place == len(rows) - 1 else "dim on" if place else "dim"
        things.append(Line(cls=cls, x1=left, y1=y, x2=end, y2=y))
        things += [Line(cls="tick", x1=x - 5, y1=y + 5, x2=x + 5, y2=y - 5) for x in (left, end)]
        things.append(Text(cls="t-area", x=end + 10, y=y + 4, words=clean(figure), size=SIZE))
    told = "; ".join(f"{words}: {figure}" for words, _amount, figure in rows)
    return Drawing(
        width=width_px,
        height=int(ROW * len(rows)) + 2,
        title="What is owed by how long it has been due",
        desc=f"{told}.",
        primitives=tuple(things),
        prefix=prefix,
    )
