"""What was measured: rows of areas and parts → the core's figures, their workings, and what the plan is drawn from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import cast

from quoting.core.areas import AreaFault, AreaFigures, PartFigures, measure
from quoting.core.areas import Part as CorePart
from quoting.core.ground import calculated
from quoting.core.plane_shapes import Quadrilateral
from quoting.core.scope_reading import BAD, Reading
from quoting.core.scope_schema import PART
from quoting.core.shapes import ShapeFault, format_area
from quoting.core.units import format_number, parse_length, to_unit
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.documents.plan import Place, PlanArea, PlanPart
from quoting.models import Area, Part

NB = "\u00a0"
Line = tuple[str, str, str]
"""One line of a long-hand sum: operator, figure, label."""


@dataclass(frozen=True, slots=True)
class PartMeasured:
    """A part with its figures; both are None where the measures can't be right, and `fault` says why."""

    row: Part
    core: CorePart | None = None
    figures: PartFigures | None = None
    fault: str = ""

    @property
    def signed_area(self) -> Decimal | None:
        """What it adds, or (negative) takes out, in m²."""
        if self.figures is None:
            return None
        return -self.figures.area if self.figures.is_deduct else self.figures.area

    def measures(self, units: str) -> str:
        """What was measured: `32′ 0″ × 14′ 6″`."""
        return self.figures.measures(units) if self.figures else ""

    def working(self, units: str) -> str:
        """The sum in one line, without the part's name."""
        return f"{self.figures.measures(units)} = {format_area(self.figures.area, units)}" if self.figures else ""


@dataclass(frozen=True, slots=True)
class AreaMeasured:
    """An area with its parts; `figures` is None while there is no net area, and `fault` says why."""

    row: Area
    parts: tuple[PartMeasured, ...]
    figures: AreaFigures | None = None
    fault: str = ""

    @property
    def agreed_stands(self) -> bool:
        """Whether the measures are still those that the customer agreed to."""
        return bool(self.row.agreed_measures) and self.row.agreed_measures == measures_hash(
            each.row for each in self.parts
        )

    def lines(self, units: str) -> list[Line]:
        """The net area as a long-hand sum."""
        if self.figures is None:
            return []
        lines = [
            (part.sign() if place or part.is_deduct else "", bare_area(part.area, units), label_of(part, units))
            for place, part in enumerate(self.figures.parts)
        ]
        return [*lines, ("=", bare_area(self.figures.net, units), f"{unit_of(units)} net")]

    def effective_lines(self, units: str) -> list[Line]:
        """The effective area as a long-hand sum; none where it is the net area."""
        if self.figures is None or self.figures.texture == 1:
            return []
        texture = f"{self.figures.texture.normalize():f}"
        effective = ("=", bare_area(self.figures.effective, units), f"{unit_of(units)} true surface")
        return [("", bare_area(self.figures.net, units), f"{unit_of(units)} net"), ("×", texture, "texture"), effective]


def measure_area(area: Area, parts: Iterable[Part] | None = None, units: str = "us") -> AreaMeasured:
    """The area with its figures; `parts` stand in for those that were kept, for a preview. Prefetch `parts`."""
    rows = list(area.parts.all() if parts is None else parts)
    read = [_read(row) for row in rows]
    if fault := next((each.fault for each in read if each.fault), ""):
        return AreaMeasured(area, tuple(read), fault=fault)
    added = [each for each in read if each.row.kind == Part.Kind.PART]
    taken = [each for each in read if each.row.kind == Part.Kind.DEDUCT]
    try:
        figures = measure(
            [cast(CorePart, each.core) for each in added],
            [cast(CorePart, each.core) for each in taken],
            area.texture,
            units,
        )
    except AreaFault as fault:
        return AreaMeasured(area, tuple(_alone(each) for each in read), fault=str(fault))
    found = dict(zip([id(each) for each in [*added, *taken]], figures.parts, strict=True))
    return AreaMeasured(area, tuple(PartMeasured(each.row, each.core, found[id(each)]) for each in read), figures)


def measures_hash(parts: Iterable[Part]) -> str:
    """The fingerprint of what was measured: shapes, and whether they are taken out; not order and names."""
    return sha256_of(canonical_json(sorted(canonical_json([part.kind, part.measures]) for part in parts)))


def plan_areas(measured: Sequence[AreaMeasured], *, part: Part | None = None, mark: str = "") -> tuple[PlanArea, ...]:
    """What the plan draws of these areas.

    `mark` is the measure of `part` that is being typed; a diagonal q that doesn't close is marked whatever is typed.
    """
    return tuple(_plan_area(each, part, mark) for each in measured if any(one.core for one in each.parts))


def bare_area(square_metres: Decimal, units: str) -> str:
    """An area without its unit, two decimals: 464.00."""
    return format_number(square_metres if units == "metric" else to_unit(square_metres, "ft**2"), 2)


def unit_of(units: str) -> str:
    """The unit of areas: ft² or m²."""
    return "m²" if units == "metric" else "ft²"


def net_shown(square_metres: Decimal, units: str) -> str:
    """A net area as it is shown: 464.00 ft²."""
    return f"{bare_area(square_metres, units)}{NB}{unit_of(units)}"


def label_of(part: PartFigures, units: str) -> str:
    """What a line of the sum is: `planter, Ø 6′ 0″, π ÷ 4 × Ø²`."""
    return ", ".join(words for words in (part.part.name, part.measures(units)) if words)


def _read(row: Part) -> PartMeasured:
    reading = Reading()
    scope_part = PART.read(row.scope_entry, "", reading)
    if scope_part is BAD or reading.faults:
        fault = reading.faults[0] if reading.faults else "These measures can't be read."
        return PartMeasured(row, fault=f"{row}: {fault}")
    try:
        core = calculated(scope_part)
        core.shape.area()
    except (AreaFault, ShapeFault) as fault:
        return PartMeasured(row, fault=f"{row}: {fault}")
    return PartMeasured(row, core)


def _alone(read: PartMeasured) -> PartMeasured:
    """A part with its own figures, where the area as a whole has none."""
    if read.core is None:
        return read
    edge = read.core.shape.edge()
    figures = PartFigures(
        read.core,
        read.core.shape.area() * read.core.count,
        None if edge is None else edge * read.core.count,
        read.row.kind == Part.Kind.DEDUCT,
    )
    return PartMeasured(read.row, read.core, figures)


def _plan_area(measured: AreaMeasured, part: Part | None, mark: str) -> PlanArea:
    row, figures = measured.row, measured.figures
    return PlanArea(
        letter=row.letter,
        name=row.name,
        surface=row.get_surface_display(),
        parts=tuple(_plan_part(each, mark if each.row is part else "") for each in measured.parts if each.core),
        net=figures.net if figures else Decimal(0),
        edge=figures.edge if figures else None,
    )


def _plan_part(measured: PartMeasured, mark: str) -> PlanPart:
    row, core = measured.row, cast(CorePart, measured.core)
    shape = core.shape
    open_q = isinstance(shape, Quadrilateral) and not shape.closes()
    return PlanPart(
        name=row.name,
        shape=shape,  # type: ignore[arg-type]  # the plan knows the eleven shapes by name, the core by what they answer
        kind="deduct" if row.kind == Part.Kind.DEDUCT else "part",
        place=cast(Place, row.place),
        x=_along(row.at_x),
        y=_along(row.at_y),
        count=core.count,
        mark="q" if open_q else mark,
    )


def _along(text: str) -> Decimal | None:
    return parse_length(text, zero=True).magnitude if text else None
