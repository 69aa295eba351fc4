"""How each figure of “What it cost” came about: its long-hand sum, adding up to the cent. Formatting only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.job_cost import LABOUR, Cause, Difference, JobCost
from quoting.core.units import Dimension, format_number, to_unit
from quoting.core.working_lines import WorkingLine
from quoting.core.workings import StepFigure, Workings
from quoting.documents.contexts import NB, sum_text

CAUSES = {
    Cause.AREA: "the area was another",
    Cause.COVERAGE: "it went less or further than reckoned",
    Cause.HOURS: "it took other hours than reckoned",
    Cause.WEATHER: "the weather",
    Cause.EXTRA: "what was not in the scope",
}
"""Which assumption a difference comes from."""

SHOWN = {
    "us": {Dimension.VOLUME: ("gal", "gal"), Dimension.MASS: ("oz", "oz"), Dimension.COUNT: ("each", "pieces")},
    "metric": {Dimension.VOLUME: ("L", "L"), Dimension.MASS: ("kg", "kg"), Dimension.COUNT: ("each", "pieces")},
}
"""The unit in which an amount is written, and its word."""

NO_AREA = "outside the areas"

Lines = list[WorkingLine]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostLine:
    """One thing in one step on one area, as it is shown; each sum with its working."""

    step: str
    area: str
    of: str
    estimated: str
    used: str
    sum: str
    estimated_lines: Lines
    quantity_lines: Lines
    sum_lines: Lines


def signed(amount: Decimal, currency: str) -> str:
    """A difference with its sign: + where it cost more."""
    told = sum_text(abs(amount), currency)
    return f"+{told}" if amount > 0 else f"\u2212{told}" if amount < 0 else told


def adding(rows: Iterable[tuple[str, Decimal]], currency: str, total: str) -> Lines:
    """A column that adds up: each label with its sum, those of nothing left out, and the total under it."""
    kept = [(label, amount) for label, amount in rows if amount]
    lines = [
        WorkingLine(_operator(amount, first=not place), sum_text(abs(amount), currency), label)
        for place, (label, amount) in enumerate(kept)
    ]
    whole = sum((amount for _label, amount in kept), Decimal(0))
    return [*lines, WorkingLine("=", signed(whole, currency).removeprefix("+"), total)]


def totals(found: JobCost, currency: str) -> list[tuple[str, str, Lines]]:
    """Estimated, used and the difference, each opening to the steps that it adds up from."""
    by_step: dict[str, list[Decimal]] = {}
    for line in found.lines:
        row = by_step.setdefault(line.step, [Decimal(0), Decimal(0)])
        row[0] += line.estimated_sum
        row[1] += line.used_sum
    apart = [("used", found.used), ("estimated", -found.estimated)]
    return [
        (
            "Estimated", sum_text(found.estimated, currency),
            adding(((name, row[0]) for name, row in by_step.items()), currency, "estimated"),
        ),
        (
            "Used", sum_text(found.used, currency),
            adding(((name, row[1]) for name, row in by_step.items()), currency, "used"),
        ),
        ("Difference", signed(found.difference, currency), adding(apart, currency, "used less estimated")),
    ]  # fmt: skip


def by_cause(found: JobCost, names: Mapping[str, str], currency: str) -> list[tuple[str, str, Lines]]:
    """Each cause with its part of the difference, opening to the things that it comes from."""
    return [
        (
            CAUSES[cause],
            signed(amount, currency),
            adding(
                ((_thing(line, names), line.cause_sums.get(cause, Decimal(0))) for line in found.lines),
                currency,
                CAUSES[cause],
            ),
        )
        for cause, amount in found.by_cause.items()
        if any(line.cause_sums.get(cause) for line in found.lines)
    ]


def by_name(found: JobCost, names: Mapping[str, str], currency: str, name: str) -> list[tuple[str, str, Lines]]:
    """The differences by step or by area, each opening to its things."""
    groups: dict[str, list[Difference]] = {}
    for line in found.lines:
        groups.setdefault(getattr(line, name) or NO_AREA, []).append(line)
    return [
        (
            group,
            signed(sum((line.difference_sum for line in lines), Decimal(0)), currency),
            adding(((_thing(line, names), line.difference_sum) for line in lines), currency, group),
        )
        for group, lines in groups.items()
    ]


def outside_line(line: Difference, currency: str) -> CostLine:
    """What was paid for nothing in the scope."""
    total = signed(line.difference_sum, currency)
    return CostLine(
        step=line.step, area="", of=CAUSES[Cause.EXTRA], estimated="", used="", sum=total, estimated_lines=[],
        quantity_lines=[], sum_lines=[],
    )  # fmt: skip


def cost_line(line: Difference, step: StepFigure, workings: Workings, units: str) -> CostLine:
    """The line with the workings of its estimate, its quantity and its sum."""
    currency = workings.scope.currency
    figure = next((each for each in workings.materials if each.material == line.of), None)
    dimension = figure.of.packs[0].size.dimension if figure else None
    price = figure.unit_price if figure else workings.scope.crew.hourly_cost

    def told(amount: Decimal) -> str:
        return amount_told(amount, dimension, units)

    by_price = f"{told(line.used)} used, at {price_told(price, dimension, units, currency)}"
    quantities = [
        WorkingLine("", told(line.estimated), "estimated"),
        *_parts(((CAUSES[cause], part) for cause, part in line.causes.items()), told),
        WorkingLine("=", told(line.used), "used"),
    ]
    sums = [
        (by_price, line.used_sum),
        (f"{told(line.estimated)} as estimated", -line.estimated_sum),
    ]
    causes = [(CAUSES[cause], amount) for cause, amount in line.cause_sums.items()]
    return CostLine(
        step=line.step,
        area=line.area,
        of=figure.of.name if figure else "hours",
        estimated=told(line.estimated),
        used=told(line.used),
        sum=signed(line.difference_sum, currency),
        estimated_lines=_estimate(line, step, told),
        quantity_lines=quantities,
        sum_lines=[*adding(sums, currency, "the difference"), *adding(causes, currency, "the same by cause")],
    )


def _estimate(line: Difference, step: StepFigure, told: Callable[[Decimal], str]) -> Lines:
    """How the whole step was reckoned, and which share of it falls on the area."""
    if line.of == LABOUR:
        lines, whole = list(step.lines), step.person_hours
    else:
        uses = [use for use in step.materials if use.material == line.of]
        lines, whole = [each for use in uses for each in use.lines], sum((use.need for use in uses), Decimal(0))
    if len(step.areas) < 2 or not whole:
        return lines
    share = format_number(line.estimated / whole * 100, 1)
    falls = WorkingLine("×", f"{share}{NB}%", f"falls on {line.area}")
    return [*lines, falls, WorkingLine("=", told(line.estimated), "estimated")]


def amount_told(amount: Decimal, dimension: Dimension | None, units: str) -> str:
    """Hours, or an amount of a material in the unit that is shown."""
    if dimension is None:
        return f"{format_number(amount, 2)}{NB}h"
    unit, word = SHOWN[units][dimension]
    return f"{format_number(to_unit(amount, unit), 2)}{NB}{word}"


def price_told(price: Decimal, dimension: Dimension | None, units: str, currency: str) -> str:
    """The price of one hour, or of one of the units that are shown."""
    if dimension is None:
        return f"{sum_text(price, currency)} an hour"
    unit, word = SHOWN[units][dimension]
    one = price / to_unit(Decimal(1), unit)
    return f"{format_number(one, 2)} a {'piece' if dimension is Dimension.COUNT else word}"


def _thing(line: Difference, names: Mapping[str, str]) -> str:
    of = "hours" if line.of == LABOUR else names.get(line.of, "")
    return ", ".join(each for each in (line.step, line.area, of) if each)


def _parts(rows: Iterable[tuple[str, Decimal]], told: Callable[[Decimal], str]) -> Lines:
    return [WorkingLine(_operator(part), told(abs(part)), label) for label, part in rows if part]


def _operator(amount: Decimal, *, first: bool = False) -> str:
    return "\u2212" if amount < 0 else "" if first else "+"
