"""From rows to scopes: what is agreed now, what a change order adds to it or takes out, and what that comes to."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace

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
from quoting.core.contracts import Agreed, ContractSum, PaidWith
from quoting.core.exemptions import without_taxes
from quoting.core.joining import JoinFault, join
from quoting.core.schedule import next_accepted, schedule
from quoting.core.scope import Scope
from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import read_scope, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.agreed import DoesNotAddUp, Offered
from quoting.documents.billed import billed_by
from quoting.documents.change_orders import WorkedChange
from quoting.models import (
    ChangeOrder,
    Charge,
    Edition,
    Invoice,
    Job,
    PaperScope,
)
from quoting.services.change_work import NotWorkable, added_scope, said
from quoting.services.contracts import acceptance_of, contract_of
from quoting.services.exemptions import exempt_names

Prices = ChangeOrder.Prices
STANDS = ("after", "kept", "before")
"""Which scope of a change order's paper is the work from then on: the first of these that it has."""


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
    names = exempt_names(row.job)
    if names:
        bare = without_taxes(agreed.scope, names) if agreed.scope else None
        agreed = replace(agreed, scope=bare, frame=without_taxes(agreed.frame, names))
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
    added = added_scope(row, agreed.frame, edition)
    added = without_taxes(added, names) if added else None
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
        paid_with=PaidWith(row.paid_with),
        place=next_accepted(schedule(contract, _billed(row.job).total)),
    )


def _billed(job: Job) -> Agreed:
    """What of the contract is billed."""
    return billed_by(Invoice.objects.filter(job=job).issued().of_contract().order_by("pk"))


def _workings(scope: Scope) -> Workings:
    """The workings of a scope that the reader takes as well. Raises NotWorkable, each sentence with its step."""
    try:
        return work_out(read_scope(write_scope(scope)))
    except ScopeFaults as faults:
        raise NotWorkable(said(faults, [step.step for step in scope.work])) from faults


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
