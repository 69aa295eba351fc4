"""What pages show of a price: each figure from person-hours to the square foot, with the sum that it opens to.

Formatting only: every figure is the core's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import minor_places
from quoting.core.scope import Category, Units
from quoting.core.units import format_number, to_unit
from quoting.core.warnings_of import THICK
from quoting.core.working_lines import WorkingLine, given, worked
from quoting.core.workings import Workings
from quoting.views.worked import NB, Lines, film_shown, short

THREE = (Category.EQUIPMENT, Category.SUBCONTRACT, Category.OTHER)
"""What neither is a material nor is worked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRow:
    """A figure of an option: `kind` is how its row is ruled (sub, sum), `note` a sentence to mind."""

    key: str
    label: str
    shown: str
    lines: Lines = ()
    kind: str = ""
    note: str = ""


def figure_rows(workings: Workings, visits: Sequence[int]) -> list[FigureRow]:
    """Person-hours to the price a square foot, in the order of the folder."""
    hours = [(worked(step.person_hours), step.step) for step in workings.steps if step.person_hours]
    crew = workings.scope.crew
    together = workings.person_hours / crew.size
    rows = [
        FigureRow(
            key="hours",
            label="Person-hours",
            shown=format_number(workings.person_hours, 1),
            lines=sum_lines(hours, worked(workings.person_hours), "person-hours"),
        ),
        FigureRow(
            key="elapsed",
            label=f"Hours with a crew of {crew.size}",
            shown=format_number(together, 1),
            lines=(
                WorkingLine("", worked(workings.person_hours), "person-hours"),
                WorkingLine("÷", str(crew.size), "people"),
                WorkingLine("=", worked(together), "hours on the slab"),
            ),
        ),
        FigureRow(key="visits", label="Visits", shown=str(len(visits)), lines=_visits(workings)),
    ]
    if film := _film(workings):
        rows.append(film)
    return [*rows, *_costs(workings), *_profits(workings), *_prices(workings)]


def _costs(workings: Workings) -> list[FigureRow]:
    price = workings.price.of
    show = _money(workings)
    direct = price.direct_by_category
    bought = [(show(each.cost), each.name) for each in workings.materials if each.cost]
    at_work = [(show(step.labour_cost), f"{step.step}, {worked(step.person_hours)} h") for step in workings.steps]
    charged = [(show(each.amount), each.name) for each in workings.scope.charges if each.amount is not None]
    charged += [
        (show(each.amount), f"{each.charge.name}, {worked(each.share * 100)} % of {show(each.base)}")
        for each in price.shared
    ]
    others = sum((direct[category] for category in THREE), Decimal(0))
    overhead = workings.scope.pricing.overhead
    return [
        FigureRow(
            key="materials",
            label="Materials",
            shown=show(direct[Category.MATERIALS]),
            lines=sum_lines(bought, show(direct[Category.MATERIALS]), "materials"),
        ),
        FigureRow(
            key="labour",
            label=f"Labour at {show(workings.scope.crew.hourly_cost)}",
            shown=show(direct[Category.LABOUR]),
            lines=sum_lines(at_work, show(direct[Category.LABOUR]), "labour"),
        ),
        FigureRow(
            key="others",
            label="Travel and others",
            shown=show(others),
            lines=sum_lines(charged, show(others), "travel and others"),
        ),
        FigureRow(
            key="overhead",
            label=f"Overhead, {_percent(overhead)}",
            shown=show(price.overhead),
            lines=(
                WorkingLine("", show(price.direct), "direct"),
                WorkingLine("×", given(overhead), "overhead"),
                WorkingLine("=", show(price.overhead), "overhead"),
            ),
        ),
        FigureRow(
            key="cost",
            label="Cost",
            shown=show(price.cost),
            kind="sub",
            lines=(
                WorkingLine("", show(price.direct), "direct"),
                WorkingLine("+", show(price.overhead), "overhead"),
                WorkingLine("=", show(price.cost), "cost"),
            ),
        ),
    ]


