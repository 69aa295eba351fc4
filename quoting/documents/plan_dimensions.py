"""Dimension lines: a thin line off the edge between two oblique ticks, extension lines, and the figure above it."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

from quoting.documents.drawing import Box, Point, Text, width_of
from quoting.documents.plan_figures import Figure, Measure
from quoting.documents.plan_sketch import Sketch, ground_along
from quoting.documents.plan_words import Units, length_figure

NEAR, FAR = 22.0, 28.0
"""How far off the edge a dimension line runs where its figure stands outside it, and where it stands between."""

STEP = 20.0
TICK = 3.5
TEXT = 13.0


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """One dimension line in px, `off` px outside the edge from p to q (the outside is on the right hand of p to q)."""

    p: Point
    q: Point
    figure: str
    off: float
    hand: bool = False

    @property
    def out(self) -> Point:
        length = hypot(self.q[0] - self.p[0], self.q[1] - self.p[1]) or 1.0
        return -(self.q[1] - self.p[1]) / length, (self.q[0] - self.p[0]) / length

    @property
    def ends(self) -> tuple[Point, Point]:
        return _away(self.p, self.out, self.off), _away(self.q, self.out, self.off)

    @property
    def turn(self) -> float:
        return reading_turn(self.p, self.q)

    @property
    def words(self) -> Text:
        """The figure, 5 px above the line as it is read; on the far side, level, where the line is shorter than it."""
        (x0, y0), (x1, y1) = self.ends
        middle = (x0 + x1) / 2, (y0 + y1) / 2
        cls = "t-hand" if self.hand else "t-dim"
        if hypot(x1 - x0, y1 - y0) < width_of(self.figure, TEXT) + 6:
            return self._outside(cls, *middle)
        turn = radians(self.turn)
        x, y = middle[0] + 5 * sin(turn), middle[1] - 5 * cos(turn)
        return Text(cls=cls, x=x, y=y, words=self.figure, size=TEXT, anchor="middle", turn=self.turn)

    def _outside(self, cls: str, x: float, y: float) -> Text:
        across, down = self.out
        if abs(across) > 0.7:
            anchor = "start" if across > 0 else "end"
            return Text(cls=cls, x=x + 8 * across, y=y + 4.5, words=self.figure, size=TEXT, anchor=anchor)
        return Text(cls=cls, x=x, y=y + (16 if down > 0 else -9), words=self.figure, size=TEXT, anchor="middle")

    @property
    def ground(self) -> list[Box]:
        return [self.words.box, *ground_along(*self.ends, 4.0)]

    def draw(self, sketch: Sketch) -> None:
        on = " on" if self.hand else ""
        for foot, end in zip((self.p, self.q), self.ends, strict=True):
            if abs(self.off) > 4:
                sketch.line("ext", _away(foot, self.out, 4), _away(end, self.out, 5))
        sketch.line(f"dim{on}", *self.ends)
        for x, y in self.ends:
            dx, dy = tick(self.turn)
            sketch.line(f"tick{on}", (x - dx, y - dy), (x + dx, y + dy))
        if self.figure:
            sketch.write(self.words)
        sketch.taken.extend(self.ground[1:])


def _away(point: Point, out: Point, by: float) -> Point:
    return point[0] + out[0] * by, point[1] + out[1] * by


def reading_turn(p: Point, q: Point) -> float:
    """Degrees that text along a line is turned by, read from below or from the right: −90 to just under 90."""
    turn = degrees(atan2(q[1] - p[1], q[0] - p[0]))
    if turn > 89.5:
        return turn - 180
    return turn + 180 if turn < -90.5 else turn


def tick(turn: float) -> Point:
    """Half an oblique stroke: 45° to the line as it is read."""
    slant = radians(turn + 45)
    reach = TICK * 2**0.5
    return reach * cos(slant), reach * sin(slant)


def draw_measure(sketch: Sketch, measure: Measure, figure: Figure, units: Units, *, keyed: bool, mark: str) -> str:
    """The dimension line of one side, on the first of its edges that is free. The figure where it must be told and
    there is no room for it, else nothing.

    `keyed` puts the letter of the measure before its figure.
    """
    hand = bool(mark) and mark == measure.key
    words = length_figure(measure.value, units)
    if measure.times > 1:
        spacing = length_figure(measure.value / measure.times, units)
        words = f"{words} ({measure.times} × {spacing})"
    if measure.key == "diameter":
        words = f"Ø {words}"
    if keyed and len(measure.key) == 1:
        words = f"{measure.key}  {words}"
    if figure.cut and {"length": "x", "width": "y"}.get(measure.key) == figure.cut[0]:
        words = f"{words}, cut"
    must = hand or not measure.key.startswith("side")
    long = hypot(measure.end[0] - measure.start[0], measure.end[1] - measure.start[1])
    if not must and long < 0.8 * width_of(words, TEXT):
        return ""
    if sketch.crowded and long < width_of(words, TEXT) and not (keyed or hand):
        return words
    edges = [(p, q) for p, q in ((measure.start, measure.end), *measure.others) if not _blocked(sketch, p, q)]
    tried = [DimensionLine(p, q, words, _off(p, q) + STEP * i, hand) for i in range(4) for p, q in edges]
    for line in tried:
        if sketch.is_free(line.ground) and not _crosses(sketch, line):
            if hand:
                sketch.line("area on", line.p, line.q)
            line.draw(sketch)
            return ""
    if (keyed or hand) and not tried and _write_within(sketch, measure, words, hand):
        return ""
    return words if (must and tried) or keyed or hand else ""


def _off(p: Point, q: Point) -> float:
    """Far where the figure stands between edge and line: under it, or at its right."""
    line = DimensionLine(p, q, "", 0)
    return FAR if line.out[0] > 0.3 or line.out[1] > 0.3 else NEAR


def _blocked(sketch: Sketch, p: Point, q: Point) -> bool:
    """Whether another part adjoins along the edge."""
    out = DimensionLine(p, q, "", 0).out
    places = [(p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t) for t in (0.15, 0.5, 0.85)]
    return any(sketch.in_a_part(_away(place, out, 3)) for place in places)


def _crosses(sketch: Sketch, line: DimensionLine) -> bool:
    left, top, right, bottom = line.words.box
    corners = [(left, top), (right, top), (left, bottom), (right, bottom), *line.ends]
    return any(sketch.in_a_part(point) for point in corners)


def _write_within(sketch: Sketch, measure: Measure, words: str, hand: bool) -> bool:
    """The figure of a side with a neighbour, on cleared ground within its own part. False where something is written
    there already.
    """
    p, q = measure.start, measure.end
    out = DimensionLine(p, q, "", 0).out
    width = width_of(words, TEXT)
    reach = 8 + abs(out[0]) * width / 2 + abs(out[1]) * TEXT / 2
    x, y = _away(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2), out, -reach)
    text = Text(cls="t-hand" if hand else "t-dim", x=x, y=y + 4.5, words=words, size=TEXT, anchor="middle")
    if hand:
        sketch.line("area on", p, q)
    if not sketch.is_clear(text):
        return False
    sketch.write(text, cleared=True)
    return True


def draw_diagonal(sketch: Sketch, measure: Measure, units: Units, *, keyed: bool, mark: str) -> None:
    """A diagonal, dashed, with its figure on cleared ground off the crossing."""
    hand = bool(mark) and mark == measure.key
    p, q = measure.start, measure.end
    sketch.line("hid on" if hand else "hid", p, q)
    words = f"{measure.key}  {length_figure(measure.value, units)}"
    if keyed or hand or hypot(q[0] - p[0], q[1] - p[1]) > 230:
        for t in (0.72, 0.28, 0.8, 0.2, 0.62, 0.38):
            x, y = p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t + 4.5
            text = Text(cls="t-hand" if hand else "t-dim", x=x, y=y, words=words, size=TEXT, anchor="middle")
            if sketch.is_free([text.box]):
                sketch.write(text, cleared=True)
                break
        else:
            if hand:
                sketch.key(words, ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2), hand=True)
    sketch.occupy(p, q, 2.0)
