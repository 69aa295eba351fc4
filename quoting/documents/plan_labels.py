"""Where words stand on a plan: an area's letter, name and net area; a part's name; what is taken out."""

from __future__ import annotations

from quoting.documents.drawing import Box, Point, Text, around, clean, shorten, width_of
from quoting.documents.plan_figures import Figure
from quoting.documents.plan_parts import PlacedPart, PlanArea
from quoting.documents.plan_sketch import Sketch, holds
from quoting.documents.plan_words import Circle, Ellipse, Measured, Rectangle, Units, area_figure, length_figure

NAME, AREA, NOTE = 15.0, 14.0, 13.0
LONGEST_NAME = 150.0
PAD = 5.0
NARROW = 420
"""A sheet this wide, in px, or less: a telephone."""
ROWS = (0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88)
COLUMNS = (0.14, 0.32, 0.5, 0.05, 0.68, 0.86, 0.95)


def label_area(sketch: Sketch, area: PlanArea, figures: list[Figure], units: Units, *, room: float) -> None:
    """The letter in its circle, the name and the net area: within the largest figure with room, else outside."""
    letter, name = clean(area.letter, most=3), shorten(clean(area.name), NAME, LONGEST_NAME)
    net = area_figure(area.net, units)
    wide = max(width_of(name, NAME), width_of(net, AREA))
    flat = width_of(name, NAME) + 10 + width_of(net, AREA)
    for figure in sorted((f for f in figures if not f.treads and not f.guess), key=_ground, reverse=True)[:2]:
        for width, height in ((30 + wide, 38.0), (30 + flat, 24.0)):
            spot = _spot(sketch, figure, width + 2 * PAD, height + 2 * PAD)
            if spot:
                _letter_and_words(sketch, letter, name, net, (spot[0] + PAD, spot[1] + PAD), flat=height < 30)
                return
    _label_outside(sketch, letter, name, net, figures, room=room)


def _ground(figure: Figure) -> float:
    left, top, right, bottom = figure.box
    return (right - left) * (bottom - top)


def _spot(sketch: Sketch, figure: Figure, width: float, height: float) -> Point | None:
    """The first free place in a figure for a box of this size."""
    left, top, right, bottom = figure.box
    if right - left < width or bottom - top < height:
        return None
    for row in ROWS:
        for column in COLUMNS:
            x, y = left + (right - left - width) * column, top + (bottom - top - height) * row
            box = (x, y, x + width, y + height)
            if sketch.is_free([box]) and holds(figure.ring, box):
                return x, y
    return None


def _letter_and_words(sketch: Sketch, letter: str, name: str, net: str, at: Point, *, flat: bool) -> None:
    x, y = at
    long, wide = width_of(name, NAME), width_of(net, AREA)
    if flat:
        sketch.clear((x + 26, y, x + 42 + long + wide, y + 24))
        sketch.write(Text(cls="t-name", x=x + 30, y=y + 17, words=name, size=NAME))
        sketch.write(Text(cls="t-area", x=x + 40 + long, y=y + 17, words=net, size=AREA))
    else:
        sketch.clear((x + 26, y, x + 32 + max(long, wide), y + 38))
        sketch.write(Text(cls="t-name", x=x + 30, y=y + 15, words=name, size=NAME))
        sketch.write(Text(cls="t-area", x=x + 30, y=y + 33, words=net, size=AREA))
    sketch.bubble(letter, x + 12, y + (12 if flat else 16))