def _profits(workings: Workings) -> list[FigureRow]:
    """Profit, and what share of the price and of the cost it is: both are named, since mixing them up loses money."""
    price, show = workings.price.of, _money(workings)
    profit = workings.scope.pricing.profit
    asked, rate = ("margin", profit.margin) if profit.margin is not None else ("markup", profit.markup or Decimal(0))
    rows = [
        FigureRow(
            key="profit",
            label="Profit",
            shown=show(price.profit),
            lines=(
                WorkingLine("", show(price.price), "price"),
                WorkingLine("−", show(price.cost), "cost"),
                WorkingLine("=", show(price.profit), "profit"),
            ),
        )
    ]
    for name, value, of, below in (
        ("margin", price.margin, price.price, "price"),
        ("markup", price.markup, price.cost, "cost"),
    ):
        wanted = f", wanted {_percent(rate)}" if name == asked else ""
        lines = (
            ()
            if value is None
            else (
                WorkingLine("", show(price.profit), "profit"),
                WorkingLine("÷", show(of), below),
                WorkingLine("=", worked(value), name),
            )
        )
        shown = "none" if value is None else f"{format_number(value.scaleb(2), 1)}{NB}%"
        rows.append(FigureRow(key=name, label=f"{name.capitalize()}, of the {below}{wanted}", shown=shown, lines=lines))
    return rows


def _prices(workings: Workings) -> list[FigureRow]:
    price, show = workings.price.of, _money(workings)
    us = workings.scope.units is Units.US
    unit, word = ("ft**2", "ft²") if us else ("m**2", "m²")
    rows = [
        FigureRow(
            key="price", label="Price before tax", shown=show(price.price), kind="sum big", lines=workings.price.lines
        )
    ]
    for tax in price.taxes:
        label = f"Tax, {tax.tax.name} {_percent(tax.tax.rate)}"
        lines = workings.price.tax_lines(tax)
        rows.append(FigureRow(key=f"tax {tax.tax.name}", label=label, shown=show(tax.amount), lines=lines))
    if price.taxes:
        taxes = [(show(tax.amount), tax.tax.name) for tax in price.taxes]
        total = sum_lines([(show(price.price), "price"), *taxes], show(price.total), "total")
        rows.append(FigureRow(key="total", label="Total", shown=show(price.total), kind="sub", lines=total))
    rows.append(
        FigureRow(
            key="per area",
            label=f"a square {'foot' if us else 'metre'}",
            shown=show(workings.price_per_area),
            lines=(
                WorkingLine("", show(price.price), "price"),
                WorkingLine("÷", worked(to_unit(workings.net, unit)), word),
                WorkingLine("=", show(workings.price_per_area), f"a {word}"),
            ),
        )
    )
    return rows


def _money(workings: Workings) -> Callable[[Decimal], str]:
    places = minor_places(workings.scope.currency)
    return lambda amount: format_number(amount, places)


def _percent(fraction: Decimal) -> str:
    return f"{short(format_number(fraction.scaleb(2), 4))}{NB}%"


def sum_lines(parts: Sequence[tuple[str, str]], total: str, label: str) -> Lines:
    """So many figures under each other and their sum; nothing to open where there is none."""
    if not parts:
        return ()
    lines = [WorkingLine("+" if place else "", shown, name) for place, (shown, name) in enumerate(parts)]
    return (*lines, WorkingLine("=", total, label))


def _visits(workings: Workings) -> Lines:
    by_visit: dict[int, list[str]] = {}
    for step in workings.scope.work:
        by_visit.setdefault(step.visit or 1, []).append(step.step)
    return tuple(WorkingLine("", str(visit), ", ".join(names)) for visit, names in sorted(by_visit.items()))


def _film(workings: Workings) -> FigureRow | None:
    """The dry film in all, of the area where it is thickest; each area in its sum."""
    films: dict[str, Decimal] = {}
    for step in workings.steps:
        film = sum((sum(use.dry_films, Decimal(0)) for use in step.materials), Decimal(0))
        for name in step.areas if film else ():
            films[name] = films.get(name, Decimal(0)) + film
    if not films:
        return None
    units = workings.scope.units
    thickest = max(films.values())
    over = thickest > THICK
    shown = film_shown(thickest, units, unit=False)
    return FigureRow(
        key="film",
        label="Film when dry, mil" if units is Units.US else "Film when dry, µm",
        shown=f"{shown}, over {short(film_shown(THICK, units, unit=False))}" if over else shown,
        lines=tuple(WorkingLine("", film_shown(film, units, unit=False), name) for name, film in films.items()),
        note="Over it a sealer may turn white, scratch or peel." if over else "",
    )
