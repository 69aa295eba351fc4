"""Where the billing of a job stands: its contract, what was billed of it, its payments, its books."""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.billing import check_ahead_of_work, earned_of_deposit
from quoting.core.books import Balances, Entry, EntryKind, balances, from_minor, to_minor
from quoting.core.contracts import Agreed, ContractSum
from quoting.core.region_rules import RuleKind
from quoting.core.rounding import floor_money
from quoting.core.schedule import Part, schedule
from quoting.documents.billed import billed_by
from quoting.documents.proposal_rules import rules_of
from quoting.models import BookEntry, Invoice, Job
from quoting.services.books import entries_of
from quoting.services.contracts import NoContract, acceptance_of, contract_of, need_contract

WHOLE = Decimal(1)
Kind = Invoice.Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Billing:
    """The contract of a job, what was billed of it less what was credited, its payments, and its books.

    `follows_work` says whether a rule of the region lets no bill but the deposit run ahead of the work.
    """

    job: Job
    contract: ContractSum
    before: Agreed
    parts: tuple[Part, ...]
    entries: tuple[Entry, ...]
    balances: Balances
    follows_work: bool

    @property
    def left(self) -> Decimal:
        """What of the contract is not billed; below nothing where more was billed than now stands."""
        return self.contract.now.total - self.before.total

    @property
    def accepted_parts(self) -> tuple[Part, ...]:
        """The payments that were accepted with the offer, without those that changes brought."""
        return tuple(part for part in self.parts if not part.change)

    @property
    def deposit_billed(self) -> Decimal:
        """Of deposits, less what was credited of them."""
        minor = sum(each.billed + each.credited for each in self.balances.invoices if each.deposit)
        return from_minor(minor, self.contract.currency)


def billing_of(job: Job, *, ended_too: bool = False) -> Billing:
    """Where the billing of this job stands. Raises NoContract; with `ended_too` only where nothing was ever billed, so
    that after a yes was taken back its bills can be credited.
    """
    contract = contract_of(job) if ended_too else need_contract(job)
    if contract is None:
        contract = ContractSum(currency=_currency_of(job), paper="", original=Agreed())
    before = billed_by(Invoice.objects.filter(job=job).issued().of_contract().order_by("pk"))
    entries = tuple(entries_of(job))
    return Billing(
        job=job,
        contract=contract,
        before=before,
        parts=schedule(contract, before.total),
        entries=entries,
        balances=balances(entries),
        follows_work=_follows_work(job),
    )


def usual_kind(billing: Billing, part: Part) -> str:
    """What a bill over this payment is called: the first of several is the deposit, the last the final one."""
    if len(billing.parts) == 1:
        return Kind.SINGLE
    if part.place == 1 and len(billing.accepted_parts) > 1:
        return Kind.DEPOSIT
    return Kind.FINAL if part.left == billing.left else Kind.PROGRESS


def fault_of(billing: Billing, kind: str, amount: Decimal) -> str:
    """Why a bill of this kind can't be over this sum; empty when it can."""
    if kind == Kind.DEPOSIT:
        first = billing.parts[0]
        if len(billing.accepted_parts) == 1:
            return "No deposit is agreed: all is paid at once."
        if amount > max(first.amount - billing.deposit_billed, Decimal(0)):
            return f"The deposit agreed is {first.amount:,}, and {billing.deposit_billed:,} of it is billed."
    if kind == Kind.FINAL and amount != billing.left:
        return f"The final bill is over all that is left: {billing.left:,}."
    if kind == Kind.SINGLE and (billing.before.total or amount != billing.left):
        return "A bill of all in one is over the whole contract, before anything else was billed."
    return ""


def done_of(kind: str, done: Decimal | None) -> Decimal | None:
    """How much of the work a bill says is done: all of it with the final one, nothing with the deposit."""
    if kind == Kind.FINAL:
        return WHOLE
    return None if kind == Kind.DEPOSIT else done


def check_work(billing: Billing, kind: str, amount: Decimal, done: Decimal | None) -> None:
    """Where the region's rule says so, nothing but the deposit runs ahead of the work. Raises AheadOfWork."""
    if billing.follows_work and kind != Kind.DEPOSIT:
        total = billing.contract.now.total
        check_ahead_of_work(total, billing.before.total + amount, done_of(kind, done), billing.contract.currency)


def newly_earned(billing: Billing, kind: str, amount: Decimal, done: Decimal | None) -> int:
    """What of the deposit is earned with a bill of this kind, in minor units."""
    share = done_of(kind, done)
    if share is None:
        return 0
    others = billing.before.total - billing.deposit_billed + amount
    value = billing.contract.now.total * share
    currency = billing.contract.currency
    earned = floor_money(earned_of_deposit(billing.deposit_billed, others, value), currency)
    return max(to_minor(earned, currency) - earned_before(billing), 0)


def earned_before(billing: Billing) -> int:
    """What of the deposit the books say is earned, in minor units."""
    return sum(each.amount for each in billing.entries if each.kind is EntryKind.EARNED)


def books_position(job: Job) -> int:
    """The last entry of a job: equal means that nothing was entered meanwhile."""
    return BookEntry.objects.filter(job=job).order_by("-position").values_list("position", flat=True).first() or 0


def _currency_of(job: Job) -> str:
    """Of the books of a job. Raises NoContract where there are none."""
    found = BookEntry.objects.filter(job=job).values_list("currency", flat=True).first()
    if found is None:
        raise NoContract(job.number)
    return found


def _follows_work(job: Job) -> bool:
    acceptance = acceptance_of(job)
    if acceptance is None:
        return False
    return any(rule.kind is RuleKind.PROGRESS for rule in rules_of(json.loads(acceptance.paper.facts)))
