"""From rows to scopes: what an option, alone or together with its add-ons, comes to is a scope for the core.

The scope is built as scope-file data and goes through the core's own reader, so that a draft is held to the same rules as a
file, and a fault carries the same sentence.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core.scope import Scope
from quoting.core.scope_file import ScopeFaults, scope_from_data
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.models import Area, Firm, Material, Option, OptionGroup, OptionStep, OptionUse, StepMaterial, SystemStep
from quoting.models.pricebook import MissingCoverage

Data = dict[str, Any]


@dataclass(frozen=True)
class Gap:
    """One thing that must be said before an option can be worked out, and the step in which it is missing."""

    step: str
    sentence: str
    option_step: int | None = None


class OptionIncomplete(Exception):
    """The option can't be worked out yet; `gaps` says what is missing, all of it."""

    def __init__(self, gaps: Sequence[Gap]) -> None:
        self.gaps = tuple(gaps)
        super().__init__(" ".join(gap.sentence for gap in gaps))


def scope_of(firm: Firm, option: Option, add_ons: Iterable[Option] = ()) -> Scope:
    """The scope of an option, worked out together with these add-ons: packs and visits are shared.

    Expects options from `Option.objects.with_everything()`. Raises OptionIncomplete with every gap.
    """
    together = [option, *add_ons]
    gaps: list[Gap] = []
    if not any(group.areas.all() for each in together for group in each.groups.all()):
        raise OptionIncomplete([Gap("", "No system has been chosen for an area yet.")])
    work: list[Data] = []
    materials: dict[str, Material] = {}
    for each in together:
        for group in each.groups.all():
            work += _work_of(group, materials, gaps)
    if not work:
        gaps.append(Gap("", "Every step is switched off: there is nothing to price."))
    areas = _areas_of(together)
    for area in areas:
        if not area.parts.all():
            gaps.append(Gap("", f"{area.name} has not been measured yet."))
    if gaps:
        raise OptionIncomplete(gaps)
    data: Data = {
        "format": 1,
        "title": _title(together),
        "currency": firm.currency,
        "units": firm.units,
        "areas": [area_data(area) for area in areas],
        "materials": {key: material_data(material) for key, material in sorted(materials.items())},
        "work": work,
        "crew": {"size": firm.crew_size, "hourly_cost": _text(firm.hourly_cost.amount)},
        "charges": list(_charges(together, {step["visit"] for step in work})),
        "pricing": pricing_data(firm, option.discount.amount),
    }
    try:
        return scope_from_data(data)
    except ScopeFaults as faults:
        raise OptionIncomplete([Gap(fault.place, fault.sentence) for fault in faults.faults]) from faults


def workings_of(firm: Firm, option: Option, add_ons: Iterable[Option] = ()) -> Workings:
    """What the option comes to, together with these add-ons."""
    return work_out(scope_of(firm, option, add_ons))


def area_data(area: Area) -> Data:
    """An area and its parts as the scope file writes them."""
    data: Data = {
        "name": area.name,
        "surface": area.get_surface_display(),
        "texture": _text(area.texture),
        "parts": [part.measures for part in area.parts.all() if part.kind == part.Kind.PART],
    }
    if deducts := [part.measures for part in area.parts.all() if part.kind == part.Kind.DEDUCT]:
        data["deducts"] = deducts
    return data


def visits_of(option: Option, add_ons: Iterable[Option] = ()) -> tuple[int, ...]:
    """The visits on which something is done."""
    steps = (
        step for each in (option, *add_ons) for group in each.groups.all() for step in group.steps.all() if step.on
    )
    return tuple(sorted({_visit(step) for step in steps}))


def _title(together: Sequence[Option]) -> str:
    return " + ".join(option.name for option in together)[:200]


def _areas_of(together: Sequence[Option]) -> list[Area]:
    found = {area.pk: area for option in together for group in option.groups.all() for area in group.areas.all()}
    return sorted(found.values(), key=lambda area: (area.position, area.pk))


