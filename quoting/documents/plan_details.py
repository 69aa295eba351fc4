"""What lies within and under a part: treads, base line and ordinates, voids, and what no dimension line can say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import hypot

from quoting.documents.drawing import Point, Text, clean, shorten, width_of
from quoting.documents.plan_dimensions import DimensionLine
from quoting.documents.plan_figures import Figure, Ordinate
from quoting.documents.plan_labels import NOTE, size_words
from quoting.documents.plan_parts import PlacedPart
from quoting.documents.plan_sketch import Sketch
from quoting.documents.plan_words import (
    Ellipse,
    Measured,
    Offsets,
    Rectangle,
    Steps,
    Units,
    area_figure,
    length_figure,
    short_figure,
)

SPECK = 14.0
"""px: a part smaller than this both ways has no room for dimension lines and is told in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """How an area is drawn: px a metre, units, the part being measured, the sheet's width, the prefix of ids; whether
    it is crowded (see Sketch).
    """

    scale: float
    units: Units
    highlight: int | None
    width: float
    prefix: str
    crowded: bool = False


def inner_lines(sketch: Sketch, one: PlacedPart, figure: Figure, hand: Hand, *, attached: bool) -> None:
    """Treads, base line and ordinates."""
    for p, q in figure.treads:
        if abs(figure.box[3] - figure.box[1]) / (len(figure.treads) + 1) >= 3:
            sketch.line("area tread", p, q)
            sketch.line("ext", (p[0], p[1] - 2.5), (q[0], q[1] - 2.5))
    if not figure.base:
        return
    if attached:
        sketch.line("base hid", *figure.base)
    _ordinates(sketch, one, figure, hand)
    if attached and isinstance(one.part.shape, Offsets) and len(figure.ordinates) > 1:
        _spacing(sketch, one.part.shape.spacing, figure, hand, marked=one.part.mark == "spacing")


def _ordinates(sketch: Sketch, one: PlacedPart, figure: Figure, hand: Hand) -> None:
    """Each offset from foot to head with its figure above the curve; where they crowd, some figures are left out."""
    for ordinate in figure.ordinates:
        if ordinate.value > 0:
            marked = one.part.mark in {ordinate.key, "offsets"}
            sketch.line("ord on" if marked else "ord", ordinate.foot, ordinate.head)
            sketch.occupy(ordinate.foot, ordinate.head, 2)
    highest = max(figure.ordinates, key=lambda o: o.value, default=None)
    ranked = sorted(figure.ordinates, key=lambda o: (o.key != one.part.mark, o is not highest))
    step = _every(figure, hand)
    anchor_at = figure.ordinates.index(highest) if highest in figure.ordinates else 0
    for ordinate in ranked:
        kept = (figure.ordinates.index(ordinate) - anchor_at) % step == 0 or ordinate.key == one.part.mark
        if ordinate.value > 0 and kept:
            text = _ordinate_words(figure, ordinate, hand.units, hand=one.part.mark in {ordinate.key, "offsets"})
            if sketch.is_free([text.box]):
                sketch.write(text)


