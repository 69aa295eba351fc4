"""The calculation: a scope in, its workings out. No database, clock, network, setting or chance: the same scope always
gives the same workings, to the last digit.
"""

from decimal import Decimal, localcontext

from quoting.core.areas import AreaFault
from quoting.core.figures_of import material_figures, step_figure
from quoting.core.ground import Ground, ground_of, measured
from quoting.core.pricing import price_of, split_exactly
from quoting.core.rounding import CONTEXT, round_money
from quoting.core.scope import Category, Scope
from quoting.core.scope_faults import Fault, ScopeFaults
from quoting.core.shapes import ShapeFault
from quoting.core.warnings_of import warnings_of
from quoting.core.workings import AreaFigure, MaterialFigure, PriceFigure, StepFigure, Workings


def work_out(scope: Scope) -> Workings:
    """The workings of a scope that `read_scope` or `scope_from_data` accepts.

    Raises ScopeFaults for pack sizes and prices whose cheapest set can't be found in reasonable time, for figures too
    large to carry, and for a scope put together by hand that the reader would refuse.
    """
    with localcontext(CONTEXT):
        try:
            return _work_out(scope)
        except ArithmeticError as error:
            raise ScopeFaults([Fault("file", "comes to figures that are too large to be carried.")]) from error


def _work_out(scope: Scope) -> Workings:
    areas = _areas(scope)
    places = {area.name: place for place, area in enumerate(areas)}
    figures = [area.figures for area in areas]
    materials = {material.key: material for material in scope.materials}
    direct_by_area = [Decimal(0)] * len(areas)
    grounds: dict[tuple[str, ...], Ground] = {}
    steps = []
    for i, step in enumerate(scope.work):
        if step.areas not in grounds:
            grounds[step.areas] = ground_of(step.areas, places, figures)
        steps.append(step_figure(scope, step, f"work[{i}]", grounds[step.areas], materials, direct_by_area))
    bought = material_figures(scope, steps, direct_by_area)
    price = price_of(_direct_costs(scope, steps, bought), scope.pricing, scope.currency, scope.charges)
    weights = direct_by_area if any(direct_by_area) else [area.net for area in areas]
    shares = split_exactly(price.price, weights, scope.currency)
    return Workings(
        scope=scope,
        areas=areas,
        steps=tuple(steps),
        materials=bought,
        price=PriceFigure(
            of=price,
            pricing=scope.pricing,
            currency=scope.currency,
            by_area=tuple((area.name, share) for area, share in zip(areas, shares, strict=True)),
        ),
        warnings=tuple(warnings_of(scope, areas, steps, bought, price)),
    )


def _areas(scope: Scope) -> tuple[AreaFigure, ...]:
    areas = []
    for i, area in enumerate(scope.areas):
        try:
            figures = measured(area, scope.units)
        except (AreaFault, ShapeFault) as fault:
            raise ScopeFaults([Fault(f"areas[{i}]", str(fault))]) from fault
        areas.append(AreaFigure(name=area.name, surface=area.surface, figures=figures, units=scope.units))
    return tuple(areas)


def _direct_costs(
    scope: Scope, steps: list[StepFigure], materials: tuple[MaterialFigure, ...]
) -> dict[Category, Decimal]:
    """The direct cost by category: what is worked out, and the charges, which fall on the areas as the work does;
    charges that are a share of it come on top.
    """
    costs = dict.fromkeys(Category, round_money(Decimal(0), scope.currency))
    for material in materials:
        costs[Category.MATERIALS] += material.cost
    for step in steps:
        costs[Category.LABOUR] += step.labour_cost
    for charge in scope.charges:
        costs[charge.category] += round_money(charge.amount or Decimal(0), scope.currency)
    return costs
