"""Stretches as dimension lines: payments in proportion to their sums, and the days of the work with what they allow."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations
from typing import Literal

from quoting.documents.drawing import Box, Drawing, Line, Primitive, Text, around, clean, overlap, shorten, width_of

EDGE = 6.0
STAIR = 16.0
MOST_DAYS = 366

ON_ONE_ROW = 44.0
"""How far down the words of visits stand while each has its own day to stand at."""

GUTTER = 12.0
"""Between what is done and what is allowed, px."""

BESIDE = 5.0
"""How far from its line the words of a mark stand, px."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentStretch:
    """One payment: when it is due, its amount (which gives its length) and the amount as it is printed."""

    words: str
    amount: Decimal
    figure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayStretch:
    """A visit, or a time of drying, from the first day to the last, counted from 1, both included."""

    first: int
    last: int
    words: str
    kind: Literal["work", "hold"] = "work"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayMark:
    """From which day on, counted from 1, something may be done: walk on it, put the furniture back."""

    day: int
    words: str


def draw_payments(payments: Sequence[PaymentStretch], *, width_px: int, prefix: str = "payments") -> Drawing:
    """Payments end to end as one dimension line, each as long as its share; crowded labels step down."""
    shares = _shares([payment.amount for payment in payments])
    ends, at = [EDGE], EDGE
    for share in shares:
        at += share * (width_px - 2 * EDGE)
        ends.append(at)
    things: list[Primitive] = []
    above: list[Text] = []
    below: list[Text] = []
    for payment, left, right in zip(payments, ends, ends[1:], strict=False):
        middle = (left + right) / 2
        things.append(Line(cls="dim", x1=left, y1=0, x2=right, y2=0))
        figure = Text(cls="t-area", x=middle, y=-9, words=clean(payment.figure, most=24), size=13, anchor="middle")
        words = shorten(clean(payment.words), 12.5, width_px - 8.0)
        label = Text(cls="t-dim", x=middle, y=18, words=words, size=12.5, anchor="middle")
        above.append(_stepped(figure, above, width_px, -STAIR))
        below.append(_stepped(label, below, width_px, STAIR))
        for text, rest, others in ((above[-1], -9, above[:-1]), (below[-1], 18, below[:-1])):
            end = text.y + 3 if text.y < 0 else text.y - 11
            leader = Line(cls="ext", x1=middle, y1=4 if end > 0 else -4, x2=middle, y2=end)
            if text.y != rest and not any(overlap(_wider(leader.box), other.box) for other in others):
                things.insert(0, leader)
    for end in ends:
        things.append(Line(cls="tick", x1=end - 5, y1=5, x2=end + 5, y2=-5))
    told = ", ".join(f"{clean(payment.words)} {clean(payment.figure)}" for payment in payments)
    return _drawing([*things, *above, *below], width_px, "Payments", told or "No payments.", prefix)


def _shares(amounts: Sequence[Decimal]) -> list[float]:
    """Each amount's share of the whole; equal shares where there is nothing to share out."""
    sizes = [max(float(amount), 0.0) if amount.is_finite() else 0.0 for amount in amounts]
    whole = sum(sizes)
    return [size / whole if whole > 0 else 1 / len(sizes) for size in sizes]


def _stepped(text: Text, others: Sequence[Text], width: float, step: float) -> Text:
    """The text within the sheet, moved by `step` until it stands clear of the others."""
    left, _, right, _ = text.box
    text = replace(text, x=text.x + max(1 - left, 0.0) - max(right - (width - 1), 0.0))
    taken = [_wider(other.box) for other in others]
    while any(overlap(text.box, box) for box in taken):
        text = replace(text, y=text.y + step)
    return text


def _wider(box: Box) -> Box:
    return box[0] - 5, box[1], box[2] + 5, box[3]


def draw_days(
    stretches: Sequence[DayStretch],
    marks: Sequence[DayMark],
    *,
    width_px: int,
    days: int = 0,
    prefix: str = "days",
    title: str = "Days of the work",
) -> Drawing:
    """The days of the work on one line, from day 1 on: visits heavy, drying dashed, a line where a day allows more.

    What is done stands at its day where it has the room; where words would meet, all of them stand in rows below the
    line, each with its day. `days` is how many days are shown at least. No day is a date: those are agreed later.
    """
    last = max([days, 1, *(max(stretch.first, stretch.last) for stretch in stretches), *(mark.day for mark in marks)])
    last = min(last, MOST_DAYS)
    step = (width_px - 8.0) / last

    def starts(day: int) -> float:
        return 4 + (min(max(day, 1), last + 1) - 1) * step

    heads = _day_heads(last, step, {stretch.first for stretch in stretches if stretch.kind == "work"}, marks)
    things = [*heads, *_at_their_days(stretches, marks, starts, width_px, step, last)]
    if _meet(things):
        things = [*heads, *_in_rows(stretches, marks, starts, width_px, step, last)]
    return _drawing(things, width_px, title, _days_in_words(stretches, marks), prefix)


