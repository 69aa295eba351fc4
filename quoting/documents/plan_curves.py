"""Round figures and curved edges: circle, ellipse, sector, and the curve that offsets stand for."""

from __future__ import annotations

from decimal import Decimal
from math import ceil, cos, pi, radians, sin, tan

from quoting.core.shapes import Offsets
from quoting.documents.drawing import Point
from quoting.documents.plan_figures import Command, Edge, Figure, Measure, Ordinate, across, metres, position, upright


def _arc(centre: Point, rx: float, ry: float, begin: float, sweep: float) -> Edge:
    pieces = max(1, ceil(abs(sweep) / (pi / 4)))
    step = sweep / pieces
    k = 4 / 3 * tan(step / 4)

    def at(angle: float) -> Point:
        return centre[0] + rx * cos(angle), centre[1] + ry * sin(angle)

    commands: list[Command] = []
    for piece in range(pieces):
        p, q = begin + piece * step, begin + (piece + 1) * step
        (x0, y0), (x1, y1) = at(p), at(q)
        first = (x0 - k * rx * sin(p), y0 + k * ry * cos(p))
        second = (x1 + k * rx * sin(q), y1 - k * ry * cos(q))
        commands.append(("C", (first, second, (x1, y1))))
    return Edge(at(begin), tuple(commands))


def _arc_points(centre: Point, rx: float, ry: float, begin: float, sweep: float) -> list[Point]:
    angles = [begin + sweep * i / 36 for i in range(37)]
    return [(centre[0] + rx * cos(angle), centre[1] + ry * sin(angle)) for angle in angles]


def oval(length: Decimal, width: Decimal, keys: tuple[str, ...]) -> Figure:
    w, h = metres(length), metres(width)
    whole = ((w / 2, h / 2), w / 2, h / 2, 0.0, 2 * pi)
    measures = (across(keys[0], length, w, h), *(upright(key, width, w, h) for key in keys[1:]))
    return Figure(edges=(_arc(*whole),), ring=tuple(_arc_points(*whole)[:-1]), measures=measures, round=True)


def sector(radius: Decimal, angle: Decimal) -> Figure:
    r, sweep = metres(radius), radians(min(max(position(angle), 0.1), 360.0))
    begin = pi / 2 - sweep / 2
    whole = ((0.0, 0.0), r, r, begin, sweep)
    arc = _arc(*whole)
    edges = (Edge((0.0, 0.0), (("L", (arc.start,)),)), arc, Edge(arc.end, (("L", ((0.0, 0.0),)),)))
    measures = (Measure("radius", radius, (0.0, 0.0), arc.start, others=((arc.end, (0.0, 0.0)),)),)
    ring = ((0.0, 0.0), *_arc_points(*whole))
    return Figure(edges=edges, ring=ring, measures=measures, angle=((0.0, 0.45 * r), angle))


def curved_edge(shape: Offsets) -> Figure:
    """The curve that the core's rule integrates: parabolas through each three ordinates, a straight strip left over."""
    h = metres(shape.spacing)
    heads = [(i * h, max(position(y), 0.0)) for i, y in enumerate(shape.offsets)] or [(0.0, 0.0)]
    if len(heads) == 1:
        heads.append((h, heads[0][1]))
    strips = len(heads) - 1
    curved = strips - strips % 2 if strips > 1 else 0
    commands: list[Command] = []
    traced: list[Point] = [heads[0]]
    for i in range(0, curved, 2):
        p, m, q = heads[i : i + 3]
        control = (m[0], 2 * m[1] - (p[1] + q[1]) / 2)
        commands.append(("Q", (control, q)))
        for t in (step / 12 for step in range(1, 13)):
            u = 1 - t
            traced.append((u * p[0] + t * q[0], u * u * p[1] + 2 * u * t * control[1] + t * t * q[1]))
    if curved < strips:
        commands.append(("L", (heads[-1],)))
        traced.append(heads[-1])
    # Drawn from right to left, so that the whole outline runs anticlockwise like every other.
    back = _backwards(heads[0], commands)
    end = (strips * h, 0.0)
    rise = (Edge(end, (("L", (heads[-1],)),)),) if heads[-1][1] > 0 else ()
    fall = (Edge(heads[0], (("L", ((0.0, 0.0),)),)),) if heads[0][1] > 0 else ()
    edges = (Edge((0.0, 0.0), (("L", (end,)),)), *rise, back, *fall)
    length = shape.spacing * strips
    measures = (Measure("base", length, (0.0, 0.0), end, times=strips),)
    ordinates = tuple(Ordinate(f"y{i}", y, (i * h, 0.0), heads[i]) for i, y in enumerate(shape.offsets))
    ring = ((0.0, 0.0), end, *reversed(traced))
    return Figure(edges=edges, ring=ring, measures=measures, base=((0.0, 0.0), end), ordinates=ordinates)


def _backwards(start: Point, commands: list[Command]) -> Edge:
    starts = [start, *(points[-1] for _, points in commands)]
    turned: list[Command] = []
    for (letter, points), begin in zip(reversed(commands), reversed(starts[:-1]), strict=True):
        turned.append((letter, (*points[-2::-1], begin)))
    return Edge(starts[-1], tuple(turned))
