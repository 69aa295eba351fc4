"""The work that a change order adds, as a scope of its own: its areas, steps, materials and charges at its prices."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from typing import Any

from quoting.core.book_units import BookUnits
from quoting.core.scope import Scope
from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import scope_from_data, write_scope
from quoting.models import (
    Area,
    ChangeOrder,
    Edition,
    Firm,
    Material,
    MissingCoverage,
    OptionStep,
    RestorationSystem,
)
from quoting.services.firm import THE_FIRM
from quoting.services.scope import pricing_data
from quoting.services.scope_work import Gap, charge_data, labour_data, material_data, plain_text, use_data
from quoting.services.tax_checks import tax_points

Data = dict[str, Any]
_STEP = re.compile(r"work\[(\d+)\]")
Prices = ChangeOrder.Prices


class NotWorkable(Exception):
    """The change can't be worked out yet; `sentences` say why."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


def said(faults: ScopeFaults, steps: Sequence[str]) -> list[str]:
    """Each fault in words: the step that it is about, where it is about one."""
    told = []
    for each in faults.faults:
        place = _STEP.match(each.place)
        where = steps[int(place[1])] if place and int(place[1]) < len(steps) else each.place
        told.append(f"{where}: {each.sentence}" if where else each.sentence)
    return list(dict.fromkeys(told))


def added_scope(row: ChangeOrder, frame: Scope, edition: Edition) -> Scope | None:
    """The added work as a scope of its own, priced as it is chosen; None where nothing is added."""
    works = list(row.added.select_related("system").prefetch_related("areas__parts"))
    if not works:
        return None
    gaps: list[Gap] = []
    materials: dict[str, Material] = {}
    areas = {area.pk: area for each in works for area in each.areas.all()}
    gaps += [Gap("", f"{area.name} has not been measured yet.") for area in areas.values() if not area.parts.all()]
    systems = _in_edition([each.system for each in works], edition)
    work: list[Data] = []
    for each in works:
        mine = sorted(each.areas.all(), key=lambda area: (area.position, area.pk))
        system = systems[each.system.key]
        if not mine:
            gaps.append(Gap("", f"{system.name} has no area to be done on."))
            continue
        for step in system.steps.all():
            if step.on:
                done = OptionStep(step=step, length=each.length, count=each.count)
                work.append(_work(done, mine, materials, gaps, edition.counts_in))
    if gaps:
        raise NotWorkable(gap.sentence for gap in gaps)
    visits = {step["visit"] for step in work}
    firm = Firm.objects.prefetch_related("tax_rules").get(pk=THE_FIRM)
    agreed = json.loads(write_scope(frame))
    today = row.prices == Prices.TODAY
    if untold := [point.sentence for point in tax_points(firm, row.job) if today and point.stops]:
        raise NotWorkable(untold)
    data: Data = {
        "format": 1,
        "title": row.title,
        "currency": agreed["currency"],
        "units": agreed["units"],
        "areas": [area.scope_entry for area in sorted(areas.values(), key=lambda area: (area.position, area.pk))],
        "materials": {key: material_data(material, edition.counts_in) for key, material in sorted(materials.items())},
        "work": work,
        "crew": {"size": firm.crew_size, "hourly_cost": plain_text(firm.hourly_cost.amount)}
        if today
        else agreed["crew"],
        "charges": [charge_data(each, len(visits)) for each in edition.charges.filter(always=True)],
        "pricing": pricing_data(firm, row.job.property) if today else agreed["pricing"] | {"discount": "0"},
    }
    try:
        return scope_from_data(data)
    except ScopeFaults as faults:
        raise NotWorkable(said(faults, [str(step["step"]) for step in work])) from faults


def _in_edition(systems: Iterable[RestorationSystem], edition: Edition) -> dict[str, RestorationSystem]:
    """The same systems as this edition has them, by key, with all that decides a price. Raises NotWorkable."""
    names = {system.key: system.name for system in systems}
    rows = edition.systems.filter(key__in=names).prefetch_related(
        "steps__task", "steps__materials__material__packs", "steps__materials__material__coverages"
    )
    found = {system.key: system for system in rows}
    lacking = [name for key, name in names.items() if key not in found]
    if lacking:
        raise NotWorkable(
            f"“{name}” is not in edition {edition.name}. Choose the other prices, or another system."
            for name in lacking
        )
    return found


def _work(
    done: OptionStep, areas: list[Area], materials: dict[str, Material], gaps: list[Gap], counts_in: BookUnits
) -> Data:
    step = done.step
    entry: Data = {"step": step.name, "areas": [area.name for area in areas], "visit": step.visit}
    if step.hold_hours:
        entry["hold"] = f"{plain_text(step.hold_hours)} hour"
    if labour := labour_data(done, gaps, areas):
        entry["labour"] = labour
    used = []
    for each in step.materials.all():
        materials[each.material.key] = each.material
        found = [(area.surface, area.condition) for area in areas]
        try:
            used.append(use_data(each, found, counts_in=counts_in, length=done.length, count=done.count))
        except MissingCoverage as missing:
            gaps.append(Gap(step.name, f"{step.name}: {missing}"))
    return entry | ({"materials": used} if used else {})
