"""One area drawn to scale: joints, voids, outlines, base lines and ordinates, dimension lines, notes and labels."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from quoting.documents.drawing import Box, Path, Point, Primitive, around, clean
from quoting.documents.plan_details import Hand, draw_void, inner_lines, is_speck, write_notes, write_size
from quoting.documents.plan_dimensions import draw_diagonal, draw_measure
from quoting.documents.plan_figures import Edge, Figure
from quoting.documents.plan_joints import joint_pattern, joints_of
from quoting.documents.plan_labels import label_area, label_deduct, label_part
from quoting.documents.plan_parts import PlacedPart, PlanArea, box_of
from quoting.documents.plan_sketch import Sketch
from quoting.documents.plan_words import Steps

BREAK = 7.0
NB = "\u00a0"
LONGEST_WHOLE = 30
"""Letters of what a number stands for that are kept on one line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A finished area: its primitives, and the box around them, with the lower left corner of its parts at 0, 0; what
    its numbers stand for.
    """

    things: tuple[Primitive, ...]
    box: Box
    letter: str = ""
    keys: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """What the numbers stand for, in one line: A: 1 Walk, 24′ 3″; 2 planter."""
        whole = [words.replace(" ", NB) if len(words) <= LONGEST_WHOLE else words for words in self.keys]
        told = "; ".join(f"{number}{NB}{words}" for number, words in enumerate(whole, start=1))
        return f"{self.letter}: {told}." if told else ""

    @property
    def width(self) -> float:
        return self.box[2] - self.box[0]


def draw_area(area: PlanArea, placed: tuple[PlacedPart, ...], hand: Hand) -> Block:
    """Everything that belongs to one area."""
    left, low, _, _ = box_of(placed)

    def to_px(x: float, y: float) -> Point:
        return (x - left) * hand.scale, (low - y) * hand.scale

    drawn = [(one, one.figure.mapped(to_px)) for one in placed]
    parts = [(one, figure) for one, figure in drawn if one.part.kind == "part"]
    deducts = [(one, figure) for one, figure in drawn if one.part.kind == "deduct"]
    sketch = Sketch(rings=[figure.ring for _, figure in parts], crowded=hand.crowded)
    _fill_joints(sketch, area, parts, hand)
    bases = [figure.base for order, (_, figure) in enumerate(parts) if figure.base and _attached(figure, order)]
    for _, figure in deducts:
        draw_void(sketch, figure)
    for order, (one, figure) in enumerate(parts):
        _outline(sketch, figure, bases, attached=_attached(figure, order))
        inner_lines(sketch, one, figure, hand, attached=_attached(figure, order))
    for one, figure in deducts:
        label_deduct(sketch, one, figure, hand.units)
    for order, (one, figure) in enumerate(parts):
        if is_speck(figure):
            write_size(sketch, one, figure, hand.units)
            continue
        keyed, untold = hand.highlight == one.index, []
        for measure in figure.measures:
            if measure.inside:
                draw_diagonal(sketch, measure, hand.units, keyed=keyed, mark=one.part.mark)
            elif not (figure.base and _attached(figure, order)):
                untold.append(draw_measure(sketch, measure, figure, hand.units, keyed=keyed, mark=one.part.mark))
        write_notes(sketch, one, figure, hand.units, [words for words in untold if words])
    if hand.highlight is None:
        label_area(sketch, area, [figure for _, figure in parts], hand.units, room=hand.width)
    else:
        for one, figure in parts:
            label_part(sketch, one, figure)
    box = around([thing.box for thing in sketch.things if _has_box(thing)])
    return Block(things=tuple(sketch.things), box=box, letter=clean(area.letter, most=3), keys=tuple(sketch.keys))


def _has_box(thing: Primitive) -> bool:
    return not isinstance(thing, Path) or any(points for _, points in thing.commands)


def _attached(figure: Figure, order: int) -> bool:
    """Whether offsets stand on the part before them: their base line is then not an edge."""
    return figure.base is not None and order > 0


def _fill_joints(sketch: Sketch, area: PlanArea, parts: list[tuple[PlacedPart, Figure]], hand: Hand) -> None:
    joints = joints_of(area.surface)
    if joints and joint_pattern(joints, hand.scale, ""):
        for one, figure in parts:
            if not isinstance(one.part.shape, Steps):
                sketch.fill("joints", figure.edges, f"{hand.prefix}-{joints}")


def _outline(sketch: Sketch, figure: Figure, bases: list[tuple[Point, Point]], *, attached: bool) -> None:
    """The outline, left open where the base line of offsets lies on it."""
    edges = figure.edges[1:] if attached else figure.edges
    if not attached:
        edges = tuple(piece for edge in edges for piece in _without(edge, bases))
    cls = "area guess" if figure.guess else "area"
    commands: list[tuple[str, tuple[Point, ...]]] = []
    for before, edge in zip(
        (*edges[-1:], *edges[:-1]), edges, strict=True
    ):  # nothing is left where the base line is all
        if not commands or _apart(before.end, edge.start):
            commands.append(("M", (edge.start,)))
        commands.extend(edge.commands)
    if edges and len(edges) == len(figure.edges) and not _apart(edges[-1].end, edges[0].start):
        commands.append(("Z", ()))
    if commands:
        sketch.things.append(Path(cls=cls, commands=tuple(commands)))
    if figure.cut:
        _break(sketch, figure)


def _apart(p: Point, q: Point) -> bool:
    return hypot(p[0] - q[0], p[1] - q[1]) > 0.01


def _without(edge: Edge, bases: list[tuple[Point, Point]]) -> list[Edge]:
    """A straight edge without the stretch that a base line covers."""
    pieces = [edge]
    for base in bases:
        pieces = [kept for piece in pieces for kept in _less(piece, base)]
    return pieces


def _less(edge: Edge, base: tuple[Point, Point]) -> list[Edge]:
    p, q = edge.start, edge.end
    long = hypot(q[0] - p[0], q[1] - p[1])
    if not edge.straight or long < 0.01:
        return [edge]
    ux, uy = (q[0] - p[0]) / long, (q[1] - p[1]) / long
    along = [(x - p[0]) * ux + (y - p[1]) * uy for x, y in base]
    off = [abs((x - p[0]) * uy - (y - p[1]) * ux) for x, y in base]
    begin, end = max(min(along), 0.0), min(max(along), long)
    if max(off) > 0.5 or end - begin < 1:
        return [edge]
    stretches = [(0.0, begin), (end, long)]
    at = [((p[0] + ux * s, p[1] + uy * s), (p[0] + ux * e, p[1] + uy * e)) for s, e in stretches if e - s > 0.5]
    return [Edge(start, (("L", (stop,)),)) for start, stop in at]


def _break(sketch: Sketch, figure: Figure) -> None:
    """The break line of a part that is drawn shorter than it is."""
    if figure.cut is None:
        return
    axis, (cx, cy) = figure.cut
    left, top, right, bottom = figure.box
    begin, end, middle = (top - 9, bottom + 9, cy) if axis == "x" else (left - 9, right + 9, cx)
    zigzag = [(0.0, begin), (0.0, middle - 9), (-6.0, middle - 4), (6.0, middle + 4), (0.0, middle + 9), (0.0, end)]
    centre = cx if axis == "x" else cy

    def strand(shift: float) -> list[Point]:
        points = [(centre + shift + off, along) for off, along in zigzag]
        return points if axis == "x" else [(along, off) for off, along in points]

    one, other = strand(-BREAK), strand(BREAK)
    band = [("M", (one[0],)), *(("L", (point,)) for point in [*one[1:], *reversed(other)]), ("Z", ())]
    sketch.things.append(Path(cls="clear", commands=tuple(band)))
    for points in (one, other):
        sketch.trace("dim", tuple(points))
    sketch.occupy(
        (centre, begin) if axis == "x" else (begin, centre), (centre, end) if axis == "x" else (end, centre), 14
    )
