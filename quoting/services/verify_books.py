"""Whether the books are still what they were: every entry in the trail, every number, every bill, every balance."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

from quoting.core.books import EntryKind, book_faults, to_minor
from quoting.core.contracts import Agreed, taken_off
from quoting.core.schedule import schedule
from quoting.documents.agreed import DoesNotAddUp, NotOffered
from quoting.documents.billed import bill_from, bill_of, billed_by
from quoting.documents.freeze import canonical_json
from quoting.models import BookEntry, Event, Invoice, Job, Paper, Payment, Series
from quoting.services.books import BOOKS, agreement_facts, told_entry
from quoting.services.contracts import contract_of
from quoting.services.money_papers import BILLS, RECEIPTS, STATEMENTS

Kind = Paper.Kind
MONEY_PAPERS = frozenset({Kind.INVOICE, Kind.CREDIT_NOTE, Kind.RECEIPT, Kind.STATEMENT})


def book_faults_of_all() -> Iterator[str]:
    """Each fault of the books as one sentence that names its place. One job is in memory at a time."""
    yield from _number_faults(BILLS, (Kind.INVOICE, Kind.CREDIT_NOTE))
    yield from _number_faults(RECEIPTS, (Kind.RECEIPT,))
    yield from _number_faults(STATEMENTS, (Kind.STATEMENT,))
    yield from _number_faults(Kind.HAND_OVER, (Kind.HAND_OVER,))
    yield from _entry_faults()
    yield from _payment_faults()
    for pk in Job.objects.filter(book__isnull=False).distinct().order_by("pk").values_list("pk", flat=True):
        yield from _job_faults(Job.objects.get(pk=pk))


def _number_faults(series: str, kinds: tuple[str, ...]) -> Iterator[str]:
    """The numbers of a series from 1 to its counter: none missing, none twice, none beyond."""
    last = _counter(series)
    found: set[int] = set()
    for number in Paper.objects.filter(kind__in=kinds).order_by("pk").values_list("number", flat=True):
        digits = re.search(r"-(\d+)\Z", number)
        count = int(digits[1]) if digits else 0
        if count in found or not 1 <= count <= last:
            yield f"{number}: number: is there twice, or beyond what is counted, {last}"
        found.add(count)
    for count in sorted(set(range(1, last + 1)) - found):
        yield f"{series} {count}: is missing: {last} were counted"


def _entry_faults() -> Iterator[str]:
    """Every entry of the books against the event that brought it, and their places without a gap."""
    told: dict[int, dict[str, Any]] = {}
    for data in Event.objects.filter(data__contains='"entries"').order_by("position").values_list("data", flat=True):
        for entry in _entries_in(data):
            told[entry.get("position", 0)] = entry
    expected = 1
    for row in BookEntry.objects.order_by("position").iterator(chunk_size=500):
        while expected < row.position:
            yield f"books: entry {expected} is missing"
            expected += 1
        expected = row.position + 1
        if told.pop(row.position, None) != told_entry(row):
            yield f"books: entry {row.position} ({row.kind}) is not what the trail was told"
    if expected - 1 != (last := _counter(BOOKS)):
        yield f"books: the last entry is {expected - 1}, but {last} were counted"
    for position in sorted(told):
        yield f"books: entry {position}, which the trail tells of, is missing"


def _payment_faults() -> Iterator[str]:
    """Every payment, refund and bounced one against the event that tells of it."""
    told: dict[int, dict[str, Any]] = {}
    kinds = ("payment received", "payment refunded", "payment bounced")
    for data in Event.objects.filter(kind__in=kinds).values_list("data", flat=True):
        row = json.loads(data)
        told[row["payment"]] = row
    for payment in Payment.objects.order_by("pk").iterator(chunk_size=500):
        kept = told.pop(payment.pk, {})
        now = {
            "of": payment.of_id,
            "whole": payment.whole_id,
            "amount": payment.amount,
            "currency": payment.currency,
            "on": payment.on.isoformat(),
            "method": payment.method,
        }
        for field, value in now.items():
            if not kept or kept.get(field) != value:
                yield f"payment {payment.pk}: {field}: is {value}, the trail was told {kept.get(field)}"
    for pk in sorted(told):
        yield f"payment {pk}: is missing"


def _job_faults(job: Job) -> Iterator[str]:
    place = f"books of {job.number}"
    rows = list(BookEntry.objects.filter(job=job).with_numbers())
    for fault in book_faults(row.entry for row in rows):
        yield f"{place}: {fault}"
    try:
        contract = contract_of(job)
    except (DoesNotAddUp, NotOffered, ValueError, KeyError) as fault:
        yield f"{place}: the contract can't be worked out: {str(fault)[:200]}"
        return
    for fact in agreement_facts(job, contract):
        yield f"{place}: {fact.kind} is not what the papers say, by {fact.amount}"
    bills = list(Invoice.objects.filter(job=job).issued().select_related("paper").order_by("pk"))
    for each in bills:
        yield from _bill_faults(each, rows)
    if contract is None:
        return
    before = billed_by(Invoice.objects.filter(job=job).issued().of_contract().order_by("pk"))
    parts = schedule(contract, before.total)
    if sum(part.amount for part in parts) != contract.now.total:
        yield f"{place}: the payments do not add up to the contract sum"
    if before.total == contract.now.total and (rest := taken_off(contract.now, before)) != Agreed():
        names = ", ".join([*(line.area for line in rest.lines), *(tax.name for tax in rest.taxes)])
        yield f"{place}: all is billed, and the bills are not the contract in: {names}"


def _bill_faults(each: Invoice, rows: list[BookEntry]) -> Iterator[str]:
    """A bill's row against its paper and its entries."""
    figures = json.loads(each.figures)
    facts = json.loads(each.paper.facts) if each.paper else {}
    if canonical_json(facts.get("figures")) != each.figures:
        yield f"{each}: figures: are not those of the paper"
    if bill_from(figures).total != each.amount or f"{bill_of(each).total:f}" != figures["total"]:
        yield f"{each}: figures: do not add up to the bill"
    kind, sign = (EntryKind.CREDITED, -1) if each.kind == Invoice.Kind.CREDIT else (EntryKind.BILLED, 1)
    booked = sum(row.amount for row in rows if row.paper_id == each.paper_id and row.kind == kind)
    if booked != sign * to_minor(each.amount, figures["currency"]):
        yield f"{each}: the books have {booked} of it"


def _entries_in(data: str) -> list[dict[str, Any]]:
    try:
        found = json.loads(data).get("entries", [])
    except (ValueError, AttributeError):
        return []
    return [entry for entry in found if isinstance(entry, dict)] if isinstance(found, list) else []


def _counter(series: str) -> int:
    return Series.objects.filter(name=series).values_list("last", flat=True).first() or 0
