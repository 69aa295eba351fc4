"""From rows to scopes: what an option, alone or together with its add-ons, comes to is a scope for the core.

The scope is built as scope-file data and goes through the core's own reader, so that a draft is held to the same rules
as a file, and a fault carries the same sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

from quoting.core.book_units import BookUnits
from quoting.core.scope import Scope
from quoting.core.scope_faults import Fault
from quoting.core.scope_file import ScopeFaults, scope_from_data
from quoting.core.tax_places import Located
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.models import Area, Firm, Material, MissingCoverage, Option, OptionGroup, OptionStep, StepMaterial
from quoting.services.firm import taxes_at
from quoting.services.scope_work import Gap, charge_data, labour_data, material_data, plain_text, use_data

__all__ = ["Gap", "OptionIncomplete", "pricing_data", "scope_of", "steps_of", "visits_of", "workings_of"]

Data = dict[str, Any]

_PLACE = re.compile(r"(areas|work)\[(\d+)\](?:\.(.+))?")


class OptionIncomplete(Exception):
    """The option can't be worked out yet; `gaps` says what is missing, all of it."""

    def __init__(self, gaps: Sequence[Gap]) -> None:
        self.gaps = tuple(gaps)
        super().__init__(" ".join(gap.sentence for gap in gaps))


def scope_of(firm: Firm, option: Option, add_ons: Iterable[Option] = ()) -> Scope:
    """The scope of an option, worked out together with these add-ons: packs and visits are shared.

    Expects options from `Option.objects.with_everything()`. Its steps stand in the order of `steps_of`. Raises
    OptionIncomplete with every gap.
    """
    together = [option, *add_ons]
    gaps: list[Gap] = []
    areas = _areas_of(together)
    if not areas:
        raise OptionIncomplete([Gap("", "No system has been chosen for an area yet.")])
    materials: dict[str, Material] = {}
    steps = [step for each in together for step in _steps(each, gaps)]
    counts_in = option.edition.counts_in
    work = [_work(step, _areas_in(step.group), materials, gaps, counts_in) for step in steps]
    _follow_sealers(steps, work)
    if not work:
        gaps.append(Gap("", "Every step is switched off: there is nothing to price."))
    gaps += [Gap("", f"{area.name} has not been measured yet.") for area in areas if not area.parts.all()]
    if gaps:
        raise OptionIncomplete(gaps)
    data: Data = {
        "format": 1,
        "title": _title(together),
        "currency": firm.currency,
        "units": firm.units,
        "areas": [area.scope_entry for area in areas],
        "materials": {key: material_data(material, counts_in) for key, material in sorted(materials.items())},
        "work": work,
        "crew": {"size": firm.crew_size, "hourly_cost": plain_text(firm.hourly_cost.amount)},
        "charges": list(_charges(together, {step["visit"] for step in work})),
        "pricing": pricing_data(firm, option.job.property, option.discount.amount),
    }
    try:
        return scope_from_data(data)
    except ScopeFaults as faults:
        raise OptionIncomplete(_gaps_of(faults, areas, steps)) from faults


def workings_of(firm: Firm, option: Option, add_ons: Iterable[Option] = ()) -> Workings:
    """What the option comes to, together with these add-ons. Raises OptionIncomplete."""
    add_ons = tuple(add_ons)
    try:
        return work_out(scope_of(firm, option, add_ons))
    except ScopeFaults as faults:
        together = [option, *add_ons]
        raise OptionIncomplete(_gaps_of(faults, _areas_of(together), steps_of(option, add_ons))) from faults


def steps_of(option: Option, add_ons: Iterable[Option] = ()) -> list[OptionStep]:
    """The steps that are done, in the order of the scope and its workings."""
    return [step for each in (option, *add_ons) for step in _steps(each, [])]


def visits_of(option: Option, add_ons: Iterable[Option] = ()) -> tuple[int, ...]:
    """The visits on which something is done."""
    return tuple(sorted({_visit(step) for step in steps_of(option, add_ons)}))


def _title(together: Sequence[Option]) -> str:
    return " + ".join(option.name for option in together)[:200]


def _areas_of(together: Sequence[Option]) -> list[Area]:
    found = {area.pk: area for option in together for group in option.groups.all() for area in group.areas.all()}
    return sorted(found.values(), key=lambda area: (area.position, area.pk))


def _areas_in(group: OptionGroup) -> list[Area]:
    return sorted(group.areas.all(), key=lambda area: (area.position, area.pk))


def _steps(option: Option, gaps: list[Gap]) -> Iterator[OptionStep]:
    for group in option.groups.all():
        if not group.areas.all():
            gaps.append(Gap("", f"{group.system.name} has no area to be done on."))
            continue
        for step in sorted(group.steps.all(), key=lambda each: (each.step.position, each.pk or 0)):
            if step.on:
                yield step


