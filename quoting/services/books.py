"""Keeping the books: entries are only added, in the transaction of what they tell of; balances follow from them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from quoting.core.books import Balances, Entry, EntryKind, balances, from_minor, to_minor
from quoting.core.contracts import ContractSum
from quoting.core.spreading import Move, Spread
from quoting.documents.numbering import hold_numbers, take_number
from quoting.models import BookEntry, Invoice, Job, Paper, Payment
from quoting.services.contracts import contract_of
from quoting.services.trail import TRAIL, record

BOOKS = "books"
"""The series of the entries' positions."""

K = EntryKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something that goes into the books: its kind, its amount in minor units, and what it moves."""

    kind: EntryKind
    amount: int
    invoice: Invoice | None = None
    payment: Payment | None = None
    paper: Paper | None = None


def entries_of(job: Job) -> list[Entry]:
    """The entries of a job in the order in which they were made, in one query."""
    return [row.entry for row in BookEntry.objects.filter(job=job).with_numbers()]


def balances_of(job: Job) -> Balances:
    """The balances of a job."""
    return balances(entries_of(job))


def write_entries(
    job: Job, facts: Iterable[Fact], *, currency: str, on: date, at: datetime | None = None
) -> list[dict[str, object]]:
    """Add facts to the books, inside the transaction of what they tell of; each as the trail is to be told of it.

    Expects the job's row locked. Facts of nothing are left out. The trail is held first: a yes is told to the trail
    before it is booked, a payment the other way round, and on PostgreSQL the two would wait for each other.
    """
    at = at or timezone.now()
    told: list[dict[str, object]] = []
    hold_numbers(TRAIL)
    for fact in facts:
        if not fact.amount:
            continue
        row = BookEntry.objects.create(
            position=take_number(BOOKS),
            kind=fact.kind.value,
            amount=fact.amount,
            currency=currency,
            on=on,
            at=at,
            job=job,
            invoice=fact.invoice,
            payment=fact.payment,
            paper=fact.paper,
        )
        told.append(told_entry(row))
    return told


def told_entry(row: BookEntry) -> dict[str, object]:
    """An entry as the trail keeps it: every field, no personal data."""
    return {
        "position": row.position,
        "kind": row.kind,
        "amount": row.amount,
        "currency": row.currency,
        "on": row.on.isoformat(),
        "job": row.job_id,
        "invoice": row.invoice_id,
        "payment": row.payment_id,
        "paper": row.paper_id,
    }


def spread_facts(spreads: Iterable[Spread], *, new: Payment | Invoice | None = None) -> list[Fact]:
    """Spreads as facts. `new` is a row that has just been written, and is known by its key or number."""
    found = []
    for each in spreads:
        payment = new if isinstance(new, Payment) and str(new.pk) == each.payment else None
        invoice = new if isinstance(new, Invoice) and str(new) == each.invoice else None
        found.append(
            Fact(
                kind=K.SPREAD,
                amount=each.amount,
                payment=payment or Payment.objects.get(pk=int(each.payment)),
                invoice=invoice or Invoice.objects.select_related("paper").get(paper__number=each.invoice),
            )
        )
    return found


def move_facts(moves: Iterable[Move], *, new: Payment | None = None) -> list[Fact]:
    """What is put from one payment on another, as facts. `new` is a row that has just been written."""
    return [
        Fact(
            kind=K.MOVED,
            amount=each.amount,
            payment=new if new and str(new.pk) == each.payment else Payment.objects.get(pk=int(each.payment)),
        )
        for each in moves
    ]


def agreement_facts(job: Job, contract: ContractSum | None) -> list[Fact]:
    """What the books lack of what is agreed: the acceptance, each change, taxes off, or the taking back of these."""
    booked: dict[tuple[EntryKind, str], int] = {}
    for entry in entries_of(job):
        if entry.kind in (K.AGREED, K.CHANGED):
            key = (entry.kind, entry.paper)
            booked[key] = booked.get(key, 0) + entry.amount
    stands: dict[tuple[EntryKind, str], int] = {}
    if contract is not None:
        stands[K.AGREED, contract.paper] = to_minor(contract.original.total, contract.currency)
        if contract.taxes_off:
            off = sum((each.of.total for each in contract.taxes_off), from_minor(0, contract.currency))
            stands[K.CHANGED, contract.paper] = to_minor(off, contract.currency)
        for change in contract.changes:
            stands[K.CHANGED, change.number] = to_minor(change.of.total, contract.currency)
    lacking = {key: stands.get(key, 0) - booked.get(key, 0) for key in {**booked, **stands}}
    papers = {
        paper.number: paper
        for paper in Paper.objects.filter(number__in=[number for _kind, number in lacking]).only("number")
    }
    return [
        Fact(kind=kind, amount=amount, paper=papers[number]) for (kind, number), amount in lacking.items() if amount
    ]


def book_agreement(job: Job) -> ContractSum | None:
    """Bring the books up to what is agreed, inside the transaction that changes it, with the job's row locked.

    To be called when an offer or a change is accepted, and when a yes is taken back; every act on money calls it as
    well, so that the books never lag behind. Calling it again changes nothing.
    """
    contract = contract_of(job)
    facts = agreement_facts(job, contract)
    if facts:
        currency = contract.currency if contract else _currency_of(job)
        told = write_entries(job, facts, currency=currency, on=timezone.localdate())
        record("agreement booked", job=job, data={"entries": told})
    return contract


def _currency_of(job: Job) -> str:
    return BookEntry.objects.filter(job=job).values_list("currency", flat=True)[0]
