"""From rows to scopes: what is agreed now, what a change order adds to it or takes out, and what that comes to."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core.change_orders import (
    ChangeFault,
    Stages,
    agreed_price,
    by_itself,
    change_of,
    given_outright,
    outright,
    parts_of,
    visits_in,
    with_prices_of,
    with_work_of,
    without,
)
from quoting.core.contracts import ContractSum
from quoting.core.joining import JoinFault, join
from quoting.core.scope import Scope
from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import read_scope, scope_from_data, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.agreed import DoesNotAddUp, Offered
from quoting.documents.change_orders import WorkedChange
from quoting.models import (
    Area,
    ChangeOrder,
    Charge,
    Edition,
    Firm,
    Job,
    Material,
    MissingCoverage,
    OptionStep,
    PaperScope,
    RestorationSystem,
)
from quoting.services.contracts import acceptance_of, contract_of
from quoting.services.firm import THE_FIRM
from quoting.services.scope import pricing_data
from quoting.services.scope_work import Gap, labour_data, material_data, plain_text, use_data

Data = dict[str, Any]
_STEP = re.compile(r"work\[(\d+)\]")
Prices = ChangeOrder.Prices
STANDS = ("after", "kept", "before")
"""Which scope of a change order's paper is the work from then on: the first of these that it has."""


class NotWorkable(Exception):
    """The change can't be worked out yet; `sentences` say why."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__(" ".join(self.sentences))


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedScope:
    """The work of a contract: `scope` as it stands, None where all of it was taken out; `original` as it was accepted;
    `frame`, the last scope that there was, for crew and pricing rules; the name of the edition that it was agreed on.
    """

    scope: Scope | None
    original: Scope
    frame: Scope
    edition: str


def agreed_scope(job: Job) -> AgreedScope:
    """The agreed work, with every accepted change. Raises NotWorkable where nothing is agreed, or DoesNotAddUp."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        raise NotWorkable([f"Nothing is agreed in folder {job.number} yet."])
    choice = Offered(acceptance.paper).choice(acceptance.option)
    ticked = [extra.scope for extra in choice.extras if extra.number in acceptance.add_ons]
    try:
        scope = join(read_scope(choice.scope.scope), [read_scope(row.scope) for row in ticked])
    except (JoinFault, ScopeFaults) as fault:
        raise DoesNotAddUp(acceptance.paper.number) from fault
    found: Scope | None = scope
    frame = scope
    for row in ChangeOrder.objects.accepted().filter(job=job).with_paper():
        facts = json.loads(row.paper.facts) if row.paper else {}
        if facts.get("contract") != acceptance.paper.number:
            continue
        stages = {each.role: each.scope for each in PaperScope.objects.filter(paper=row.paper).only("role", "scope")}
        stands = next((name for name in STANDS if name in stages), None)
        if stands is not None:
            frame = read_scope(stages[stands])
        found = None if facts.get("all_out") and "after" not in stages else frame
    return AgreedScope(scope=found, original=scope, frame=frame, edition=choice.scope.edition)


def edition_for(row: ChangeOrder, agreed: AgreedScope) -> Edition:
    """The edition that the added work is priced with. Raises NotWorkable."""
    rows = Edition.objects.filter(name=agreed.edition) if row.prices == Prices.AGREED else Edition.objects.published()
    found = rows.first()
    if found is None:
        raise NotWorkable(["There is no such price book any more. Choose the other prices."])
    return found


def work_out_change(row: ChangeOrder) -> WorkedChange:
    """The draft with all its figures, together with what is agreed. Raises NotWorkable or DoesNotAddUp."""
    contract = contract_of(row.job)
    if contract is None:
        raise NotWorkable([f"Nothing is agreed in folder {row.job.number} yet."])
    agreed = agreed_scope(row.job)
    edition = edition_for(row, agreed)
    each_visit = frozenset(edition.charges.filter(per=Charge.Per.VISIT).values_list("name", flat=True))
    try:
        return _worked(row, contract, agreed, edition, each_visit)
    except ChangeFault as fault:
        raise NotWorkable([str(fault)]) from fault


def _worked(
    row: ChangeOrder, contract: ContractSum, agreed: AgreedScope, edition: Edition, each_visit: frozenset[str]
) -> WorkedChange:
    scopes: dict[str, Scope] = {}
    base, all_out = agreed.scope, False
    if agreed.scope is not None:
        scopes["before"] = agreed.scope
        if row.out_areas or row.out_steps:
            base = without(agreed.scope, row.out_areas, _places(row, agreed.scope), each_visit)
            all_out = base is None
            if base is not None:
                scopes["kept"] = base
    elif row.out_areas or row.out_steps:
        raise ChangeFault("All of the work was taken out before; nothing is left to take out.")
    added = _added_scope(row, agreed.frame, edition)
    if added is not None:
        base = with_prices_of(base, added) if base is not None else None
        if base is not None:
            scopes["base"] = base
        scopes["after"] = with_work_of(base, added, each_visit) if base is not None else added
        if agreed.scope is None or not {a.name for a in added.areas} & {a.name for a in agreed.scope.areas}:
            scopes["alone"] = by_itself(added)
    if added is None and not (row.out_areas or row.out_steps) and not row.amount and not row.days:
        raise ChangeFault("Say what changes: work added or taken out, a price, or days.")
    worked = {name: _workings(scope) for name, scope in scopes.items()}
    prices = {name: agreed_price(each.price) for name, each in worked.items()}
    stages = Stages(
        before=prices.get("before"), kept=prices.get("kept"), base=prices.get("base"), after=prices.get("after"),
        all_out=all_out,
    )  # fmt: skip
    taxes = (prices.get("after") or contract.now).taxes
    sum_outright = outright(row.amount_for or row.title, row.amount, taxes, contract.currency)
    change = change_of(stages, contract.now, sum_outright)
    return WorkedChange(
        contract=contract,
        change=change,
        parts=parts_of(stages, contract.now, sum_outright),
        days=_days(scopes, all_out) + row.days,
        worked=worked,
        all_out=all_out,
        stays=given_outright(agreed.scope, row.out_areas) if agreed.scope else (),
        edition=edition.name,
    )


