"""What a step of an option takes, as the scope file writes it: its hours, its materials, the packs they come in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core.book_units import BookUnits
from quoting.documents.difficulty import difficulty_by_book
from quoting.models import (
    Area,
    Charge,
    Coverage,
    Material,
    OptionCharge,
    OptionStep,
    OptionUse,
    StepMaterial,
    SystemStep,
)

Data = dict[str, Any]


@dataclass(frozen=True)
class Gap:
    """One thing that must be said before an option can be worked out, and the step in which it is missing."""

    step: str
    sentence: str
    option_step: int | None = None


def labour_data(option_step: OptionStep, gaps: list[Gap], areas: Sequence[Area] = ()) -> Data | None:
    """The hours of a step as the scope file writes them; what is missing goes to `gaps`.

    Without a difficulty of the option's own, the book's for these areas holds.
    """
    step = option_step.step

    def gap(sentence: str) -> None:
        gaps.append(Gap(step.name, f"{step.name}: {sentence}", option_step.pk))

    if step.measure == SystemStep.Measure.HOURS:
        hours = option_step.hours if option_step.hours is not None else step.hours
        if hours is None:
            gap("say how many person-hours it takes.")
            return None
        return {"hours": f"{plain_text(hours)} hour"}
    task = step.task
    if task is None:
        return None
    labour: Data = {
        "rate": f"{plain_text(option_step.rate or task.rate)} {task.unit}",
        "passes": option_step.passes or step.passes,
        "setup": f"{plain_text(option_step.setup if option_step.setup is not None else task.setup)} hour",
        "difficulty": plain_text(option_step.difficulty or difficulty_by_book(step, areas).factor),
    }
    if step.measure == SystemStep.Measure.LENGTH:
        if not option_step.length:
            gap("say how long it is, such as 18 ft.")
        labour["length"] = option_step.length
    elif step.measure == SystemStep.Measure.EDGE and option_step.length:
        labour["length"] = option_step.length  # where the shapes leave the edge unknown, or part of it needs no work
    elif step.measure == SystemStep.Measure.COUNT:
        if option_step.count is None:
            gap("say how many there are.")
        labour["count"] = option_step.count
    return labour


def use_data(
    step_material: StepMaterial,
    found: Sequence[tuple[str, str]],
    own: OptionUse | None = None,
    *,
    counts_in: BookUnits,
    length: str = "",
    count: int | None = None,
) -> Data:
    """A material of a step as the scope file writes it, on slabs of these surfaces and conditions.

    The option's own figures come first, then the system's, then the price book's; bare figures are in `counts_in`, the
    units of the edition. Raises MissingCoverage.
    """
    material = (own and own.material) or step_material.material
    use = dict(step_material.use)
    first_coat, condition = use.pop("first_coat", 1), use.pop("condition", "")
    kind = use.get("by")
    if kind in {"mix", "stirred"}:
        strength = (own and own.strength) or material.strength
        if strength and ((own and own.strength) or "strength" not in use):
            use["strength"] = f"{plain_text(strength)} {counts_in.strength}"
    if kind in {"coverage", "mix", "dilution", "stirred"}:
        _cover(
            use, own, material, [(surface, condition or as_found) for surface, as_found in found], first_coat, counts_in
        )
    if kind in {"length", "crack"}:
        given = use.get("length", "edge")
        use["length"] = (own and own.length) or (length if given == "edge" else "") or given
    if kind == "crack" and own:
        use |= {name: value for name in ("width", "depth") if (value := getattr(own, name))}
    if kind == "joint" and own:
        use |= {name: value for name, value in (("joint", own.width), ("depth", own.depth)) if value}
    if kind == "joint" and material.density and "density" not in use:
        use["density"] = f"{plain_text(material.density)} {counts_in.density}"
    if kind == "each" and "per_area" not in use:
        use["count"] = (own and own.count) or count or use.get("count") or 1
    entry: Data = {"material": material.key, "use": use}
    waste = next(
        (each for each in (own and own.waste, step_material.waste, material.waste) if each is not None), Decimal(0)
    )
    if waste:
        entry["waste"] = plain_text(waste)
    return entry


def _cover(
    use: Data,
    own: OptionUse | None,
    material: Material,
    found: Sequence[tuple[str, str]],
    first_coat: int,
    counts_in: BookUnits,
) -> None:
    """Put coverage and coats into a use: the option's own figure, else the system's, else the price book's."""
    coats = (own and own.coats) or use.get("coats") or len(use.get("rates", ())) or 1
    if own and own.coverage:
        use.pop("rates", None)
        use |= {"coverage": f"{plain_text(own.coverage)} {counts_in.coverage}", "coats": coats}
        return
    if "coverage" in use or ("rates" in use and len(use["rates"]) == coats):
        if "coverage" in use:
            use["coats"] = coats
        return
    use.pop("rates", None)
    rates = [row.likely for row in coverages_for(material, found, first_coat, coats)]
    if use["by"] == "coverage" and len(set(rates)) > 1:
        use.pop("coats", None)
        use["rates"] = [f"{plain_text(rate)} {counts_in.coverage}" for rate in rates]
    else:
        use |= {"coverage": f"{plain_text(min(rates))} {counts_in.coverage}", "coats": coats}


def coverages_for(material: Material, found: Sequence[tuple[str, str]], first_coat: int, coats: int) -> list[Coverage]:
    """The price book's row for each coat on slabs of these surfaces and conditions. Raises MissingCoverage.

    One use has one coverage for all its areas; where they differ, the thirstiest decides, so that nobody runs short.
    """
    return [
        min(
            (material.coverage_on(surface, condition, coat) for surface, condition in found),
            key=lambda row: row.likely,
        )
        for coat in range(first_coat, first_coat + coats)
    ]


def material_data(material: Material, counts_in: BookUnits) -> Data:
    """A material and its packs as the scope file writes them, its bare figures in the units of its edition."""
    data: Data = {
        "name": material.name,
        "packs": [{"size": pack.size_text, "price": plain_text(pack.price.amount)} for pack in material.packs.all()],
        "charge": material.charge,
    }
    if material.scoop:
        data["scoop"] = f"{plain_text(material.scoop)} {counts_in.scoop}"
    if material.solids is not None:
        data["solids"] = plain_text(material.solids)
    if material.density and material.kind == Material.Kind.DRY:
        data["density"] = f"{plain_text(material.density)} {counts_in.density}"
    return data


def charge_data(charge: Charge | OptionCharge, visits: int) -> Data:
    """A charge for so many visits as the scope file writes it: what is for each visit says so in its name."""
    data: Data = {"name": charge.name, "category": charge.category}
    if charge.share is not None:
        return data | {"share": plain_text(charge.share)}
    times = visits if charge.per == Charge.Per.VISIT else 1
    if times != 1:
        data["name"] = f"{charge.name}, {times} visits"
    return data | {"amount": plain_text(charge.amount.amount * times)}


def plain_text(number: Decimal) -> str:
    """A number as the scope file writes it: plain digits, no exponent, no trailing zeros."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
