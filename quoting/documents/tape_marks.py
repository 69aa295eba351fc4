"""Where a batch ends on an area that is no plain rectangle: how far along which part to run the tape.

A cut stands square to the longer extent of a part, at the length up to which the share of the area lies. It is a mark
to work to, not a measure: what was taken out of the area is counted as if it lay evenly over it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from quoting.core.ground import calculated
from quoting.core.mix_sheet import Stretch
from quoting.core.rounding import CONTEXT
from quoting.core.scope import Area, Part
from quoting.documents.crew_figures import reach_text
from quoting.documents.crew_words import Pair, say
from quoting.documents.plan_shapes import figure_of

HALVINGS = 30
UNMEASURED = frozenset({"measured", "steps"})
"""Parts without an outline that a tape can follow."""

Ring = Sequence[tuple[float, float]]


class Mark(NamedTuple):
    """So many metres along a part; `part` is its name or its number, empty where the area has no other."""

    part: str
    along: Decimal


@dataclass(frozen=True, slots=True)
class TapedArea:
    """The outlines of an area's parts with their shares of it, laid along their longer extents from 0."""

    names: tuple[str, ...]
    rings: tuple[tuple[tuple[float, float], ...], ...]
    shares: tuple[Decimal, ...]

    def at(self, share: Decimal) -> Mark:
        """Where so much of the area is done."""
        before = Decimal(0)
        place = 0
        while place < len(self.shares) - 1 and share > before + self.shares[place]:
            before += self.shares[place]
            place += 1
        within = min(Decimal(1), CONTEXT.divide(share - before, self.shares[place]))
        part = self.names[place] if len(self.names) > 1 else ""
        return Mark(part, _along(self.rings[place], float(within)))


Taped = Mapping[str, TapedArea]


def taped_areas(areas: Sequence[Area]) -> dict[str, TapedArea]:
    """The areas on which a tape can be run, by name; left out are those with a part that has no outline."""
    found = {}
    for area in areas:
        if all(part.shape not in UNMEASURED and part.count == 1 for part in area.parts):
            sizes = [calculated(part).shape.area() for part in area.parts]
            whole = sum(sizes, Decimal(0))
            if all(size > 0 for size in sizes):
                names = tuple(part.name or str(number) for number, part in enumerate(area.parts, 1))
                rings = tuple(_laid(part) for part in area.parts)
                found[area.name] = TapedArea(names, rings, tuple(CONTEXT.divide(size, whole) for size in sizes))
    return found


def mark_text(stretch: Stretch, share: Decimal, taped: Taped, units: str) -> Pair | None:
    """About 12′ 3″, with the part where there are several; None where no tape can be run."""
    area = taped.get(stretch.area)
    if area is None:
        return None
    mark = area.at(share)
    along = reach_text(mark.along, units)
    return say("mix.about_part", part=mark.part, along=along) if mark.part else say("mix.about", along=along)


def mark_sign(stretch: Stretch, share: Decimal, taped: Taped, units: str) -> str:
    """The same in figures, for a drawing; empty where no tape can be run."""
    area = taped.get(stretch.area)
    if area is None:
        return ""
    mark = area.at(share)
    return f"{mark.part}: ≈\u00a0{reach_text(mark.along, units)}".removeprefix(": ")


def _laid(part: Part) -> tuple[tuple[float, float], ...]:
    """The outline with its longer extent along x."""
    figure = figure_of(calculated(part).shape)
    left, low, right, high = figure.box
    if high - low > right - left:
        return tuple((y - low, x - left) for x, y in figure.ring)
    return tuple((x - left, y - low) for x, y in figure.ring)


def _along(ring: Ring, share: float) -> Decimal:
    """How far along x so much of the outline lies."""
    low, high = 0.0, max(x for x, _y in ring)
    goal = share * _size(ring)
    for _i in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _size(_cut(ring, middle)) < goal else (low, middle)
    return Decimal(repr((low + high) / 2))


def _cut(ring: Ring, at: float) -> list[tuple[float, float]]:
    """What of the outline lies up to there."""
    kept: list[tuple[float, float]] = []
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if x0 <= at:
            kept.append((x0, y0))
        if (x0 <= at) != (x1 <= at):
            kept.append((at, y0 + (y1 - y0) * (at - x0) / (x1 - x0)))
    return kept


def _size(ring: Ring) -> float:
    following = (*ring[1:], *ring[:1])
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(ring, following, strict=True))) / 2