def _workings(scope: Scope) -> Workings:
    """The workings of a scope that the reader takes as well. Raises NotWorkable, each sentence with its step."""
    try:
        return work_out(read_scope(write_scope(scope)))
    except ScopeFaults as faults:
        raise NotWorkable(_said(faults, [step.step for step in scope.work])) from faults


def _said(faults: ScopeFaults, steps: Sequence[str]) -> list[str]:
    """Each fault in words: the step that it is about, where it is about one."""
    told = []
    for each in faults.faults:
        place = _STEP.match(each.place)
        where = steps[int(place[1])] if place and int(place[1]) < len(steps) else each.place
        told.append(f"{where}: {each.sentence}" if where else each.sentence)
    return list(dict.fromkeys(told))


def _days(scopes: Mapping[str, Scope], all_out: bool) -> int:
    """How many visits more or fewer the work takes."""
    ends = scopes.get("after") or (None if all_out else scopes.get("kept") or scopes.get("before"))
    had = visits_in(scopes["before"].work) if "before" in scopes else frozenset()
    return len(visits_in(ends.work) if ends else ()) - len(had)


def step_keys(scope: Scope) -> list[tuple[str, str]]:
    """Each agreed step as it is named in a draft, and as it is read: `2:Seal` and `Seal, on Pool deck`."""
    return [
        (f"{place}:{step.step}", f"{step.step}, on {', '.join(step.areas)}") for place, step in enumerate(scope.work)
    ]


def _places(row: ChangeOrder, scope: Scope) -> list[int]:
    places = {key: place for place, (key, _words) in enumerate(step_keys(scope))}
    if any(key not in places for key in row.out_steps):
        raise ChangeFault("The agreed steps have changed since this was drafted. Choose again what is taken out.")
    return [places[key] for key in row.out_steps]


def _added_scope(row: ChangeOrder, frame: Scope, edition: Edition) -> Scope | None:
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
                work.append(_work(done, mine, materials, gaps))
    if gaps:
        raise NotWorkable(gap.sentence for gap in gaps)
    visits = {step["visit"] for step in work}
    firm = Firm.objects.prefetch_related("tax_rules").get(pk=THE_FIRM)
    agreed = json.loads(write_scope(frame))
    today = row.prices == Prices.TODAY
    data: Data = {
        "format": 1,
        "title": row.title,
        "currency": agreed["currency"],
        "units": agreed["units"],
        "areas": [area.scope_entry for area in sorted(areas.values(), key=lambda area: (area.position, area.pk))],
        "materials": {key: material_data(material) for key, material in sorted(materials.items())},
        "work": work,
        "crew": {"size": firm.crew_size, "hourly_cost": plain_text(firm.hourly_cost.amount)}
        if today
        else agreed["crew"],
        "charges": [_charge(each, len(visits)) for each in edition.charges.filter(always=True)],
        "pricing": pricing_data(firm) if today else agreed["pricing"] | {"discount": "0"},
    }
    try:
        return scope_from_data(data)
    except ScopeFaults as faults:
        raise NotWorkable(_said(faults, [str(step["step"]) for step in work])) from faults


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


def _work(done: OptionStep, areas: list[Area], materials: dict[str, Material], gaps: list[Gap]) -> Data:
    step = done.step
    entry: Data = {"step": step.name, "areas": [area.name for area in areas], "visit": step.visit}
    if step.hold_hours:
        entry["hold"] = f"{plain_text(step.hold_hours)} hour"
    if labour := labour_data(done, gaps):
        entry["labour"] = labour
    used = []
    for each in step.materials.all():
        materials[each.material.key] = each.material
        found = [(area.surface, area.condition) for area in areas]
        try:
            used.append(use_data(each, found, length=done.length, count=done.count))
        except MissingCoverage as missing:
            gaps.append(Gap(step.name, f"{step.name}: {missing}"))
    return entry | ({"materials": used} if used else {})


def _charge(charge: Charge, visits: int) -> Data:
    times = visits if charge.per == Charge.Per.VISIT else 1
    name = f"{charge.name}, {times} visits" if times != 1 else charge.name
    return {"name": name, "category": charge.category, "amount": plain_text(charge.amount.amount * Decimal(times))}
