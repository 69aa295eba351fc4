"""What folder and area pages show of what was measured: table rows, and the plan in two widths. Formatting only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from quoting.core.areas import AreaFigures
from quoting.documents.measured import AreaMeasured, Line, PartMeasured, bare_area, plan_areas
from quoting.documents.plan import Drawing, draw_plan
from quoting.forms.shapes import SHAPES
from quoting.models import Area, Part

NARROW_PX = 350


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
        called=called_out(part.row.measures),
        area="" if area is None else bare_area(area, units),
        edge=part.figures.edge if part.figures else None,
        said=part.working(units),
        fault=part.fault,
    )


def called_out(measures: dict[str, Any]) -> str:
    """The measures as they were called out: `24' 3" × 4' 2"`, `a 6' 2", b 5' 8" …`, `9 at 4': 0, 2' 1" …`."""
    shape = SHAPES.get(str(measures.get("shape")))
    if shape is None:
        return ""
    given = {
        measure.label: _as_called(measures[measure.name]) for measure in shape.measures if measure.name in measures
    }
    match shape.key:
        case "rectangle" | "ellipse":
            words = " × ".join(given.values())
        case "steps":
            flight = f"{given.pop('How many', '')} × {given.pop('Width', '')}"
            words = ", ".join([flight, *(f"{label.lower()} {text}" for label, text in given.items())])
        case "circle":
            words = f"Ø {given.get('Diameter', '')}"
        case "measured":
            words = ", edge ".join(given.values())
        case "polygon":
            words = f"{len(measures.get('points', ()))} corners: {given.get('Corners', '')}"
        case "offsets":
            words = f"{len(measures.get('offsets', ()))} at {given.get('Every', '')}: {given.get('Offsets', '')}"
        case _:
            words = ", ".join(f"{label[0].lower()}{label[1:]} {text}" for label, text in given.items())
    count = measures.get("count", 1)
    return f"{count} × ({words})" if shape.key != "steps" and count not in (1, "1") else words


def _as_called(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(f"({', '.join(map(str, each))})" if isinstance(each, list) else str(each) for each in value)
    return str(value)


def total_net(measured: Sequence[AreaMeasured], units: str) -> str:
    """All net areas together, as text; empty while none is known."""
    nets = [each.figures.net for each in measured if each.figures]
    return bare_area(sum(nets[1:], nets[0]), units) if nets else ""


MOST_DRAWN_AREAS = 24
MOST_DRAWN_PARTS = 60
"""On one drawing. More could not be told apart on a phone, and would take seconds to lay out."""


@dataclass(frozen=True)
class Plan:
    """A drawing for a sheet and one for a phone, and the sentence that says what is left out of them."""

    wide: Drawing
    narrow: Drawing
    left_out: str = ""


def draw_twice(
    measured: Sequence[AreaMeasured],
    *,
    units: str,
    title: str,
    wide_px: int,
    prefix: str = "plan",
    part: Part | None = None,
    mark: str = "",
) -> Plan | None:
    """The plan in two widths; None while nothing can be drawn. `part` is the one that is being measured."""
    drawn, left_out = _drawable(measured, part)
    areas = plan_areas(drawn, part=part, mark=mark)
    if not areas:
        return None
    highlight = None
    if part is not None:
        rows = [each.row for each in drawn[0].parts if each.core]
        place = next((index for index, row in enumerate(rows) if row is part), None)
        highlight = (areas[0].letter, place) if place is not None else None
    wide, narrow = (
        draw_plan(areas, width_px=width, units=units, highlight=highlight, prefix=f"{prefix}-{key}", title=title)  # type: ignore[arg-type]
        for key, width in (("wide", wide_px), ("narrow", NARROW_PX))
    )
    return Plan(wide, narrow, left_out)


def _drawable(measured: Sequence[AreaMeasured], part: Part | None) -> tuple[list[AreaMeasured], str]:
    """As many areas and parts as one drawing holds: the first ones, or those about the part that is being measured."""
    drawn: list[AreaMeasured] = []
    room = MOST_DRAWN_PARTS
    for area in measured:
        count = len(area.parts)
        if count > room and not drawn:
            place = next((index for index, each in enumerate(area.parts) if each.row is part), 0)
            start = min(max(0, place - room // 2), count - room)
            words = f"The drawing shows parts {start + 1} to {start + room} of {count}."
            return [replace(area, parts=area.parts[start : start + room])], words
        if count > room or len(drawn) == MOST_DRAWN_AREAS:
            last, first = drawn[-1].row.letter, drawn[0].row.letter
            return drawn, f"The drawing shows areas {first} to {last}; every other one is drawn on its own page."
        drawn.append(area)
        room -= count
    return drawn, ""
