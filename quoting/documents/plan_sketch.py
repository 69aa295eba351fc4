"""A sheet being drawn on: what is on it so far, which ground is taken, and where the parts lie."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, hypot, pi, sin

from quoting.documents.drawing import Box, Circle, Line, Path, Point, Primitive, Rect, Text, overlap
from quoting.documents.plan_figures import Edge

KEY = 12.0
REACHES = (0.0, 12.0, 18.0, 25.0, 33.0, 43.0, 55.0, 70.0, 90.0, 115.0)
"""How far from its place, in px, the number of a key is tried."""


@dataclass(slots=True)
class Sketch:
    """Primitives in px, in the order in which they are drawn; `taken` is ground where nothing else may be written.

    `rings` are the outlines of the parts, in px, so that a dimension line can keep off a neighbour. `texts` is the
    part of the ground that words have taken; `keys` are words that had no room: a number stands in their place.
    `crowded`: whatever is wider than its part is keyed at once, so that it does not push the scale down.
    """

    things: list[Primitive] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    rings: list[tuple[Point, ...]] = field(default_factory=list)
    texts: list[Box] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)
    crowded: bool = False

    def line(self, cls: str, p: Point, q: Point) -> None:
        self.things.append(Line(cls=cls, x1=p[0], y1=p[1], x2=q[0], y2=q[1]))

    def trace(self, cls: str, points: tuple[Point, ...]) -> None:
        """An open line through points."""
        self.things.append(Path(cls=cls, commands=(("M", points[:1]), *(("L", (point,)) for point in points[1:]))))

    def fill(self, cls: str, edges: tuple[Edge, ...], pattern: str = "") -> None:
        """The closed outline along edges, filled with a pattern where one is named."""
        commands = [("M", (edges[0].start,)), *(command for edge in edges for command in edge.commands), ("Z", ())]
        self.things.append(Path(cls=cls, commands=tuple(commands), fill=pattern))

    def clear(self, box: Box) -> None:
        """Wipe the ground under what is written next."""
        left, top, right, bottom = box
        self.things.append(Rect(cls="clear", x=left, y=top, width=right - left, height=bottom - top))

    def write(self, words: Text, *, cleared: bool = False) -> None:
        """Words, which take their ground; `cleared` wipes what lies under them first."""
        if cleared:
            left, top, right, bottom = words.box
            self.clear((left - 2, top, right + 2, bottom))
        self.things.append(words)
        self.taken.append(words.box)
        self.texts.append(words.box)

    def key(self, words: str, at: Point, *, hand: bool = False) -> None:
        """A number for words that have no room, at that point or as near as there is room, a line leading there; the
        words go into the key below the drawing.
        """
        self.keys.append(words)
        text = self._near(str(len(self.keys)), at, "t-hand" if hand else "t-key")
        left, top, right, bottom = text.box
        if not left - 3 <= at[0] <= right + 3 or not top - 3 <= at[1] <= bottom + 3:
            self.line(
                "dim on" if hand else "dim", at, (min(max(at[0], left - 1), right + 1), min(max(at[1], top), bottom))
            )
            self.things.append(Circle(cls="bar", cx=at[0], cy=at[1], r=1.2))
        self.write(text, cleared=True)

    def _near(self, number: str, at: Point, cls: str) -> Text:
        """The number on the first free ground about a point, else above everything."""
        for reach in REACHES:
            for turn in range(12 if reach else 1):
                x, y = at[0] + reach * cos(turn * pi / 6), at[1] + reach * sin(turn * pi / 6)
                text = Text(cls=cls, x=x, y=y + KEY / 3, words=number, size=KEY, anchor="middle")
                leads = ground_along(at, (x, y), 1.0) if reach else []
                if self._free_of_words([*leads, _grown(text.box)]) and (not reach or self.is_free([text.box])):
                    return text
        top = min((box[1] for box in self.taken), default=at[1])
        return Text(cls=cls, x=at[0], y=top - 8, words=number, size=KEY, anchor="middle")

    def _free_of_words(self, boxes: list[Box]) -> bool:
        return not any(overlap(box, other) for box in boxes for other in self.texts)

    def bubble(self, letter: str, x: float, y: float) -> None:
        """An area's letter in its circle."""
        size = 14 if len(letter) < 2 else 11 if len(letter) < 3 else 8
        self.things.append(Circle(cls="bubble", cx=x, cy=y, r=12))
        self.things.append(Text(cls="t-key", x=x, y=y + size / 3, words=letter, size=size, anchor="middle"))
        self.taken.append((x - 12, y - 12, x + 12, y + 12))
        self.texts.append((x - 12, y - 12, x + 12, y + 12))

    def occupy(self, p: Point, q: Point, reach: float = 3.0) -> None:
        """Mark the ground along a line as taken."""
        self.taken.extend(ground_along(p, q, reach))

    def is_free(self, boxes: list[Box]) -> bool:
        return not any(overlap(box, other) for box in boxes for other in self.taken)

    def is_clear(self, words: Text) -> bool:
        """Whether nothing is written there, though lines may run."""
        return self._free_of_words([words.box])

    def in_a_part(self, point: Point) -> bool:
        return any(inside(point, ring) for ring in self.rings)


def _grown(box: Box) -> Box:
    return box[0] - 2, box[1] - 1, box[2] + 2, box[3] + 1


def ground_along(p: Point, q: Point, reach: float) -> list[Box]:
    """Small boxes that follow a line; one box where the line is level or upright."""
    left, right, top, bottom = min(p[0], q[0]), max(p[0], q[0]), min(p[1], q[1]), max(p[1], q[1])
    if right - left < 1 or bottom - top < 1:
        return [(left - reach, top - reach, right + reach, bottom + reach)]
    pieces = min(60, max(1, int(hypot(right - left, bottom - top) / 10)))
    boxes = []
    for i in range(pieces + 1):
        x, y = p[0] + (q[0] - p[0]) * i / pieces, p[1] + (q[1] - p[1]) * i / pieces
        boxes.append((x - reach, y - reach, x + reach, y + reach))
    return boxes


def inside(point: Point, ring: tuple[Point, ...]) -> bool:
    """Whether a point lies within a ring: the even-odd rule."""
    x, y = point
    within = False
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (y0 > y) != (y1 > y) and x < (x1 - x0) * (y - y0) / (y1 - y0) + x0:
            within = not within
    return within


def holds(ring: tuple[Point, ...], box: Box) -> bool:
    """Whether a box lies within a ring, as far as twelve points along its sides can tell."""
    left, top, right, bottom = box
    thirds = [0.0, 1 / 3, 2 / 3, 1.0]
    points = [(left + (right - left) * t, y) for t in thirds for y in (top, bottom)]
    points += [(x, top + (bottom - top) * t) for t in thirds[1:3] for x in (left, right)]
    return all(inside(point, ring) for point in points)