def _work(
    option_step: OptionStep,
    areas: Sequence[Area],
    materials: dict[str, Material],
    gaps: list[Gap],
    counts_in: BookUnits,
) -> Data:
    step = option_step.step
    entry: Data = {"step": step.name, "areas": [area.name for area in areas], "visit": _visit(option_step)}
    if step.hold_hours:
        entry["hold"] = f"{plain_text(step.hold_hours)} hour"
    if labour := labour_data(option_step, gaps, areas):
        entry["labour"] = labour
    if used := [_use(option_step, each, areas, materials, gaps, counts_in) for each in step.materials.all()]:
        entry["materials"] = used
    return entry


def _visit(option_step: OptionStep) -> int:
    return option_step.visit or option_step.step.visit


def _use(
    option_step: OptionStep,
    step_material: StepMaterial,
    areas: Sequence[Area],
    materials: dict[str, Material],
    gaps: list[Gap],
    counts_in: BookUnits,
) -> Data:
    own = option_step.use_of(step_material)
    material = (own and own.material) or step_material.material
    materials[material.key] = material
    found = [(area.surface, area.condition) for area in areas]
    try:
        return use_data(
            step_material, found, own, counts_in=counts_in, length=option_step.length, count=option_step.count
        )
    except MissingCoverage as missing:
        gaps.append(Gap(option_step.step.name, f"{option_step.step.name}: {missing}", option_step.pk))
        return {}


def _follow_sealers(steps: Sequence[OptionStep], work: Sequence[Data]) -> None:
    """What is stirred into a sealer goes as far as the last coat before it that is spread on any of its areas.

    Where there is none, such as for an extra by itself, the material's own coverage in the book holds; a coverage that
    the option or the system gives goes before both.
    """
    for place, step in enumerate(steps):
        for step_material, entry in zip(step.step.materials.all(), work[place].get("materials", ()), strict=False):
            own = step.use_of(step_material)
            if step_material.use.get("by") != "stirred" or "coverage" in step_material.use or (own and own.coverage):
                continue
            for before in range(place - 1, -1, -1):
                if set(work[before]["areas"]) & set(work[place]["areas"]) and (last := _last_coat(steps, work, before)):
                    entry["use"]["coverage"] = last
                    break


def _last_coat(steps: Sequence[OptionStep], work: Sequence[Data], place: int) -> str:
    """How far the last coat of a liquid sealer goes that a step spreads; empty where it spreads none."""
    found = ""
    for step_material, entry in zip(steps[place].step.materials.all(), work[place].get("materials", ()), strict=False):
        own = steps[place].use_of(step_material)
        material, use = (own and own.material) or step_material.material, entry.get("use", {})
        if (material.group, material.kind, use.get("by")) == ("sealers", "liquid", "coverage"):
            found = str(use["rates"][-1] if use.get("rates") else use.get("coverage", ""))
    return found


def _gaps_of(faults: ScopeFaults, areas: Sequence[Area], steps: Sequence[OptionStep]) -> list[Gap]:
    """The faults of the core's reader, each in the step or the area that it is about."""
    return [_gap_of(fault, areas, steps) for fault in faults.faults]


def _gap_of(fault: Fault, areas: Sequence[Area], steps: Sequence[OptionStep]) -> Gap:
    found = _PLACE.match(fault.place)
    if found is None:
        return Gap("", f"{fault.place}: {fault.sentence}" if fault.place not in ("", "file") else fault.sentence)
    where, number, inside = found[1], int(found[2]), found[3] or ""
    sentence = f"{inside.rsplit('.', 1)[-1].replace('_', ' ')} {fault.sentence}".strip()
    if where == "areas":
        return Gap("", f"{areas[number].name}: {sentence}")
    step = steps[number]
    return Gap(step.step.name, f"{step.step.name}: {sentence}", step.pk)


def _charges(together: Sequence[Option], visits: set[int]) -> Iterator[Data]:
    """The charges; what is charged a visit is charged once for each visit that anything falls on, add-ons included."""
    seen: set[int] = set()
    for option in together:
        for charge in option.charges.all():
            if not charge.on or (charge.charge_id and charge.charge_id in seen):
                continue  # an add-on that comes along shares the option's travel
            if charge.charge_id:
                seen.add(charge.charge_id)
            yield charge_data(charge, len(visits))


def pricing_data(firm: Firm, place: Located, discount: Decimal = Decimal(0)) -> Data:
    """The firm's pricing rules as the scope file writes them, with the taxes of the place and a discount as a sum."""
    return {
        "overhead": plain_text(firm.overhead),
        "profit": {firm.profit_kind: plain_text(firm.profit)},
        "minimum": plain_text(firm.minimum.amount),
        "round_to": plain_text(firm.round_to.amount),
        "discount": {"amount": plain_text(discount)} if discount else "0",
        "tax": [{"name": rule.name, "rate": plain_text(rule.rate), "on": rule.on} for rule in taxes_at(firm, place)],
    }
