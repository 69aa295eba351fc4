"""Areas without a surveyed place, laid in rows on one scale, and the scale bar that goes with them."""

from __future__ import annotations

from math import floor, log10

from quoting.documents.drawing import Primitive, Rect, Text, around, width_of
from quoting.documents.plan_areas import Block
from quoting.documents.plan_words import Units

GAP = 28.0
BETWEEN = 22.0
LONGEST_BAR = 130.0
FOOT = 0.3048


def lay_rows(blocks: list[Block], bar: Block, width: float) -> list[Primitive]:
    """The blocks in their order, row by row, each row on one ground line; the bar in the last row with room for it."""
    rows: list[list[Block]] = []
    for block in blocks:
        if rows and sum(one.width + GAP for one in rows[-1]) + block.width <= width:
            rows[-1].append(block)
        else:
            rows.append([block])
    home = next((row for row in reversed(rows) if sum(one.width + GAP for one in row) + bar.width <= width), None)
    if home is None:
        rows.append([bar])
    else:
        home.append(bar)
    margin = max((-row[0].box[0] for row in rows if row[0] is not bar), default=0.0)
    things: list[Primitive] = []
    y = 0.0
    for row in rows:
        # Figures of all rows begin at one left edge where the row has room for that.
        indent = margin + row[0].box[0]
        used = sum(one.width for one in row) + GAP * (len(row) - 1)
        x = indent if used + indent <= width else 0.0
        y += max(-one.box[1] for one in row)
        for block in row:
            things += [thing.moved(x - block.box[0], y) for thing in block.things]
            x += block.width + GAP
        y += max(one.box[3] for one in row) + BETWEEN
    return things


def scale_bar(scale: float, units: Units) -> Block:
    """A bar of a round number of feet or metres, as long as goes into 130 px."""
    unit = FOOT if units == "us" else 1.0
    length = round_length(LONGEST_BAR / (scale * unit))
    whole = length * unit * scale
    pieces = 4 if _leading(length) == 2 else 5
    things: list[Primitive] = []
    for i in range(pieces):
        piece = whole / pieces
        things.append(Rect(cls="bar alt" if i % 2 else "bar", x=4 + piece * i, y=-18, width=piece, height=5))
    said = f"{length:g}" if length < 1 else f"{length:,.0f}"
    words = f"{said} {'ft' if units == 'us' else 'm'}"
    things.append(Text(cls="t-dim", x=4, y=1, words="0", size=12, anchor="middle"))
    end = max(4 + whole + 8, 16 + width_of(words, 12))
    things.append(Text(cls="t-dim", x=end, y=1, words=words, size=12, anchor="end"))
    return Block(things=tuple(things), box=around([thing.box for thing in things]))


def round_length(most: float) -> float:
    """The largest of 1, 2 and 5 times a power of ten that is not over `most`."""
    power = floor(log10(max(most, 1e-6)))
    return max(step * 10.0**power for step in (1, 2, 5) if step == 1 or step * 10.0**power <= most)


def _leading(length: float) -> int:
    return int(f"{length:e}"[0])
