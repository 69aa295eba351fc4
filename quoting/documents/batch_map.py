"""Where each batch goes: every coloured area as a strip from its start to its end, cut where one batch ends.

An area of one plain rectangle is as long as its length, and each cut is called out from the start; of another it is
told about how far along which part the cut stands, or its share where no tape can be run. The strip is the area's true
surface, not its outline.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from quoting.core.mix_sheet import MixSheet, Stretch
from quoting.core.units import format_number
from quoting.documents.crew_figures import reach_text
from quoting.documents.crew_words import Pair, say
from quoting.documents.drawing import Circle, Drawing, Line, Primitive, Rect, Text, clean, shorten, width_of
from quoting.documents.tape_marks import Taped, mark_sign, mark_text

STRIP, GAP, HEAD = 44.0, 40.0, 20.0
ROUND = 15.0


def draw_batches(
    sheet: MixSheet, *, units: str, width_px: int, prefix: str = "batches", taped: Taped | None = None
) -> Drawing:
    """The strips of one sheet below each other, coat after coat."""
    things: list[Primitive] = []
    said: list[str] = []
    top = HEAD
    longest = max((_surface(rows) for rows in _strips(sheet).values()), default=Decimal(1))
    for (area, coat), rows in _strips(sheet).items():
        name = f"{area}, coat · capa {coat}" if sheet.coats > 1 else area
        things.append(Text(cls="t-name", x=2, y=top - 6, words=shorten(clean(name), 14, width_px - 10.0), size=14))
        width = max(120.0, float(_surface(rows) / longest) * (width_px - 12.0))
        things.append(Rect(cls="area", x=3, y=top, width=width, height=STRIP))
        beside = 0.0
        for number, stretch in rows:
            left = 3 + float(stretch.from_share) * width
            right = 3 + float(stretch.to_share) * width
            middle = (left + right) / 2
            if right - left >= 2 * ROUND + 2:
                things += _bubble(number, middle, top + STRIP / 2)
            else:  # no room within: the number stands under the strip, at its stretch
                middle = max(middle, beside + 9)
                beside = middle + 9
                words = str(number)
                things.append(Text(cls="t-key", x=middle, y=top + STRIP + 16, words=words, size=15, anchor="middle"))
            if stretch.to_share < 1:
                things.append(Line(cls="hid on", x1=right, y1=top - 4, x2=right, y2=top + STRIP + 5))
                words = _mark(stretch, units, taped or {})
                half = width_of(words, 12.5) / 2
                x = min(max(right, 2 + half), width_px - 2 - half)
                things.append(Text(cls="t-dim", x=x, y=top + STRIP + 17, words=words, size=12.5, anchor="middle"))
            said.append(f"batch {number}: {clean(area)} {_span(stretch, units, taped or {})}")
        top += STRIP + GAP
    return Drawing(
        width=width_px,
        height=int(top - GAP + 24),
        title=f"Where each batch goes: {clean(sheet.step)}",
        desc="; ".join(said)[:900] or "No batches.",
        primitives=tuple(things),
        prefix=prefix,
    )


def _strips(sheet: MixSheet) -> dict[tuple[str, int], list[tuple[int, Stretch]]]:
    strips: dict[tuple[str, int], list[tuple[int, Stretch]]] = {}
    for batch in sheet.batches:
        for stretch in batch.stretches:
            strips.setdefault((stretch.area, stretch.coat), []).append((batch.number, stretch))
    return strips


def _surface(rows: Sequence[tuple[int, Stretch]]) -> Decimal:
    return sum((stretch.surface for _number, stretch in rows), Decimal(0))


def _bubble(number: int, x: float, y: float) -> list[Primitive]:
    return [
        Circle(cls="bubble", cx=x, cy=y, r=ROUND),
        Text(cls="t-key", x=x, y=y + 6, words=str(number), size=17, anchor="middle"),
    ]


def _mark(stretch: Stretch, units: str, taped: Taped) -> str:
    if stretch.ends is not None:
        return reach_text(stretch.ends, units)
    return mark_sign(stretch, stretch.to_share, taped, units) or share_text(stretch.to_share)


def _span(stretch: Stretch, units: str, taped: Taped) -> str:
    begins, ends = span_texts(stretch, units, taped)
    return "all of it" if stretch.whole else f"from {begins.en} to {ends.en}"


def span_texts(stretch: Stretch, units: str, taped: Taped) -> tuple[Pair, Pair]:
    """Where a stretch begins and ends: along the length, about so far along a part, or as shares of the area."""
    if stretch.begins is not None and stretch.ends is not None:
        begins = "0" if stretch.begins == 0 else reach_text(stretch.begins, units)
        ends = reach_text(stretch.ends, units)
        return Pair(begins, begins), Pair(ends, ends)
    first, last = (_told(stretch, share, units, taped) for share in (stretch.from_share, stretch.to_share))
    return first, last


def _told(stretch: Stretch, share: Decimal, units: str, taped: Taped) -> Pair:
    percent = Pair(share_text(share), share_text(share))
    if share == 0:
        return say("mix.from_start")
    if share == 1:
        return say("mix.to_end")
    return mark_text(stretch, share, taped, units) or percent


def share_text(share: Decimal) -> str:
    """A share of an area in whole per cent."""
    return f"{format_number(share * 100, 0)}\u00a0%"