def _work_of(group: OptionGroup, materials: dict[str, Material], gaps: list[Gap]) -> Iterator[Data]:
    areas = sorted(group.areas.all(), key=lambda area: (area.position, area.pk))
    if not areas:
        gaps.append(Gap("", f"{group.system.name} has no area to be done on."))
        return
    for option_step in sorted(group.steps.all(), key=lambda each: (each.step.position, each.pk)):
        if not option_step.on:
            continue
        step = option_step.step
        entry: Data = {"step": step.name, "areas": [area.name for area in areas], "visit": _visit(option_step)}
        if step.hold_hours:
            entry["hold"] = f"{_text(step.hold_hours)} hour"
        if labour := labour_data(option_step, gaps):
            entry["labour"] = labour
        used = [_use(option_step, each, areas, materials, gaps) for each in step.materials.all()]
        if used:
            entry["materials"] = used
        yield entry


def _visit(option_step: OptionStep) -> int:
    return option_step.visit or option_step.step.visit


def labour_data(option_step: OptionStep, gaps: list[Gap]) -> Data | None:
    """The hours of a step as the scope file writes them; what is missing goes to `gaps`."""
    step = option_step.step

    def gap(sentence: str) -> None:
        gaps.append(Gap(step.name, f"{step.name}: {sentence}", option_step.pk))

    if step.measure == SystemStep.Measure.HOURS:
        hours = option_step.hours if option_step.hours is not None else step.hours
        if hours is None:
            gap("say how many person-hours it takes.")
            return None
        return {"hours": f"{_text(hours)} hour"}
    task = step.task
    if task is None:
        return None
    labour: Data = {
        "rate": f"{_text(option_step.rate or task.rate)} {task.unit}",
        "passes": option_step.passes or step.passes,
        "setup": f"{_text(option_step.setup if option_step.setup is not None else task.setup)} hour",
        "difficulty": _text(option_step.difficulty or Decimal(1)),
    }
    if step.measure == SystemStep.Measure.LENGTH:
        if not option_step.length:
            gap("say how long it is, such as 18 ft.")
        labour["length"] = option_step.length
    elif step.measure == SystemStep.Measure.COUNT:
        if option_step.count is None:
            gap("say how many there are.")
        labour["count"] = option_step.count
    return labour


def _use(
    option_step: OptionStep,
    step_material: StepMaterial,
    areas: Sequence[Area],
    materials: dict[str, Material],
    gaps: list[Gap],
) -> Data:
    own = next((each for each in option_step.uses.all() if each.step_material_id == step_material.pk), None)
    material = (own and own.material) or step_material.material
    materials[material.key] = material
    found = [(area.surface, area.condition) for area in areas]
    try:
        return use_data(step_material, found, own, length=option_step.length, count=option_step.count)
    except MissingCoverage as missing:
        gaps.append(Gap(option_step.step.name, f"{option_step.step.name}: {missing}", option_step.pk))
        return {}


def use_data(
    step_material: StepMaterial,
    found: Sequence[tuple[str, str]],
    own: OptionUse | None = None,
    *,
    length: str = "",
    count: int | None = None,
) -> Data:
    """A material of a step as the scope file writes it, on slabs of these surfaces and conditions.

    The option's own figures come first, then the system's, then the price book's. Raises MissingCoverage.
    """
    material = (own and own.material) or step_material.material
    use = dict(step_material.use)
    first_coat, condition = use.pop("first_coat", 1), use.pop("condition", "")
    kind = use.get("by")
    if kind == "mix":
        strength = (own and own.strength) or material.strength
        if strength and ((own and own.strength) or "strength" not in use):
            use["strength"] = f"{_text(strength)} oz/gal"
    if kind in {"coverage", "mix", "dilution"}:
        _cover(use, own, material, [(surface, condition or as_found) for surface, as_found in found], first_coat)
    if kind in {"length", "crack"}:
        use["length"] = (own and own.length) or use.get("length") or length or "edge"
    if kind == "crack" and own:
        use |= {name: value for name in ("width", "depth") if (value := getattr(own, name))}
    if kind == "joint" and material.density and "density" not in use:
        use["density"] = f"{_text(material.density)} lb/ft**3"
    if kind == "each" and "per_area" not in use:
        use["count"] = (own and own.count) or count or use.get("count") or 1
    entry: Data = {"material": material.key, "use": use}
    waste = next(
        (each for each in (own and own.waste, step_material.waste, material.waste) if each is not None), Decimal(0)
    )
    if waste:
        entry["waste"] = _text(waste)
    return entry


