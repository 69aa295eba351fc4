"""From a shape of the core to the figure that is drawn, in metres, y upwards.

Floats are enough here: nothing drawn is ever counted. Absurd sizes are held within bounds: every point is finite.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from math import acos, atan2, cos, hypot, pi, sin, sqrt

from quoting.core.shapes import (
    Circle,
    Ellipse,
    Measured,
    Offsets,
    Polygon,
    Quadrilateral,
    Rectangle,
    Sector,
    Steps,
    Trapezoid,
    Triangle,
)
from quoting.documents.drawing import Point
from quoting.documents.plan_curves import curved_edge, oval, sector
from quoting.documents.plan_figures import SMALLEST, Edge, Figure, Measure, across, metres, position, upright
from quoting.documents.plan_words import Shape

MOST_TREADS = 60


def figure_of(shape: Shape, *, place: str = "", drawn: tuple[str, float] | None = None) -> Figure:
    """The figure of a shape, its lower left corner at 0, 0.

    `place` turns it to the part before it: offsets stand on their base line, a four-sided part turns the side that
    adjoins. `drawn` is the axis and the length in metres to which a rectangle is cut.
    """
    figure = _figure(shape, place, drawn)
    left, low, _, _ = figure.box
    return figure.moved(-left, -low)


def _figure(shape: Shape, place: str, drawn: tuple[str, float] | None) -> Figure:
    match shape:
        case Rectangle(length=length, width=width):
            return _rectangle(length, width, drawn)
        case Measured(size=size):
            side = sqrt(max(metres(size), SMALLEST**2) / 1.5)
            return replace(_rectangle(Decimal(1.5 * side), Decimal(side), drawn), measures=(), guess=True)
        case Triangle(a=a, b=b, c=c):
            apex = _third((0.0, 0.0), (metres(a), 0.0), metres(c), metres(b))
            return _closed([(0.0, 0.0), (metres(a), 0.0), apex], [("a", a), ("b", b), ("c", c)])
        case Quadrilateral():
            return _quadrilateral(shape, place)
        case Trapezoid(a=a, b=b, height=height):
            return _trapezoid(shape, metres(a), metres(b), metres(height))
        case Circle(diameter=diameter):
            return oval(diameter, diameter, ("diameter",))
        case Ellipse(length=length, width=width):
            return oval(length, width, ("length", "width"))
        case Sector(radius=radius, angle=angle):
            return sector(radius, angle)
        case Polygon(points=points):
            return _polygon(points)
        case Offsets():
            return _turned(curved_edge(shape), {"right": 3, "below": 2, "left": 1}.get(place, 0))
        case Steps():
            return _steps(shape)
    raise TypeError(f"{type(shape).__name__} cannot be drawn")


def _third(p: Point, q: Point, from_p: float, from_q: float) -> Point:
    """The point so far from p and q, on the left hand of p to q; as near as may be where the lengths do not meet."""
    base = max(hypot(q[0] - p[0], q[1] - p[1]), 1e-9)
    turn = acos(min(1.0, max(-1.0, (from_p**2 + base**2 - from_q**2) / (2 * from_p * base))))
    heading = atan2(q[1] - p[1], q[0] - p[0]) + turn
    return p[0] + from_p * cos(heading), p[1] + from_p * sin(heading)


def _closed(corners: Sequence[Point], sides: Sequence[tuple[str, Decimal | None]]) -> Figure:
    """Straight sides round corners, anticlockwise, each with its measure where it was taken."""
    ends = [*corners[1:], corners[0]]
    edges = tuple(Edge(p, (("L", (q,)),)) for p, q in zip(corners, ends, strict=True))
    triples = zip(corners, ends, sides, strict=True)
    measures = tuple(Measure(key, value, p, q) for p, q, (key, value) in triples if value is not None)
    return Figure(edges=edges, ring=tuple(corners), measures=measures)


def _rectangle(length: Decimal, width: Decimal, drawn: tuple[str, float] | None) -> Figure:
    w, h = metres(length), metres(width)
    cut = None
    if drawn:
        w, h = (min(w, drawn[1]), h) if drawn[0] == "x" else (w, min(h, drawn[1]))
        cut = (drawn[0], (w / 2, h / 2))
    plain = _closed([(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)], [("", None)] * 4)
    measures = (across("length", length, w, h), upright("width", width, w, h))
    return replace(plain, measures=measures, cut=cut)


def _quadrilateral(shape: Quadrilateral, place: str) -> Figure:
    a, b, c, d, p = (metres(side) for side in (shape.a, shape.b, shape.c, shape.d, shape.p))
    first, second = (0.0, 0.0), (a, 0.0)
    third = _third(first, second, p, b)
    fourth = _third(first, third, d, c)
    corners = [first, second, third, fourth]
    start, heading = {"right": (3, -pi / 2), "left": (1, pi / 2), "below": (2, pi)}.get(place, (0, 0.0))
    q0, q1 = corners[start], corners[(start + 1) % 4]
    turn = heading - atan2(q1[1] - q0[1], q1[0] - q0[0])
    corners = [(x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)) for x, y in corners]
    figure = _closed(corners, [("a", shape.a), ("b", shape.b), ("c", shape.c), ("d", shape.d)])
    diagonals = [Measure("p", shape.p, corners[0], corners[2], inside=True)]
    if shape.q is not None:
        diagonals.append(Measure("q", shape.q, corners[3], corners[1], inside=True))
    return replace(figure, measures=(*figure.measures, *diagonals))


def _trapezoid(shape: Trapezoid, a: float, b: float, height: float) -> Figure:
    left = (a - b) / 2
    corners = [(0.0, 0.0), (a, 0.0), (left + b, height), (left, height)]
    figure = _closed(corners, [("a", shape.a), ("c", shape.c), ("b", shape.b), ("d", shape.d)])
    low, high = min(0.0, left), max(a, left + b)
    upright = Measure("height", shape.height, (low, height), (low, 0.0), others=(((high, 0.0), (high, height)),))
    return replace(figure, measures=(*figure.measures, upright))


def _polygon(points: Sequence[tuple[Decimal, Decimal]]) -> Figure:
    corners = [(position(x), position(y)) for x, y in points] or [(0.0, 0.0)]
    ends = [*corners[1:], corners[0]]
    if sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(corners, ends, strict=True)) < 0:
        corners = corners[::-1]
        ends = [*corners[1:], corners[0]]
    lengths = [Decimal(hypot(q[0] - p[0], q[1] - p[1])) for p, q in zip(corners, ends, strict=True)]
    return _closed(corners, [(f"side {i}", length) for i, length in enumerate(lengths, start=1)])


def _steps(shape: Steps) -> Figure:
    count, width, tread = max(int(shape.count), 1), metres(shape.width), metres(shape.tread)
    height = count * tread
    plain = _closed([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)], [("", None)] * 4)
    levels = [i * tread for i in range(1, count)] if count <= MOST_TREADS else []
    treads = tuple(((0.0, y), (width, y)) for y in levels)
    return replace(plain, measures=(across("width", shape.width, width, height),), treads=treads)


def _turned(figure: Figure, quarters: int) -> Figure:
    """The figure turned anticlockwise by quarter turns."""
    turn = [lambda x, y: (x, y), lambda x, y: (-y, x), lambda x, y: (-x, -y), lambda x, y: (y, -x)][quarters]
    return figure.mapped(turn)
