"""What was used on a job, from what the crew wrote down: by step, area and thing, in the units of the core.

An amount that names area and coat (or batch) is written down again where it was wrong: the last one counts. One that
names no area adds up, and is spread over the step's areas as it was planned. Hours name no area either.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal, localcontext
from typing import Any

from quoting.core.job_cost import LABOUR, Used
from quoting.core.labour import hours_of
from quoting.core.material_workings import UseFigure
from quoting.core.rounding import CONTEXT
from quoting.core.scope import DilutionUse, MixUse
from quoting.core.units import Dimension
from quoting.core.workings import StepFigure, Workings
from quoting.models import Entry

Thing = tuple[int, str, str]
"""Place of the step, area, and a material's key or LABOUR."""

NONE = Decimal(0)


def crew_used(workings: Workings, entries: Iterable[Entry]) -> dict[Thing, Used]:
    """What the crew wrote down, as far as it fits the agreed work; `entries` in the order in which they were made."""
    amounts: dict[Thing, Decimal] = defaultdict(Decimal)
    with localcontext(CONTEXT):
        rows = list(entries)
        for place, hours in _hours(rows).items():
            if step := _step(workings, place):
                for area, share in labour_shares(step).items():
                    amounts[place, area, LABOUR] += hours * share
        told = last_amounts(rows)
        on_areas = {(data.get("place"), data["material"]) for data in told if _on_area(data)}
        for data in told:
            if data.get("batch") and (data.get("place"), data["material"]) in on_areas:
                continue  # how it was mixed; how much went where is written down by area
            step, use = _use(workings, data)
            if step is None or use is None or (amount := _amount(use, data)) is None:
                continue
            for area, share in _shares(step, use, data.get("area", "")).items():
                amounts[int(data["place"]), area, use.material] += amount * share
    return {thing: Used(amount=amount) for thing, amount in amounts.items()}


def taken(workings: Workings, entries: Iterable[Entry]) -> dict[tuple[str, str], Decimal]:
    """What was taken out of packs, by material and lot, in the units of the packs.

    Where batches were written down they say it, since they name the powder; else what was put on the areas.
    """
    told = last_amounts(entries)
    mixed = {(data.get("place"), data["material"]) for data in told if data.get("batch")}
    amounts: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    with localcontext(CONTEXT):
        for data in told:
            if _on_area(data) and (data.get("place"), data["material"]) in mixed:
                continue
            _step_of, use = _use(workings, data)
            if use is not None and (amount := _amount(use, data)) is not None:
                amounts[data["material"], data.get("lot", "")] += amount
    return dict(amounts)


def last_amounts(entries: Iterable[Entry]) -> list[Mapping[str, Any]]:
    """The amounts that count, in the order in which they were first written down."""
    found: dict[tuple[Any, ...], Mapping[str, Any]] = {}
    for place, entry in enumerate(entries):
        if entry.kind != Entry.Kind.USED:
            continue
        data = entry.data
        said = (data.get("place"), data["material"], data.get("area", ""), data.get("coat"), data.get("batch"))
        found[said if data.get("area") or data.get("batch") else (*said, place)] = data
    return list(found.values())


def labour_shares(step: StepFigure) -> dict[str, Decimal]:
    """How a step's hours fall on its areas, as planned."""
    hours = hours_of(step.of.labour, step.ground)
    if not hours.weight:
        return {step.areas[0]: Decimal(1)}
    return {area: weight / hours.weight for area, weight in zip(step.areas, hours.weights, strict=True)}


def _hours(entries: Iterable[Entry]) -> dict[int, Decimal]:
    """Person-hours by the place of the step."""
    found: dict[int, Decimal] = defaultdict(Decimal)
    for entry in entries:
        if entry.kind == Entry.Kind.HOURS:
            found[int(entry.data["place"])] += Decimal(entry.data["hours"])
    return found


def _on_area(data: Mapping[str, Any]) -> bool:
    return bool(data.get("area")) and not data.get("batch")


def _use(workings: Workings, data: Mapping[str, Any]) -> tuple[StepFigure | None, UseFigure | None]:
    """The agreed step and use that an amount is about, where there is one."""
    step = _step(workings, int(data.get("place", -1)))
    use = next((each for each in step.materials if each.material == data["material"]), None) if step else None
    return step, use


def _step(workings: Workings, place: int) -> StepFigure | None:
    return workings.steps[place] if 0 <= place < len(workings.steps) else None


def _shares(step: StepFigure, use: UseFigure, area: str) -> dict[str, Decimal]:
    if area:
        return {area: Decimal(1)} if area in step.areas else {}
    if not use.weight:
        return {}
    return {name: weight / use.weight for name, weight in zip(step.areas, use.weights, strict=True)}


def _amount(use: UseFigure, data: Mapping[str, Any]) -> Decimal | None:
    """The amount of the material itself; of a mix, and of a solution on its area, the crew says what was put on."""
    amount, dimension = Decimal(data["magnitude"]), data.get("dimension")
    if isinstance(use.use, MixUse) and dimension == "VOLUME" and use.dimension is Dimension.MASS:
        return amount * use.use.strength.magnitude
    if dimension != use.dimension.name:
        return None
    if isinstance(use.use, DilutionUse) and data.get("area"):
        return amount / (1 + use.use.parts_water)
    return amount
