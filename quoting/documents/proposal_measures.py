"""What was measured, as the homeowner reads it: the plan to scale, and each area with its sizes and agreed figure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import cast

from quoting.core.areas import Part as CorePart
from quoting.core.shapes import (
    Circle,
    Ellipse,
    Offsets,
    Polygon,
    Quadrilateral,
    Rectangle,
    Sector,
    Steps,
    Trapezoid,
    Triangle,
)
from quoting.core.units import format_number, to_unit
from quoting.documents.area_letters import told_letters
from quoting.documents.contexts import Facts, day_text, drawn
from quoting.documents.drawing import Drawing
from quoting.documents.measured import AreaMeasured, PartMeasured, plan_areas
from quoting.documents.plan import PlanArea, draw_plan
from quoting.documents.plan_words import Units, length_figure, plain, short_figure
from quoting.models import Firm, Part

SHEET_PX = {Firm.PaperSize.LETTER: 672, Firm.PaperSize.A4: 648}
"""The width of the text in CSS pixels: the sheet less two margins of .75 in."""

PHONE_PX = 350
"""The width of a drawing on the homeowner's phone, which the facts hold besides that of the sheet."""

BESIDE_PX = 440
"""How high the plan may be, in CSS pixels, that its table may stand on the same sheet: under half of its text."""

SHEET_MOST_PX = 800
"""How high a plan may be on a sheet, in CSS pixels: the text of the lower one is 905 high, with its heading."""

MOST_BESIDE = 6
"""Areas in a table that stands below its plan on the same sheet."""

NARROWER = (640, 610, 580, 550, 520, 490, 460, 430)
"""Widths of a plan, in CSS pixels, where that of the sheet makes it too high."""

NB = "\u00a0"


def measured_facts(measured: Sequence[AreaMeasured], firm: Firm, place: str) -> Facts:
    """The plan and the table of areas; the total is the sum of the figures that are printed."""
    units: Units = "metric" if firm.units == Firm.Units.METRIC else "us"
    nets = [net_figure(each.figures.net, units) for each in measured if each.figures]
    areas, title = plan_areas(measured), f"Plan of {place}, to scale"
    plan = _sheet_plan(areas, firm, units, title)
    narrow = draw_plan(areas, width_px=PHONE_PX, units=units, title=title, prefix="plan-narrow")
    return {
        "plan": drawn(plan),
        "plans": [drawn(each) for each in _plans(areas, plan, firm, units, title)],
        "plan_narrow": drawn(narrow),
        "measured": [_row(each, units) for each in measured],
        "measured_unit": "m²" if units == "metric" else "ft²",
        "measured_total": format_number(sum(nets, Decimal(0)), 2) if len(nets) > 1 else "",
        "any_agreed": "yes" if any(each.agreed_stands for each in measured) else "",
    }


def cover_plan(measured: Sequence[AreaMeasured], firm: Firm, place: str, room_px: int) -> Facts | str:
    """The plan for the cover: as wide as the sheet, else narrower until it is no higher than the room there is;
    nothing where it still is too high.
    """
    units: Units = "metric" if firm.units == Firm.Units.METRIC else "us"
    title = f"Plan of {place}, to scale"
    plan = _no_higher(plan_areas(measured), room_px, firm, units, title, prefix="cover")
    return drawn(plan) if plan else ""


def _sheet_plan(areas: tuple[PlanArea, ...], firm: Firm, units: Units, title: str) -> Drawing:
    """The plan of a few areas with room for its table below it; that of many as wide as the sheet."""
    width = SHEET_PX[Firm.PaperSize(firm.paper_size)]
    beside = _no_higher(areas, BESIDE_PX, firm, units, title) if len(areas) <= MOST_BESIDE else None
    return beside or draw_plan(areas, width_px=width, units=units, title=title)


