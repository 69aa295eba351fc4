"""The receipt of a payment: printed, numbered and frozen, once a payment."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.books import EntryKind, balances, from_minor
from quoting.documents.invoices import BillStamp
from quoting.documents.payments import receipt_facts
from quoting.models import Firm, Job, Paper, Payment, Receipt, User, lock_row
from quoting.services.books import entries_of
from quoting.services.contracts import contract_of
from quoting.services.firm import THE_FIRM
from quoting.services.issue import print_facts
from quoting.services.money_papers import (
    RECEIPTS,
    Moved,
    Press,
    keep_paper,
    mail_paper,
    next_count,
    receipt_number,
    stands_on,
    take_expected,
    told_with,
    until_it_holds,
)
from quoting.services.payments import CantBounce
from quoting.services.trail import record

K = EntryKind
Kind = Payment.Kind


def issue_receipt(*, payment: Payment, by: User, mail_to: str = "", press: Press = print_facts) -> Paper:
    """The receipt of a payment, numbered and frozen; the one that is there, if one is.

    It is printed outside any transaction. Raises CantBounce for what is no payment, StillMoving or a PaperNotPrinted.
    """
    return until_it_holds(lambda: _receipt(payment, by, mail_to, press))


def _receipt(payment: Payment, by: User, mail_to: str, press: Press) -> Paper:
    if found := Receipt.objects.select_related("paper").filter(payment=payment).first():
        return found.paper
    job = Job.objects.select_related("property__customer").get(pk=payment.job_id)
    made_from: tuple[Any, ...] = stands_on(job)
    # After what it is made from was noted: one that bounces later moves the books, and this is asked again.
    if payment.kind != Kind.RECEIVED or Payment.objects.filter(of=payment, kind=Kind.BOUNCED).exists():
        raise CantBounce("A receipt is for a payment that came in, and did not bounce.")
    entries, now, count = entries_of(job), timezone.now(), next_count(RECEIPTS)
    on_bills: dict[str, int] = {}
    for each in entries:
        if each.kind is K.SPREAD and each.payment == str(payment.pk):
            on_bills[each.invoice] = on_bills.get(each.invoice, 0) + each.amount
    moved = -balances(entries).payment(str(payment.pk)).moved
    stamp = BillStamp(number=receipt_number(count), issued_at=now)
    facts = receipt_facts(
        firm=Firm.objects.get(pk=THE_FIRM),
        job=job,
        payment=payment,
        put_on=[(number, from_minor(minor, payment.currency)) for number, minor in on_bills.items() if minor],
        moved=from_minor(moved, payment.currency),
        balances=balances(entries),
        contract=contract_of(job),
        stamp=stamp,
    )
    pdf = press(facts, now)
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        if found := Receipt.objects.select_related("paper").filter(payment=payment).first():
            return found.paper
        if stands_on(Job.objects.select_related("property__customer").get(pk=job.pk)) != made_from:
            raise Moved
        take_expected(RECEIPTS, count)
        paper = keep_paper(
            kind=Paper.Kind.RECEIPT, number=stamp.number, job=row, facts=facts, pdf=pdf, issued_at=now, by=by
        )
        Receipt.objects.create(payment=payment, paper=paper)
        if mail_to:
            mail_paper(paper=paper, to=mail_to, by=by)
        record("receipt issued", job=row, paper=paper, actor=by, data=told_with(paper, []), at=now)
    return paper