def _label_outside(sketch: Sketch, letter: str, name: str, net: str, figures: list[Figure], *, room: float) -> None:
    left, top, right, bottom = around([figure.box for figure in figures])
    all_left, all_top, all_right, _ = around([*sketch.taken, (left, top, right, bottom)])
    middle = (left + right) / 2
    wide = max(width_of(name, NAME), width_of(net, AREA))
    if room <= NARROW and all_right - all_left + 44 + wide < room:
        x, y = all_right + 12, (top + bottom) / 2 - 16
        _letter_and_words(sketch, letter, name, net, (x, y), flat=False)
        return
    tower: Box = (middle - wide / 2, top - 78, middle + wide / 2, top - 2)
    if sketch.is_free([tower]):
        sketch.line("ext", (middle, top - 2), (middle, top - 16))
        sketch.bubble(letter, middle, top - 28)
        sketch.write(Text(cls="t-area", x=middle, y=top - 47, words=net, size=AREA, anchor="middle"))
        sketch.write(Text(cls="t-name", x=middle, y=top - 64, words=name, size=NAME, anchor="middle"))
        return
    _letter_and_words(sketch, letter, name, net, (middle - (30 + wide) / 2, all_top - 44), flat=False)


def label_part(sketch: Sketch, placed: PlacedPart, figure: Figure) -> None:
    """The number and the name of a part within it, where there is room."""
    left, _, right, _ = figure.box
    words = f"{placed.index + 1}  {clean(placed.part.name)}".rstrip()
    words = shorten(words, NAME, max(min(LONGEST_NAME, right - left - 24), 20.0))
    width = width_of(words, NAME)
    spot = _spot(sketch, figure, width + 2 * PAD, 16 + 2 * PAD)
    if spot:
        text = Text(cls="t-name", x=spot[0] + PAD, y=spot[1] + PAD + 13, words=words, size=NAME)
        sketch.write(text, cleared=True)


def label_deduct(sketch: Sketch, placed: PlacedPart, figure: Figure, units: Units) -> None:
    """The name of what is taken out, in its void, and its size below it; both beside it where the void is small."""
    left, top, right, bottom = figure.box
    middle = (left + right) / 2
    name = shorten(clean(placed.part.name), NOTE, LONGEST_NAME)
    size = size_words(placed, units)
    cls = "t-hand" if placed.part.mark else "t-dim"
    within = name and width_of(name, NOTE) < (right - left) * (0.8 if figure.round else 0.94) and bottom - top > 22
    text = Text(cls="t-note", x=middle, y=(top + bottom) / 2 + 4, words=name, size=NOTE, anchor="middle")
    within = within and sketch.is_clear(text)
    if within:
        sketch.write(text, cleared=True)
    words = size if within or not name else f"{name}, {size}" if size else name
    texts = []
    for told in [word for word in dict.fromkeys((words, size)) if word]:
        half, level = width_of(told, NOTE) / 2, (top + bottom) / 2 + 4
        for x, y in ((middle, bottom + 15), (middle, top - 6), (right + half + 8, level), (left - half - 8, level)):
            texts.append(Text(cls=cls, x=x, y=y, words=told, size=NOTE, anchor="middle"))
    free = [text for text in texts if sketch.is_free([text.box])]
    if sketch.crowded:
        free = [text for text in free if _on_a_part(sketch, text.box)]
    best = next((text for text in free if _on_a_part(sketch, text.box)), next(iter(free), None))
    if best:
        sketch.write(best, cleared=True)
    elif texts:
        sketch.key(words, (middle, (top + bottom) / 2), hand=bool(placed.part.mark))


def _on_a_part(sketch: Sketch, box: Box) -> bool:
    return any(holds(ring, box) for ring in sketch.rings)


def size_words(placed: PlacedPart, units: Units) -> str:
    """The size of what is taken out, as short as it can be told."""
    times = f"{placed.part.count} × " if placed.part.count > 1 else ""
    match placed.part.shape:
        case Circle(diameter=diameter):
            return f"{times}Ø {length_figure(diameter, units)}"
        case Rectangle(length=length, width=width) | Ellipse(length=length, width=width):
            return f"{times}{length_figure(length, units)} × {length_figure(width, units)}"
        case Measured(size=size):
            return f"{times}{area_figure(size, units)}"
    return f"{placed.part.count} of these" if times else ""