def _bar(stretch: DayStretch, starts: Callable[[int], float], step: float, last: int) -> Line:
    """The stroke of a visit or of a time of drying, on the line below the days."""
    left, right = starts(min(stretch.first, last)), starts(max(stretch.last, stretch.first) + 1)
    inset = min(6.0, step / 6) if stretch.kind == "work" else 1.0
    x1, x2 = left + inset, right - inset
    return Line(cls="work" if stretch.kind == "work" else "hid", x1=x1, y1=24, x2=max(x2, x1), y2=24)


def _meet(things: Sequence[Primitive]) -> bool:
    """Whether words meet others, or a line that stands upright, or need a second row below the visits."""
    words = [thing for thing in things if isinstance(thing, Text)]
    upright = [thing for thing in things if isinstance(thing, Line) and thing.cls == "dim" and thing.x1 == thing.x2]
    return (
        any(overlap(one.box, other.box) for one, other in combinations(words, 2))
        or any(overlap(text.box, _wider(line.box)) for text in words for line in upright if not _belongs(text, line))
        or any(text.cls in {"t-dim", "t-note"} and text.y > ON_ONE_ROW for text in words)
    )


def _belongs(text: Text, line: Line) -> bool:
    """Whether these are the words of this line: they begin or end beside it."""
    return text.anchor != "middle" and abs(text.x - line.x1) <= BESIDE


def _in_rows(
    stretches: Sequence[DayStretch],
    marks: Sequence[DayMark],
    starts: Callable[[int], float],
    width: float,
    step: float,
    last: int,
) -> list[Primitive]:
    """Strokes and short lines on the line of days; below it what is done, and what is allowed beside it if both fit."""
    things: list[Primitive] = [_bar(stretch, starts, step, last) for stretch in stretches]
    things += [Line(cls="dim", x1=starts(mark.day), y1=0, x2=starts(mark.day), y2=32) for mark in marks]
    kinds = {"work": "t-dim", "hold": "t-note"}
    done = [
        (_span(stretch).replace(" to ", "–"), stretch.words, kinds[stretch.kind])
        for stretch in sorted(stretches, key=lambda stretch: (stretch.first, stretch.last))
    ]
    allowed = [(f"from day {mark.day}", mark.words, "t-area") for mark in sorted(marks, key=_day)]
    columns = [column for column in (done, allowed) if column]
    needed = [_tab(rows) + max(width_of(clean(words), 12) for _, words, _ in rows) for rows in columns]
    beside = len(columns) > 1 and sum(needed) + GUTTER <= width - 8
    if not beside:
        columns = [[*done, *allowed]]
    for place, rows in enumerate(columns):
        left = 4 + place * (needed[0] + GUTTER)
        room = needed[place] if beside else width - 8
        tab = _tab(rows)
        for row, (day, words, cls) in enumerate(rows):
            y = 52.0 + 16 * row
            things.append(Text(cls="t-area", x=left, y=y, words=day, size=12))
            said = shorten(clean(words), 12, room - tab)
            things.append(Text(cls=cls, x=left + tab, y=y, words=said, size=12))
    return things


def _day(mark: DayMark) -> int:
    return mark.day


def _tab(rows: Sequence[tuple[str, str, str]]) -> float:
    """How far the words of these rows stand in, past the longest day."""
    return max((width_of(day, 12) for day, _, _ in rows), default=0.0) + 8


