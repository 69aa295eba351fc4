"""The figures of one step and of one material, and where their cost falls: each cost is spread over the areas as it
arises.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from quoting.core.ground import Ground
from quoting.core.labour import LabourFault, hours_of
from quoting.core.packs import PacksFault
from quoting.core.purchases import purchase
from quoting.core.rounding import round_money
from quoting.core.scope import Material, Scope, Step
from quoting.core.scope_faults import Fault, ScopeFaults
from quoting.core.uses import UseFault, need_of
from quoting.core.workings import BoughtPack, MaterialFigure, StepFigure, UseFigure

_NONE = Decimal(0)


def step_figure(
    scope: Scope, step: Step, place: str, ground: Ground, materials: Mapping[str, Material], by_area: list[Decimal]
) -> StepFigure:
    """What a step on this ground takes; its labour cost is added to the sums of its areas. Raises ScopeFaults."""
    try:
        hours = hours_of(step.labour, ground)
        needs = [
            (each, materials[each.material], need_of(each, materials[each.material], ground)) for each in step.materials
        ]
    except (LabourFault, UseFault) as fault:
        raise ScopeFaults([Fault(place, str(fault))]) from fault
    cost = round_money(hours.person_hours * scope.crew.hourly_cost, scope.currency)
    _spread(cost, hours.weight, zip(ground.places, hours.weights, strict=True), by_area)
    return StepFigure(
        of=step,
        person_hours=hours.person_hours,
        elapsed_hours=hours.person_hours / scope.crew.size,
        labour_cost=cost,
        ground=ground,
        units=scope.units,
        materials=tuple(
            UseFigure(
                of=material,
                use=each.use,
                waste=each.waste,
                need=need.need,
                raw=need.raw,
                weights=need.weights,
                weight=need.weight,
                ground=ground,
                units=scope.units,
                batches=need.batches,
            )
            for each, material, need in needs
        ),
    )


def material_figures(scope: Scope, steps: Sequence[StepFigure], by_area: list[Decimal]) -> tuple[MaterialFigure, ...]:
    """What is bought of every material, its cost added to the sums of the areas by need. Raises ScopeFaults."""
    used: dict[str, list[tuple[str, UseFigure]]] = defaultdict(list)
    for step in steps:
        for use in step.materials:
            used[use.material].append((step.step, use))
    return tuple(_material(scope, material, used[material.key], by_area) for material in scope.materials)


def _material(
    scope: Scope, material: Material, uses: list[tuple[str, UseFigure]], by_area: list[Decimal]
) -> MaterialFigure:
    need = sum((use.need for _step, use in uses), _NONE)
    try:
        bought = purchase(material, need, scope.currency)
    except PacksFault as fault:
        raise ScopeFaults([Fault(f"materials.{material.key}.packs", str(fault))]) from fault
    needs: dict[int, Decimal] = defaultdict(Decimal)
    for _name, use in uses:
        share = use.need / use.weight
        for place, weight in zip(use.ground.places, use.weights, strict=True):
            needs[place] += share * weight
    _spread(bought.cost, need, needs.items(), by_area)
    return MaterialFigure(
        of=material,
        need=need,
        needed_by=tuple(uses),
        taken=bought.taken,
        bought=tuple(
            BoughtPack(pack=pack, count=count)
            for pack, count in zip(material.packs, bought.counts, strict=True)
            if count
        ),
        bought_size=bought.size,
        left_over=bought.left_over,
        cost=bought.cost,
        unit_price=bought.unit_price,
        units=scope.units,
    )


def _spread(cost: Decimal, whole: Decimal, weights: Iterable[tuple[int, Decimal]], over: list[Decimal]) -> None:
    """Adds a cost to the sums of the areas, in proportion to the weights by place, which come to `whole`."""
    if not whole or not cost:
        return
    each = cost / whole
    for place, weight in weights:
        over[place] += each * weight
