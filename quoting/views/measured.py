"""What folder and area pages show of what was measured: table rows, and the plan in two widths. Formatting only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from quoting.core.areas import AreaFigures
from quoting.documents.measured import AreaMeasured, Line, PartMeasured, bare_area, plan_areas
from quoting.documents.plan import Drawing, draw_plan
from quoting.forms.shapes import SHAPES
from quoting.models import Area, Part


@dataclass(frozen=True)
class PartRow:
    """A part in a table: its place counted from 1, its shape's word, its figures as text."""

    row: Part
    number: int
    shape: str
    called: str
    area: str
    edge: Any
    said: str
    fault: str

    @property
    def title(self) -> str:
        """Its name, or its shape."""
        return self.row.name or self.shape


@dataclass(frozen=True)
class AreaRow:
    """An area in a table, with its parts; `net` is empty while there is no figure."""

    row: Area
    figures: AreaFigures | None
    net: str
    lines: Sequence[Line]
    effective: str
    effective_lines: Sequence[Line]
    parts: tuple[PartRow, ...]
    fault: str
    agreed_stands: bool

    @property
    def warnings(self) -> tuple[str, ...]:
        """What does not close."""
        return self.figures.warnings if self.figures else ()


def area_row(measured: AreaMeasured, units: str) -> AreaRow:
    """An area as the tables show it."""
    figures = measured.figures
    return AreaRow(
        row=measured.row,
        figures=figures,
        net=bare_area(figures.net, units) if figures else "",
        lines=measured.lines(units) if len(measured.parts) > 1 else [],
        effective=bare_area(figures.effective, units) if figures and figures.texture != 1 else "",
        effective_lines=measured.effective_lines(units),
        parts=tuple(_part_row(part, number, units) for number, part in enumerate(measured.parts, start=1)),
        fault=measured.fault if measured.parts else "",
        agreed_stands=measured.agreed_stands,
    )


def _part_row(part: PartMeasured, number: int, units: str) -> PartRow:
    shape = SHAPES.get(str(part.row.measures.get("shape")))
    area = part.signed_area
    return PartRow(
        row=part.row,
        number=number,
        shape=shape.label if shape else "unknown shape",
        called=part.measures(units),
        area="" if area is None else bare_area(area, units),
        edge=part.figures.edge if part.figures else None,
        said=part.working(units),
        fault=part.fault,
    )


def total_net(measured: Sequence[AreaMeasured], units: str) -> str:
    """All net areas together, as text; empty while none is known."""
    nets = [each.figures.net for each in measured if each.figures]
    return bare_area(sum(nets[1:], nets[0]), units) if nets else ""


def draw_twice(
    measured: Sequence[AreaMeasured],
    *,
    units: str,
    title: str,
    wide_px: int,
    prefix: str = "plan",
    part: Part | None = None,
    mark: str = "",
) -> dict[str, Drawing] | None:
    """The plan for a sheet and for a phone; None while nothing can be drawn. `part` is being measured."""
    areas = plan_areas(measured, part=part, mark=mark)
    if not areas:
        return None
    highlight = None
    if part is not None:
        drawn = [each.row for each in measured[0].parts if each.core]
        place = next((index for index, row in enumerate(drawn) if row is part), None)
        highlight = (areas[0].letter, place) if place is not None else None
    return {
        key: draw_plan(areas, width_px=width, units=units, highlight=highlight, prefix=f"{prefix}-{key}", title=title)  # type: ignore[arg-type]
        for key, width in (("wide", wide_px), ("narrow", 350))
    }
