"""The receipt of a payment: printed, numbered and frozen; one of the whole, however many folders it went over."""

from __future__ import annotations

from collections.abc import Sequence
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
    parts = payment.parts
    payment = parts[0]
    if found := Receipt.objects.select_related("paper").filter(payment=payment).first():
        return found.paper
    jobs = _jobs_of(parts)
    job, made_from = jobs[0], _stand_on(jobs)
    # After what it is made from was noted: one that bounces later moves the books, and this is asked again.
    if payment.kind != Kind.RECEIVED or Payment.objects.filter(of=payment, kind=Kind.BOUNCED).exists():
        raise CantBounce("A receipt is for a payment that came in, and did not bounce.")
    entries, now, count = [each for of in jobs for each in entries_of(of)], timezone.now(), next_count(RECEIPTS)
    keys, on_bills = {str(part.pk) for part in parts}, dict[str, int]()
    for each in entries:
        if each.kind is K.SPREAD and each.payment in keys:
            on_bills[each.invoice] = on_bills.get(each.invoice, 0) + each.amount
    moved = -sum(each.moved for each in balances(entries).payments if each.key in keys)
    stamp = BillStamp(number=receipt_number(count), issued_at=now)
    facts = receipt_facts(
        firm=Firm.objects.get(pk=THE_FIRM),
        job=job,
        payment=payment,
        put_on=[(number, from_minor(minor, payment.currency)) for number, minor in on_bills.items() if minor],
        moved=from_minor(moved, payment.currency),
        balances=balances(entries),
        contract=contract_of(job) if len(jobs) == 1 else None,
        stamp=stamp,
        amount=from_minor(sum(part.amount for part in parts), payment.currency),
        folders=[each.number for each in jobs],
    )
    pdf = press(facts, now)
    with transaction.atomic():
        row = {pk: lock_row(Job, pk) for pk in sorted(each.pk for each in jobs)}[job.pk]
        if found := Receipt.objects.select_related("paper").filter(payment=payment).first():
            return found.paper
        if _stand_on(_jobs_of(parts)) != made_from:
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


def _jobs_of(parts: Sequence[Payment]) -> list[Job]:
    """The folders that a payment went over, that of its first part first."""
    found = Job.objects.select_related("property__customer").in_bulk([part.job_id for part in parts])
    return [found[part.job_id] for part in parts]


def _stand_on(jobs: Sequence[Job]) -> tuple[Any, ...]:
    return tuple(stands_on(job) for job in jobs)