def _every(figure: Figure, hand: Hand) -> int:
    """Every which offset has room for its figure."""
    if len(figure.ordinates) < 2:
        return 1
    (x0, y0), (x1, y1) = figure.ordinates[0].foot, figure.ordinates[1].foot
    level = abs(x1 - x0) > abs(y1 - y0)
    need = (
        max((width_of(length_figure(o.value, hand.units), 12) for o in figure.ordinates), default=0) + 4
        if level
        else 15.0
    )
    return max(1, -(-int(need) // max(1, int(hypot(x1 - x0, y1 - y0)))))


def _ordinate_words(figure: Figure, ordinate: Ordinate, units: Units, *, hand: bool) -> Text:
    """The figure of an offset, far enough out to clear the curve over its whole width."""
    words = length_figure(ordinate.value, units)
    (fx, fy), (hx, hy) = ordinate.foot, ordinate.head
    cls, half = "t-hand" if hand else "t-dim", width_of(words, 12) / 2
    if abs(hy - fy) >= abs(hx - fx):
        near = [y for x, y in _curve(figure) if abs(x - hx) <= half]
        up = hy < fy
        y = min([hy, *near]) - 5 if up else max([hy, *near]) + 14
        return Text(cls=cls, x=hx, y=y, words=words, size=12, anchor="middle")
    near = [x for x, y in _curve(figure) if abs(y - hy) <= 8]
    if hx > fx:
        return Text(cls=cls, x=max([hx, *near]) + 6, y=hy + 4, words=words, size=12)
    return Text(cls=cls, x=min([hx, *near]) - 6, y=hy + 4, words=words, size=12, anchor="end")


def _curve(figure: Figure) -> tuple[Point, ...]:
    """The ring without its base line."""
    return figure.ring[2:]


def _spacing(sketch: Sketch, spacing: Decimal, figure: Figure, hand: Hand, *, marked: bool) -> None:
    """The spacing of the offsets, once, between two of them, on the other side of the base line."""
    middle = (len(figure.ordinates) - 1) // 2
    first, second = figure.ordinates[max(middle - 1, 0)].foot, figure.ordinates[max(middle, 1)].foot
    words = length_figure(spacing, hand.units)
    line = DimensionLine(first, second, words, 20, marked)
    text = line.words
    if abs(line.turn) < 1:
        line = replace(line, off=18)
        text = replace(line.words, y=line.words.y + 18)
    if not sketch.is_clear(text):
        sketch.key(f"offsets every {words}", ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2), hand=marked)
        return
    for foot, end in zip((line.p, line.q), line.ends, strict=True):
        sketch.line("ext", foot, end)
    blank = replace(line, figure="")
    blank.draw(sketch)
    sketch.write(text, cleared=True)


def draw_void(sketch: Sketch, figure: Figure) -> None:
    """What is taken out: a dashed outline on cleared ground with a cross."""
    sketch.fill("void", figure.edges)
    left, top, right, bottom = figure.box
    k = 0.5 - 0.5 * 2**-0.5 if figure.round else 0.0
    dx, dy = (right - left) * k, (bottom - top) * k
    sketch.line("ext", (left + dx, top + dy), (right - dx, bottom - dy))
    sketch.line("ext", (left + dx, bottom - dy), (right - dx, top + dy))
    sketch.taken.append((left, top, right, bottom))


def write_notes(sketch: Sketch, one: PlacedPart, figure: Figure, units: Units, untold: Sequence[str] = ()) -> None:
    """What a dimension line cannot say: treads and risers, an angle, a shape nobody measured, how many there are.
    What of it has no room goes into the key, with the figures that are `untold` yet.
    """
    left, top, right, bottom = figure.box
    middle = (left + right) / 2
    shape, notes = one.part.shape, []
    cls = "t-hand" if one.part.mark in {"count", "tread", "riser", "angle", "area"} else "t-dim"
    if isinstance(shape, Steps):
        notes.append(f"{shape.count} × {short_figure(shape.tread, units)}, rise {short_figure(shape.riser, units)}")
    if figure.angle:
        notes.append(f"{figure.angle[1].normalize():f}°")
    if one.part.count > 1:
        notes.append(f"{one.part.count} of these")
    if isinstance(shape, Measured):
        words = "shape not measured"
        text = Text(cls="t-note", x=middle, y=bottom - 10, words=words, size=NOTE, anchor="middle")
        if right - left > width_of(words, NOTE) + 8 and bottom - top > 40 and sketch.is_clear(text):
            sketch.write(text, cleared=True)
        else:
            notes.append(words)
        if one.part.mark:
            notes.append(area_figure(shape.size, units))
    y = bottom + 16
    both = len(untold) == 2 and isinstance(shape, Rectangle | Ellipse)
    left_over = [" × ".join(untold)] if both else list(untold)
    for note in notes:
        text = Text(cls=cls, x=middle, y=y, words=shorten(clean(note), 12, 190), size=12, anchor="middle")
        spots = [replace(text, y=y + 14 * step) for step in range(6)]
        free = next((spot for spot in spots if sketch.is_free([spot.box])), None)
        if free is None or (sketch.crowded and width_of(text.words, 12) > right - left):
            left_over.append(note)
            continue
        sketch.write(free)
        y = free.y + 15
    if left_over:
        name = clean(one.part.name, most=24)
        sketch.key(
            ", ".join([name, *left_over] if name else left_over), (middle, (top + bottom) / 2), hand=bool(one.part.mark)
        )


def is_speck(figure: Figure) -> bool:
    """Whether a part is too small for dimension lines."""
    left, top, right, bottom = figure.box
    return right - left < SPECK and bottom - top < SPECK and not figure.base


def write_size(sketch: Sketch, one: PlacedPart, figure: Figure, units: Units) -> None:
    """The name and the size of a speck, beside it."""
    left, top, right, bottom = figure.box
    x, y = (left + right) / 2, (top + bottom) / 2
    name, size = clean(one.part.name, most=24), size_words(one, units)
    words = ", ".join(word for word in (name, size) if word)
    cls = "t-hand" if one.part.mark else "t-dim"
    places = (
        (right + 7, y + 4.5, "start"),
        (x, bottom + 16, "middle"),
        (x, top - 7, "middle"),
        (left - 7, y + 4.5, "end"),
    )
    texts = [Text(cls=cls, x=px, y=py, words=words, size=NOTE, anchor=anchor) for px, py, anchor in places]
    ends = {text: ((text.box[0], y), (text.box[2], y)) for text in texts}
    clear = (text for text in texts if sketch.is_free([text.box]) and not any(map(sketch.in_a_part, ends[text])))
    found = next(clear, None)
    if found and words and not sketch.crowded:
        sketch.write(found)
    elif words:
        sketch.key(words, (x, y), hand=bool(one.part.mark))