def _at_their_days(
    stretches: Sequence[DayStretch],
    marks: Sequence[DayMark],
    starts: Callable[[int], float],
    width_px: float,
    step: float,
    last: int,
) -> list[Primitive]:
    """Strokes and lines with their words at them."""
    things: list[Primitive] = []
    words: list[Text] = []
    for stretch in stretches:
        left, right = starts(min(stretch.first, last)), starts(max(stretch.last, stretch.first) + 1)
        bar = _bar(stretch, starts, step, last)
        work = stretch.kind == "work"
        said = shorten(clean(stretch.words), 12, width_px - 8.0)
        text = Text(cls="t-dim" if work else "t-note", x=(left + right) / 2, y=44, words=said, size=12, anchor="middle")
        on_line = replace(text, y=28)
        if not work and (right - left) - width_of(said, 12) > 24:  # drying is named on its line, between the visits
            things += [replace(bar, x2=on_line.box[0] - 5), replace(bar, x1=on_line.box[2] + 5), on_line]
            continue
        things.append(bar)
        words.append(_stepped(text, words, width_px, 15))
    ground = max([44.0, *(text.y for text in words)])
    placed = _mark_words(marks, starts, width_px, ground + 18)
    things += [Line(cls="dim", x1=x, y1=0, x2=x, y2=text.y) for x, text in placed]
    return [*things, *words, *(text for _, text in placed)]


def _mark_words(
    marks: Sequence[DayMark], starts: Callable[[int], float], width: float, rest: float
) -> list[tuple[float, Text]]:
    """Each mark's place and its words, right of its line where there is room, off the lines and words of the others."""
    texts = []
    for mark in marks:
        x, said = starts(mark.day), shorten(clean(mark.words), 12, width - 16.0)
        back = x + 5 + width_of(said, 12) > width - 1
        text = Text(cls="t-area", x=x - 5 if back else x + 4, y=rest, words=said, size=12)
        texts.append((x, replace(text, anchor="end" if back else "start")))
    # From the right, so that words which run under a later mark's line stand below its end.
    texts.sort(key=lambda pair: (pair[1].anchor == "end", -pair[0]))
    lines = [(x - 1, 0.0, x + 1, rest) for x, text in texts if text.anchor == "end"]
    placed: list[tuple[float, Text]] = []
    for x, words in texts:
        text = words
        taken = [_wider(other.box) for _, other in placed]
        taken += [(at - 1, 0.0, at + 1, other.y) for at, other in placed]
        taken += [line for line in lines if line[0] + 1 != x]
        while any(overlap(text.box, box) for box in taken):
            text = replace(text, y=text.y + 15)
        placed.append((x, text))
    return placed


def _day_heads(last: int, step: float, visits: set[int], marks: Sequence[DayMark]) -> list[Primitive]:
    """The line of days with a short stroke at each, and as many numbers as have room; days that matter are bold."""
    bold = visits | {mark.day for mark in marks}
    things: list[Primitive] = [Line(cls="dim", x1=4, y1=0, x2=4 + step * last, y2=0)]
    every = max(1, -(-26 // max(1, int(step))))
    taken: list[Box] = []
    told = [day for day in range(1, last + 1) if day in bold or (day - 1) % every == 0]
    for day in sorted(told, key=lambda day: (day != 1, day not in bold, day)):
        cls = "t-area" if day in bold else "t-dim"
        x = 4 + (day - 0.5) * step
        words = f"day {day}" if day == 1 else str(day)
        half = width_of(words, 12.5) / 2
        x = min(max(x, 2 + half), 7 + step * last - half)
        text = Text(cls=cls, x=x, y=-8, words=words, size=12.5, anchor="middle")
        if not any(overlap(_wider(text.box), box) for box in taken):
            taken.append(text.box)
            things.append(text)
    for day in range(1, last + 1) if step >= 3 else ():
        things.append(Line(cls="ext", x1=4 + (day - 1) * step, y1=0, x2=4 + (day - 1) * step, y2=6))
    return things


def _days_in_words(stretches: Sequence[DayStretch], marks: Sequence[DayMark]) -> str:
    told = [(stretch.first, f"{_span(stretch)} {clean(stretch.words)}") for stretch in stretches]
    told += [(mark.day, f"from day {mark.day} {clean(mark.words)}") for mark in marks]
    sentence = "; ".join(words for _, words in sorted(told, key=lambda pair: pair[0]))
    return f"{sentence[:1].upper()}{sentence[1:]}." if sentence else "No days."


def _span(stretch: DayStretch) -> str:
    return f"day {stretch.first}" if stretch.last <= stretch.first else f"days {stretch.first} to {stretch.last}"


def _drawing(things: list[Primitive], width: int, title: str, desc: str, prefix: str) -> Drawing:
    """The things moved into a sheet of this width, as high as they need."""
    _, top, _, bottom = around([thing.box for thing in things])
    moved = tuple(thing.moved(0, 3 - top) for thing in things)
    height = int(bottom - top) + 7
    return Drawing(width=width, height=height, title=title, desc=desc, primitives=moved, prefix=prefix)
