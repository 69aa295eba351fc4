"""What is owed to the firm: what is due of each bill, from which day on, and by whom."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from quoting.core.ageing import Owed
from quoting.core.books import EntryKind
from quoting.models import BookEntry, Invoice

MOVES = {EntryKind.BILLED.value: 1, EntryKind.CREDITED.value: 1, EntryKind.SPREAD.value: -1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """What is due of one bill in minor units, when, by whom and where."""

    invoice: int
    number: str
    amount: int
    due_on: date | None
    customer: int
    name: str
    job: int


def dues_of(customer: int | None = None) -> dict[int, Due]:
    """What is due of each bill, by its id, the oldest first; of one customer or of all. Two queries, added in Python.

    Bills on which nothing is due are left out.
    """
    entries = BookEntry.objects.filter(kind__in=MOVES, invoice__isnull=False)
    bills = Invoice.objects.bills()
    if customer is not None:
        entries = entries.filter(job__property__customer=customer)
        bills = bills.filter(job__property__customer=customer)
    sums: dict[int, int] = {}
    for invoice, kind, amount in entries.values_list("invoice_id", "kind", "amount"):
        if invoice is not None:
            sums[invoice] = sums.get(invoice, 0) + MOVES[kind] * amount
    found = bills.order_by("due_on", "pk").values_list(
        "pk", "paper__number", "due_on", "job__property__customer", "job__property__customer__name", "job_id"
    )
    return {
        pk: Due(
            invoice=pk, number=number or "", amount=sums[pk], due_on=due_on, customer=customer_pk, name=name, job=job
        )
        for pk, number, due_on, customer_pk, name, job in found
        if sums.get(pk, 0)
    }


def owed_by(dues: Iterable[Due]) -> list[Owed]:
    """For the ageing: customers of one name stay apart by their key, which stands below the name."""
    return [
        Owed(customer=f"{due.name}\n{due.customer}", due_on=due.due_on or date.max, amount=due.amount) for due in dues
    ]
