"""What the bookkeeper takes: sales, tax, payments and deposits held of a period, gathered from what was issued."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date

from quoting.core.books import balances
from quoting.core.contracts import Agreed, negative
from quoting.core.sales_tax import Sold
from quoting.documents.billed import bill_of
from quoting.models import BookEntry, Invoice, Job, Payment
from quoting.services.certificates import reasons_for

BYTES = ("paper__pdf", "credits__paper__pdf")
INTEREST = "interest on late payment"
COUNTS = {Payment.Kind.RECEIVED: 1, Payment.Kind.REFUND: -1, Payment.Kind.BOUNCED: -1}
"""How a payment counts: what was given back or bounced is below nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale:
    """A bill, or a credit note with its sums turned round."""

    invoice: Invoice
    bill: Agreed
    region: str
    exempt_by: str = ""

    @property
    def sold(self) -> Sold:
        """As the tax is reckoned from it."""
        return Sold(bill=self.bill, region=self.region, exempt_by=self.exempt_by)


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """What of a job's deposits is not earned, in minor units: owed to the customer."""

    job: Job
    amount: int
    currency: str


def sales_of(since: date, until: date) -> list[Sale]:
    """The bills and credit notes that were issued on these days, both included, by their numbers."""
    found = Invoice.objects.with_paper().issued().filter(issued_on__range=(since, until))
    rows = list(found.select_related("credits__paper").defer(None).defer(*BYTES).order_by("issued_on", "pk"))
    reason = reasons_for(row.job.property.customer_id for row in rows)
    return [
        Sale(
            invoice=row,
            bill=negative(bill_of(row)) if row.kind == Invoice.Kind.CREDIT else bill_of(row),
            region=_region_of(row),
            exempt_by=INTEREST
            if Invoice.Kind.INTEREST in (row.kind, row.credits.kind if row.credits else "")
            else reason(row.job.property.customer_id, row.issued_on or since, _region_of(row)),
        )
        for row in rows
    ]


def _region_of(row: Invoice) -> str:
    """Where the work is, as it stood on the bill: an address that is changed later changes no period that was told, and
    a credit note goes where its bill went."""
    paper = row.credits.paper if row.credits else row.paper
    parties = json.loads(paper.facts).get("parties") if paper else None
    return str(parties["place"]["region"]) if parties else row.job.property.region


def payments_of(since: date, until: date) -> list[tuple[Payment, int]]:
    """What came in, went out or bounced on these days, each as it counts in minor units."""
    found = Payment.objects.filter(on__range=(since, until)).select_related("job__property__customer")
    return [(each, COUNTS[Payment.Kind(each.kind)] * each.amount) for each in found.order_by("on", "pk")]


def deposits_held(on: date) -> list[Held]:
    """The deposits that were paid and not earned at the end of that day, by folder. What is on the books later than
    that day does not count."""
    rows = BookEntry.objects.with_numbers().filter(on__lte=on, kind__in=("spread", "earned"))
    by_job: dict[int, list[BookEntry]] = {}
    for row in rows.order_by("position"):
        by_job.setdefault(row.job_id, []).append(row)
    jobs = {job.pk: job for job in Job.objects.with_place().filter(pk__in=by_job)}
    held = [
        Held(job=jobs[pk], amount=balances(row.entry for row in of).deposits.amount, currency=of[0].currency)
        for pk, of in by_job.items()
    ]
    return sorted((each for each in held if each.amount), key=lambda each: each.job.number)