def _cover(
    use: Data, own: OptionUse | None, material: Material, found: Sequence[tuple[str, str]], first_coat: int
) -> None:
    """Put coverage and coats into a use: the option's own figure, else the system's, else the price book's for the slab found.

    One use has one coverage for all its areas; where they differ, the thirstiest of them decides, so that nobody runs short.
    """
    coats = (own and own.coats) or use.get("coats") or len(use.get("rates", ())) or 1
    if own and own.coverage:
        use.pop("rates", None)
        use |= {"coverage": f"{_text(own.coverage)} ft**2/gal", "coats": coats}
        return
    if "coverage" in use or ("rates" in use and len(use["rates"]) == coats):
        if "coverage" in use:
            use["coats"] = coats
        return
    use.pop("rates", None)
    rates = [
        min(material.coverage_on(surface, condition, coat).likely for surface, condition in found)
        for coat in range(first_coat, first_coat + coats)
    ]
    if use["by"] == "coverage" and len(set(rates)) > 1:
        use.pop("coats", None)
        use["rates"] = [f"{_text(rate)} ft**2/gal" for rate in rates]
    else:
        use |= {"coverage": f"{_text(min(rates))} ft**2/gal", "coats": coats}


def material_data(material: Material) -> Data:
    """A material and its packs as the scope file writes them."""
    data: Data = {
        "name": material.name,
        "packs": [{"size": pack.size_text, "price": _text(pack.price.amount)} for pack in material.packs.all()],
        "charge": material.charge,
    }
    if material.scoop_oz:
        data["scoop"] = f"{_text(material.scoop_oz)} oz"
    if material.solids is not None:
        data["solids"] = _text(material.solids)
    if material.density and material.kind == Material.Kind.DRY:
        data["density"] = f"{_text(material.density)} lb/ft**3"
    return data


def _charges(together: Sequence[Option], visits: set[int]) -> Iterator[Data]:
    """The charges; what is charged a visit is charged once for each visit that anything falls on, add-ons included."""
    seen: set[int] = set()
    for option in together:
        for charge in option.charges.all():
            if not charge.on or (charge.charge_id and charge.charge_id in seen):
                continue  # an add-on that comes along shares the option's travel
            if charge.charge_id:
                seen.add(charge.charge_id)
            times = len(visits) if charge.per == "visit" else 1
            name = f"{charge.name}, {times} visits" if charge.per == "visit" and times != 1 else charge.name
            yield {"name": name, "category": charge.category, "amount": _text(charge.amount.amount * times)}


def pricing_data(firm: Firm, discount: Decimal = Decimal(0)) -> Data:
    """The firm's pricing rules as the scope file writes them, with a discount as a sum."""
    return {
        "overhead": _text(firm.overhead),
        "profit": {firm.profit_kind: _text(firm.profit)},
        "minimum": _text(firm.minimum.amount),
        "round_to": _text(firm.round_to.amount),
        "discount": {"amount": _text(discount)} if discount else "0",
        "tax": [
            {"name": rule.name, "rate": _text(rule.rate), "on": rule.on} for rule in firm.tax_rules.all() if rule.active
        ],
    }


def _text(number: Decimal) -> str:
    """A number as the scope file writes it: plain digits, no exponent, no trailing zeros."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
