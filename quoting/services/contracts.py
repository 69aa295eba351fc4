"""What is agreed for a job, read from what is frozen: the acceptance and each accepted change order."""

from __future__ import annotations

import json
from collections.abc import Sequence
from decimal import Decimal

from quoting.core.change_orders import agreed_price, visits_in
from quoting.core.contracts import Agreed, Change, ContractSum, PaidWith, TaxOff, added, taken_off
from quoting.core.exemptions import taxes_off
from quoting.core.scope_file import read_scope
from quoting.documents.agreed import Choice, Offered
from quoting.documents.billed import bill_from
from quoting.models import Acceptance, ChangeOrder, Exemption, Job, Paper, PaperScope, Proposal


class NoContract(Exception):
    """Nothing is agreed for this job, so nothing can be changed or billed."""

    def __init__(self, number: str) -> None:
        super().__init__(f"Nothing is agreed in folder {number} yet. A bill follows from an accepted proposal.")


def contract_of(job: Job) -> ContractSum | None:
    """The contract of a job; None while nothing is accepted, or when the yes was taken back.

    It is worked out again from the frozen scopes of the accepted paper; the changes stand on their own papers. Its days
    are the visits of the accepted work. Raises DoesNotAddUp where the scopes were changed.
    """
    acceptance = acceptance_of(job)
    if acceptance is None:
        return None
    offered = Offered(acceptance.paper)
    agreed = offered.agree(acceptance.option, acceptance.add_ons)
    choice = offered.choice(acceptance.option)
    alone = agreed_price(offered.figure(choice.scope))
    extras = [
        taken_off(agreed_price(offered.figure(extra.scope)), alone)
        for extra in choice.extras
        if extra.number in acceptance.add_ons
    ]
    original, changes = added([alone, *extras]), accepted_changes(job, acceptance.paper.number)
    return ContractSum(
        currency=agreed.currency,
        paper=acceptance.paper.number,
        original=original,
        changes=changes,
        payments=agreed.payments,
        days=_days_of(choice, acceptance.add_ons),
        taxes_off=_taxes_off(acceptance, added([original, *(change.of for change in changes)]), changes),
    )


def _taxes_off(acceptance: Acceptance, agreed: Agreed, changes: Sequence[Change]) -> tuple[TaxOff, ...]:
    """What certificates took off after it was agreed, each of what the ones before it left.

    A change that was out when tax was taken off is superseded, so those issued before were accepted before.
    """
    found: list[TaxOff] = []
    numbers = [change.number for change in changes]
    for row in Exemption.objects.filter(paper=acceptance.paper):
        before = Paper.objects.filter(number__in=numbers, issued_at__lt=row.applied_at)
        after = before.count() if numbers else 0
        of = taxes_off(added([agreed, *(each.of for each in found)]), row.taxes)
        found.append(TaxOff(of=of, by=str(row), on=row.applied_on, after=after))
    return tuple(found)


def need_contract(job: Job) -> ContractSum:
    """The contract of a job. Raises NoContract."""
    contract = contract_of(job)
    if contract is None:
        raise NoContract(job.number)
    return contract


def acceptance_of(job: Job) -> Acceptance | None:
    """The yes that stands for this job."""
    standing = Acceptance.objects.filter(paper__job=job, paper__proposal__state=Proposal.State.ACCEPTED)
    return standing.select_related("paper").defer("paper__pdf").order_by("-confirmed_at", "-pk").first()


def accepted_changes(job: Job, contract: str) -> tuple[Change, ...]:
    """The accepted changes of this contract, named by its paper's number, in the order of their numbers."""
    rows = ChangeOrder.objects.accepted().filter(job=job).with_paper()
    found = [(row, json.loads(row.paper.facts)) for row in rows if row.paper is not None]
    return tuple(
        Change(
            number=facts["number"],
            of=bill_from(facts["figures"]),
            days=int(facts["days_more"]),
            title=row.title,
            paid_with=PaidWith(facts.get("paid_with", PaidWith.LAST)),
            place=int(facts.get("paid_place", 1)),
        )
        for row, facts in found
        if facts["contract"] == contract
    )


def _days_of(choice: Choice, add_ons: Sequence[int]) -> int | None:
    """The visits of the option and its ticked extras together; None where the work is not laid into visits."""
    rows = [choice.scope, *(extra.scope for extra in choice.extras if extra.number in add_ons)]
    visits = {visit for row in rows for visit in visits_in(read_scope(row.scope).work)}
    return len(visits) or None


def estimated_cost(job: Job) -> list[tuple[str, Decimal]]:
    """What the agreed work was reckoned to cost, overhead included: the option, what each add-on adds, and what each
    accepted change adds or takes off. For the owner and the office only.
    """
    acceptance = acceptance_of(job)
    if acceptance is None:
        return []
    offered = Offered(acceptance.paper)
    choice = offered.choice(acceptance.option)
    alone = offered.figure(choice.scope).of.cost
    costs = [(choice.name, alone)]
    for extra in choice.extras:
        if extra.number in acceptance.add_ons:
            costs.append((extra.scope.name, offered.figure(extra.scope).of.cost - alone))
    return [*costs, *_costs_of_changes(job, acceptance.paper.number)]


def _costs_of_changes(job: Job, contract: str) -> list[tuple[str, Decimal]]:
    """What the work of each accepted change was reckoned to cost: what is taken out at the prices agreed, what is added
    at those it was priced with."""
    found = []
    for row in ChangeOrder.objects.accepted().filter(job=job).with_paper():
        facts = json.loads(row.paper.facts) if row.paper else {}
        if facts.get("contract") != contract:
            continue
        stages = PaperScope.objects.filter(paper=row.paper).values_list("role", "workings")
        cost = {role: Decimal(json.loads(workings)["price"]["cost"]) for role, workings in stages}
        before = cost.get("before", Decimal(0))
        kept = cost.get("kept", Decimal(0) if facts.get("all_out") else before)
        after = cost.get("after", kept)
        added = after - cost.get("base", kept) if "after" in cost else Decimal(0)
        found.append((f"change {facts['number']}", kept - before + added))
    return found
