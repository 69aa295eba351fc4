"""What is agreed for a job, read from what is frozen: the acceptance and each accepted change order."""

from __future__ import annotations

from decimal import Decimal

from quoting.core.contracts import Agreed, Change, ContractSum, TaxShare, added, agreed_of, taken_off
from quoting.core.workings import PriceFigure
from quoting.documents.agreed import Offered
from quoting.models import Acceptance, Job, Proposal


class NoContract(Exception):
    """Nothing is agreed for this job, so nothing can be changed or billed."""

    def __init__(self, number: str) -> None:
        super().__init__(f"Nothing is agreed in folder {number} yet. A bill follows from an accepted proposal.")


def contract_of(job: Job) -> ContractSum | None:
    """The contract of a job; None while nothing is accepted, or when the yes was taken back.

    It is worked out again from the frozen scopes of the accepted paper. Raises DoesNotAddUp where they were changed.
    """
    acceptance = acceptance_of(job)
    if acceptance is None:
        return None
    offered = Offered(acceptance.paper)
    agreed = offered.agree(acceptance.option, acceptance.add_ons)
    choice = offered.choice(acceptance.option)
    alone = _agreed(offered.figure(choice.scope))
    extras = [
        taken_off(_agreed(offered.figure(extra.scope)), alone)
        for extra in choice.extras
        if extra.number in acceptance.add_ons
    ]
    return ContractSum(
        currency=agreed.currency,
        paper=acceptance.paper.number,
        original=added([alone, *extras]),
        changes=accepted_changes(job),
        payments=agreed.payments,
    )


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


def accepted_changes(job: Job) -> tuple[Change, ...]:
    """The accepted change orders of a job in the order of their numbers: where each enters the contract."""
    return ()


def _agreed(figure: PriceFigure) -> Agreed:
    """A frozen price as lines by area and taxes."""
    taxes = [
        TaxShare(name=each.tax.name, rate=each.tax.rate, on=str(each.tax.on), base=each.base, amount=each.amount)
        for each in figure.of.taxes
    ]
    return agreed_of(figure.by_area, taxes)


def estimated_cost(job: Job) -> list[tuple[str, Decimal]]:
    """What the agreed work was reckoned to cost, overhead included: the option, and what each add-on adds. For the
    owner and the office only.
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
    return costs
