"""A figure to be drawn: outline, measures, base line and ordinates; metres with y upwards, or px once on the sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from math import isfinite

from quoting.documents.drawing import Box, Point

Command = tuple[str, tuple[Point, ...]]
FURTHEST = 10_000.0
"""10 km, the longest length that the core accepts."""

SMALLEST = 0.001


@dataclass(frozen=True, slots=True)
class Edge:
    """One stretch of an outline: from `start` along L, Q or C commands."""

    start: Point
    commands: tuple[Command, ...]

    @property
    def end(self) -> Point:
        return self.commands[-1][1][-1]

    @property
    def straight(self) -> bool:
        return len(self.commands) == 1 and self.commands[0][0] == "L"


@dataclass(frozen=True, slots=True)
class Measure:
    """A measured length from `start` to `end`, run so that the outside is on the right hand; `others` are as good.

    `inside` is a diagonal: a dashed line with its figure on it.
    """

    key: str
    value: Decimal
    start: Point
    end: Point
    others: tuple[tuple[Point, Point], ...] = ()
    inside: bool = False
    times: int = 0


@dataclass(frozen=True, slots=True)
class Ordinate:
    """One offset, from its foot on the base line to its head on the curve."""

    key: str
    value: Decimal
    foot: Point
    head: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A shape ready to be drawn. `ring` follows the outline in straight pieces; `guess` is a shape nobody measured."""

    edges: tuple[Edge, ...]
    ring: tuple[Point, ...]
    measures: tuple[Measure, ...] = ()
    base: tuple[Point, Point] | None = None
    ordinates: tuple[Ordinate, ...] = ()
    treads: tuple[tuple[Point, Point], ...] = ()
    angle: tuple[Point, Decimal] | None = None
    cut: tuple[str, Point] | None = None
    guess: bool = False
    round: bool = False

    @property
    def box(self) -> Box:
        xs, ys = [x for x, _ in self.ring], [y for _, y in self.ring]
        return min(xs), min(ys), max(xs), max(ys)

    def moved(self, dx: float, dy: float) -> Figure:
        """The same figure elsewhere."""
        return self.mapped(lambda x, y: (x + dx, y + dy))

    def mapped(self, to: Callable[[float, float], Point]) -> Figure:
        """The same figure with every point moved, turned or scaled."""
        return replace(
            self,
            edges=tuple(Edge(to(*e.start), _mapped(e.commands, to)) for e in self.edges),
            ring=tuple(to(*point) for point in self.ring),
            measures=tuple(
                replace(m, start=to(*m.start), end=to(*m.end), others=tuple((to(*p), to(*q)) for p, q in m.others))
                for m in self.measures
            ),
            base=(to(*self.base[0]), to(*self.base[1])) if self.base else None,
            ordinates=tuple(replace(o, foot=to(*o.foot), head=to(*o.head)) for o in self.ordinates),
            treads=tuple((to(*p), to(*q)) for p, q in self.treads),
            angle=(to(*self.angle[0]), self.angle[1]) if self.angle else None,
            cut=(self.cut[0], to(*self.cut[1])) if self.cut else None,
        )


def _mapped(commands: tuple[Command, ...], to: Callable[[float, float], Point]) -> tuple[Command, ...]:
    return tuple((letter, tuple(to(*point) for point in points)) for letter, points in commands)


def metres(value: Decimal) -> float:
    number = abs(float(value))
    return min(max(number, SMALLEST), FURTHEST**2) if isfinite(number) else SMALLEST


def position(value: Decimal) -> float:
    number = float(value)
    return min(max(number, -FURTHEST), FURTHEST) if isfinite(number) else 0.0


def across(key: str, value: Decimal, width: float, height: float) -> Measure:
    low, high = ((0.0, 0.0), (width, 0.0)), ((width, height), (0.0, height))
    return Measure(key, value, *low, others=(high,))


def upright(key: str, value: Decimal, width: float, height: float) -> Measure:
    left, right = ((0.0, height), (0.0, 0.0)), ((width, 0.0), (width, height))
    return Measure(key, value, *left, others=(right,))