def _plans(areas: tuple[PlanArea, ...], whole: Drawing, firm: Firm, units: Units, title: str) -> list[Drawing]:
    """The plan in as many drawings as it needs, each with some of the areas and no higher than a sheet; none where the
    whole is not.
    """
    width, count = SHEET_PX[Firm.PaperSize(firm.paper_size)], -(-whole.height // SHEET_MOST_PX)
    while 1 < count <= len(areas):
        size = -(-len(areas) // count)
        shares = [areas[first : first + size] for first in range(0, len(areas), size)]
        plans = [
            draw_plan(
                share,
                width_px=width,
                units=units,
                title=f"{title}: {', '.join(told_letters(area.letter for area in share))}",
                prefix=f"plan-{place}",
            )
            for place, share in enumerate(shares, start=1)
        ]
        if max(plan.height for plan in plans) <= SHEET_MOST_PX:
            return plans
        count += max(1, count // 4)
    return []


def _no_higher(
    areas: tuple[PlanArea, ...], most_px: int, firm: Firm, units: Units, title: str, prefix: str = "plan"
) -> Drawing | None:
    """The plan as wide as the sheet, else narrower until it is no higher than that; None where it still is."""
    for width in (SHEET_PX[Firm.PaperSize(firm.paper_size)], *NARROWER):
        plan = draw_plan(areas, width_px=width, units=units, title=title, prefix=prefix)
        if plan.primitives and plan.height <= most_px:
            return plan
    return None


def net_figure(square_metres: Decimal, units: str) -> Decimal:
    """An area in the unit of the paper, as it is printed."""
    shown = square_metres if units == Firm.Units.METRIC else to_unit(square_metres, "ft**2")
    return Decimal(format_number(shown, 2).replace(",", ""))


def area_text(square_metres: Decimal, units: str) -> str:
    """An area with its unit, two decimals: 532.39 ft²."""
    unit = "m²" if units == Firm.Units.METRIC else "ft²"
    return f"{format_number(net_figure(square_metres, units), 2)}{NB}{unit}"


def measures_said(part: CorePart, units: Units) -> str:
    """The sizes of a part in a few words, without the sum: `32′ 0″ × 14′ 6″`, `Ø 6′ 0″`."""

    def told(metres: Decimal) -> str:
        return length_figure(metres, units).replace(" ", NB)

    shape = part.shape
    times = f"{part.count} × " if part.count > 1 else ""
    match shape:
        case Rectangle():
            said = f"{told(shape.length)} × {told(shape.width)}"
        case Ellipse():
            said = f"oval {told(shape.length)} × {told(shape.width)}"
        case Triangle():
            said = f"triangle {told(shape.a)}, {told(shape.b)}, {told(shape.c)}"
        case Quadrilateral():
            sides = ", ".join(told(side) for side in (shape.a, shape.b, shape.c, shape.d))
            said = f"sides {sides}, diagonal {told(shape.p)}"
        case Trapezoid():
            said = f"{told(shape.a)} and {told(shape.b)}, {told(shape.height)} apart"
        case Circle():
            said = f"Ø{NB}{told(shape.diameter)}"
        case Sector():
            said = f"radius {told(shape.radius)}, {plain(shape.angle)}°"
        case Polygon():
            said = f"{len(shape.points)} corners by coordinates"
        case Offsets():
            said = f"{len(shape.offsets)} offsets every {told(shape.spacing)}"
        case Steps():
            tread, riser = short_figure(shape.tread, units), short_figure(shape.riser, units)
            said = f"{shape.count} × {told(shape.width)}, tread {tread}, rise {riser}"
        case _:
            said = "as given"
    return f"{times}{said}"


def _row(measured: AreaMeasured, units: Units) -> Facts:
    area = measured.row
    agreed = ""
    if measured.agreed_stands and area.agreed_on:
        agreed = f"{area.agreed_with}, {day_text(area.agreed_on)}" if area.agreed_with else day_text(area.agreed_on)
    return {
        "letter": area.letter,
        "name": area.name,
        "surface": area.get_surface_display(),
        "measures": [_part_said(part, units) for part in measured.parts if part.core],
        "agreed": agreed,
        "net": format_number(net_figure(measured.figures.net, units), 2) if measured.figures else "",
    }


def _part_said(part: PartMeasured, units: Units) -> str:
    measures = measures_said(cast(CorePart, part.core), units)
    said = f"{part.row.name} {measures}" if part.row.name else measures
    return f"less {said}" if part.row.kind == Part.Kind.DEDUCT else said
