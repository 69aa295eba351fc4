"""Interest on what was paid late, by the firm's rule: reckoned when it is looked at, billed only by somebody's act.

It is a bill of its own, beside the contract: it names the bill that was paid late, and shows how it was reckoned.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.books import Entry, EntryKind, to_minor
from quoting.core.contracts import Agreed, AreaLine
from quoting.core.late import LateRule, Stretch, stretches
from quoting.documents.billed import bill_of, figures_of
from quoting.documents.freeze import canonical_json
from quoting.documents.interest import interest_facts
from quoting.documents.invoices import BillStamp
from quoting.models import BookEntry, Firm, Invoice, Job, Paper, User, lock_row
from quoting.services.books import Fact, book_agreement, write_entries
from quoting.services.firm import THE_FIRM
from quoting.services.invoices import usual_due
from quoting.services.issue import print_facts
from quoting.services.money_papers import (
    BILLS,
    Moved,
    Press,
    bill_number,
    keep_paper,
    mail_paper,
    next_count,
    stands_on,
    take_expected,
    told_with,
    until_it_holds,
)
from quoting.services.trail import record

NONE = Decimal(0)
Kind = Invoice.Kind


class NoInterest(Exception):
    """There is no interest to bill on this bill; the sentence says why."""


class ReckonedMeanwhile(Exception):
    """The interest is another than the one that was looked at: something was paid, credited or billed meanwhile."""

    def __init__(self, number: str) -> None:
        super().__init__(f"The interest on {number} has changed since you looked at it. Nothing was billed.")


@dataclass(frozen=True, slots=True, kw_only=True)
class LateInterest:
    """The interest on one bill that is not billed yet: from which day, up to which, and its stretches."""

    since: date
    until: date
    stretches: tuple[Stretch, ...]

    @property
    def total(self) -> Decimal:
        return sum((each.interest for each in self.stretches), NONE)


def rule_of(firm: Firm) -> LateRule | None:
    """The firm's rule; None while it asks for nothing, as by default."""
    if firm.late_rule == Firm.LateRule.OFF or not firm.late_rate:
        return None
    compounding = firm.late_rule == Firm.LateRule.COMPOUNDING
    return LateRule(rate=firm.late_rate, compounding=compounding, year_days=firm.late_year_days)


def unbilled_interest(firm: Firm, bills: Iterable[Invoice], until: date) -> dict[int, LateInterest]:
    """The interest on each of these bills that is not billed yet, by the bill's id; none while the rule is off, none on
    interest. Two queries, however many bills there are.
    """
    rule = rule_of(firm)
    bills = [bill for bill in bills if bill.due_on and bill.kind not in (Kind.INTEREST, Kind.CREDIT)]
    if rule is None or not bills:
        return {}
    entries: dict[int, list[Entry]] = {}
    for row in BookEntry.objects.filter(invoice__in=bills).with_numbers():
        entries.setdefault(row.invoice_id or 0, []).append(row.entry)
    billed_until = _billed_until(bills)
    found = {}
    for bill in bills:
        since = max(bill.due_on or until, billed_until.get(bill.pk, date.min))
        late = stretches(
            entries.get(bill.pk, ()), str(bill), since=since, until=until, rule=rule, currency=firm.currency
        )
        if any(each.interest for each in late):
            found[bill.pk] = LateInterest(since=since, until=until, stretches=late)
    return found


def _billed_until(bills: list[Invoice]) -> dict[int, date]:
    """Up to which day interest on each bill is billed, what was credited in whole apart."""
    found: dict[int, date] = {}
    rows = Invoice.objects.issued().filter(late__in=bills).prefetch_related("credited_by").order_by("pk")
    for row in rows:
        taken_back = sum((note.amount for note in row.credited_by.all() if note.state == Invoice.State.ISSUED), NONE)
        if row.late_id and row.reckoned_until and taken_back < row.amount:
            found[row.late_id] = max(found.get(row.late_id, date.min), row.reckoned_until)
    return found


def interest_on_bill(invoice: Invoice, until: date) -> LateInterest:
    """The interest on a bill up to a day. Raises NoInterest."""
    firm = Firm.objects.defer("logo").get(pk=THE_FIRM)
    if rule_of(firm) is None:
        raise NoInterest("The firm asks for no interest. The rule is one of the firm’s, with its bills.")
    found = unbilled_interest(firm, [invoice], until).get(invoice.pk)
    if found is None:
        raise NoInterest(f"No interest on {invoice} is left to bill.")
    return found


def bill_interest(
    *, invoice: Invoice, total: Decimal, by: User, mail_to: str = "", press: Press = print_facts
) -> Paper:
    """Bill the interest on a bill up to today, with the next number of the bills. `total` is what was looked at.

    It is printed outside any transaction. Raises NoInterest, ReckonedMeanwhile, StillMoving or a PaperNotPrinted; then
    nothing was billed.
    """
    return until_it_holds(lambda: _bill(invoice, total, by, mail_to, press))


def _bill(invoice: Invoice, total: Decimal, by: User, mail_to: str, press: Press) -> Paper:
    late = Invoice.objects.with_paper().get(pk=invoice.pk)
    made_from, now = _made_from(late), timezone.now()
    today = timezone.localdate(now)
    interest = interest_on_bill(late, today)
    if interest.total != total:
        raise ReckonedMeanwhile(str(late))
    firm, count = Firm.objects.get(pk=THE_FIRM), next_count(BILLS)
    bill = Agreed(lines=(AreaLine(area=f"Interest on invoice {late}", amount=interest.total),))
    stamp = BillStamp(number=bill_number(count, today), issued_at=now, due_on=usual_due(today))
    facts = interest_facts(
        firm=firm, job=late.job, late=late, bill=bill, interest=interest, was=bill_of(late).total, stamp=stamp
    )
    pdf = press(facts, now)
    with transaction.atomic():
        job = lock_row(Job, late.job_id)
        lock_row(Firm, THE_FIRM)
        if _made_from(late) != made_from:
            raise Moved
        book_agreement(job)
        take_expected(BILLS, count)
        paper = keep_paper(
            kind=Paper.Kind.INVOICE, number=stamp.number, job=job, facts=facts, pdf=pdf, issued_at=now, by=by
        )
        row = Invoice.objects.create(
            job=job,
            kind=Kind.INTEREST,
            state=Invoice.State.ISSUED,
            paper=paper,
            late=late,
            reckoned_until=today,
            amount=interest.total,
            issued_on=today,
            due_on=stamp.due_on,
            figures=canonical_json(figures_of(bill, firm.currency)),
            drafted_by=by,
        )
        fact = Fact(kind=EntryKind.BILLED, amount=to_minor(interest.total, firm.currency), invoice=row, paper=paper)
        told = write_entries(job, [fact], currency=firm.currency, on=today, at=now)
        if mail_to:
            mail_paper(paper=paper, to=mail_to, by=by)
        record("invoice issued", job=job, paper=paper, actor=by, data=told_with(paper, told), at=now)
    return paper


def _made_from(late: Invoice) -> tuple[Any, ...]:
    """The state of everything that is on the bill: equal means unchanged."""
    interest = Invoice.objects.filter(late=late).order_by("pk").values_list("pk", "reckoned_until")
    return (*interest, *stands_on(Job.objects.select_related("property__customer").get(pk=late.job_id)))
