"""What an owner should look at before a scope goes out. A warning stops nothing."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal

from quoting.core.pricing import Price, asked_discount
from quoting.core.scope import Scope, Units
from quoting.core.units import format_number, to_unit
from quoting.core.working_lines import worked
from quoting.core.workings import AreaFigure, MaterialFigure, StepFigure

THICK = Decimal("0.0000508")
"""2 mil of dry film, in metres: over it, sealers of the trade are said to turn white, scratch and peel (common
practice).
"""


def warnings_of(
    scope: Scope,
    areas: Sequence[AreaFigure],
    steps: Sequence[StepFigure],
    materials: Sequence[MaterialFigure],
    price: Price,
) -> Iterator[str]:
    """The warnings in the order of the workings: areas, film, materials, price."""
    worked_on = {name for step in steps for name in step.areas}
    for area in areas:
        yield from (f"{area.name}: {warning}" for warning in area.figures.warnings)
        if steps and area.name not in worked_on:
            yield f"{area.name}: no step is done on it."
    yield from _thick_films(scope, areas, steps)
    for material in materials:
        if not material.needed_by:
            yield f"{material.name} is in the scope, but no step uses it."
    yield from _about_price(scope, price)


def _thick_films(scope: Scope, areas: Sequence[AreaFigure], steps: Sequence[StepFigure]) -> Iterator[str]:
    films: dict[str, Decimal] = defaultdict(Decimal)
    for step in steps:
        film = sum((sum(use.dry_films, Decimal(0)) for use in step.materials), Decimal(0))
        for name in step.areas if film else ():
            films[name] += film
    for area in areas:
        film = films[area.name]
        if film > THICK:
            if scope.units is Units.US:
                shown, most = f"{worked(to_unit(film, 'mil'))} mil", "2 mil"
            else:
                shown, most = f"{format_number(film * 1_000_000, 0)} µm", "51 µm"
            yield f"{area.name}: {shown} of dry film in all; over {most} a sealer may turn white, scratch or peel."


def _about_price(scope: Scope, price: Price) -> Iterator[str]:
    def money(amount: Decimal) -> str:
        return format_number(amount, max(0, -int(price.price.as_tuple().exponent)))

    if price.raised > price.computed:
        yield f"The price was raised to the minimum of {money(price.raised)}; it came to {money(price.computed)}."
    asked = asked_discount(price.rounded, scope.pricing, scope.currency)
    if asked > price.rounded:
        yield f"The discount of {money(asked)} is more than the price, {money(price.rounded)}: nothing is left to pay."
    elif price.discount and price.price < price.cost:
        yield f"After the discount, the price of {money(price.price)} is below the cost of {money(price.cost)}."
