"""Acts on money that came in: entering it, putting it on bills, giving it back, taking back what bounced, a receipt."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.books import EntryKind, from_minor, spread_as_chosen, spread_oldest_first, to_minor, unspread
from quoting.documents.invoices import BillStamp
from quoting.documents.payments import receipt_facts
from quoting.models import Firm, Job, Paper, Payment, Receipt, User, lock_row
from quoting.services.books import Fact, balances_of, book_agreement, entries_of, spread_facts, write_entries
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
from quoting.services.trail import record

K = EntryKind
Kind = Payment.Kind


class CantRefund(Exception):
    """More would be given back than the customer has to his credit from this payment."""

    def __init__(self, left: Decimal) -> None:
        super().__init__(
            f"Of this payment {left:,} is not on a bill. Only that can be given back; credit the bill first for more."
        )


class CantBounce(Exception):
    """This payment can't have bounced; the sentence says why."""


def enter_payment(
    *,
    job: Job,
    on: date,
    method: str,
    amount: Decimal,
    reference: str = "",
    chosen: Sequence[tuple[str, Decimal]] | None = None,
    by: User,
    once: str,
) -> Payment:
    """Enter a payment and put it on the job's bills: the oldest first, or as `chosen` (number and sum of each).

    What no bill asks for stays the customer's credit. The same `once` gives the payment that is there. Raises
    SpreadFault.
    """
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        if found := Payment.objects.filter(once=once).first():
            return found
        book_agreement(row)
        currency = Firm.objects.values_list("currency", flat=True).get(pk=THE_FIRM)
        payment = Payment.objects.create(
            job=row,
            kind=Kind.RECEIVED,
            on=on,
            method=method,
            amount=to_minor(amount, currency),
            currency=currency,
            reference=reference,
            entered_by=by,
            entered_at=timezone.now(),
            once=once,
        )
        key, minor = str(payment.pk), payment.amount
        dues = [(each.number, each.due) for each in balances_of(row).invoices]
        if chosen is None:
            spreads = spread_oldest_first([(key, minor)], dues)
        else:
            wanted = [(number, to_minor(each, currency)) for number, each in chosen]
            spreads = spread_as_chosen(key, minor, wanted, dues)
        facts = [Fact(kind=K.RECEIVED, amount=minor, payment=payment), *spread_facts(spreads, new=payment)]
        _write("payment received", payment, facts, by)
    return payment


def use_credit(*, job: Job, by: User) -> int:
    """Put what the customer has to his credit on the bills that are due, the oldest first; how much, in minor units."""
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        found = balances_of(row)
        lefts = [(each.key, each.left) for each in found.payments if each.left > 0]
        spreads = spread_oldest_first(lefts, [(each.number, each.due) for each in found.invoices])
        if spreads:
            currency = Firm.objects.values_list("currency", flat=True).get(pk=THE_FIRM)
            told = write_entries(row, spread_facts(spreads), currency=currency, on=timezone.localdate())
            record("credit used", job=row, actor=by, data={"entries": told})
    return sum(each.amount for each in spreads)


def refund_payment(
    *,
    payment: Payment,
    on: date,
    method: str,
    amount: Decimal,
    reference: str = "",
    reason: str = "",
    by: User,
    once: str,
) -> Payment:
    """Give back what of a payment is on no bill. The same `once` gives the refund that is there. Raises CantRefund."""
    with transaction.atomic():
        job = lock_row(Job, payment.job_id)
        if found := Payment.objects.filter(once=once).first():
            return found
        minor = to_minor(amount, payment.currency)
        left = balances_of(job).payment(str(payment.pk)).left
        if payment.kind != Kind.RECEIVED or minor > left:
            raise CantRefund(from_minor(max(left, 0), payment.currency))
        refund = _reversal(payment, Kind.REFUND, on, method, minor, reference, reason, by, once)
        _write("payment refunded", refund, [Fact(kind=K.REFUNDED, amount=-minor, payment=payment)], by)
    return refund


def bounce_payment(*, payment: Payment, on: date, reason: str = "", by: User) -> Payment:
    """Reverse a payment that bounced: it comes off the bills that it was put on, and they are due again.

    Once, whatever is clicked twice. Raises CantBounce for one of which something was given back.
    """
    with transaction.atomic():
        job = lock_row(Job, payment.job_id)
        if found := Payment.objects.filter(of=payment, kind=Kind.BOUNCED).first():
            return found
        entries = entries_of(job)
        if payment.kind != Kind.RECEIVED:
            raise CantBounce("Only a payment that came in can bounce.")
        if Payment.objects.filter(of=payment, kind=Kind.REFUND).exists():
            raise CantBounce("Something of this payment was given back already, so it can’t be reversed in whole.")
        facts = [
            *spread_facts(unspread(entries, str(payment.pk))),
            Fact(kind=K.BOUNCED, amount=-payment.amount, payment=payment),
        ]
        once = f"bounced-{payment.pk}"
        bounced = _reversal(payment, Kind.BOUNCED, on, payment.method, payment.amount, "", reason, by, once)
        _write("payment bounced", bounced, facts, by)
    return bounced


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
    stamp = BillStamp(number=receipt_number(count), issued_at=now)
    facts = receipt_facts(
        firm=Firm.objects.get(pk=THE_FIRM),
        job=job,
        payment=payment,
        put_on=[(number, from_minor(minor, payment.currency)) for number, minor in on_bills.items() if minor],
        balances=balances_of(job),
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


def _reversal(
    payment: Payment, kind: str, on: date, method: str, minor: int, reference: str, reason: str, by: User, once: str
) -> Payment:
    return Payment.objects.create(
        job_id=payment.job_id,
        kind=kind,
        of=payment,
        on=on,
        method=method,
        amount=minor,
        currency=payment.currency,
        reference=reference,
        reason=reason,
        entered_by=by,
        entered_at=timezone.now(),
        once=once,
    )


def _write(kind: str, payment: Payment, facts: list[Fact], by: User) -> None:
    """The entries of a payment's row and the event that tells of both; the row's fields but its words."""
    told = write_entries(payment.job, facts, currency=payment.currency, on=payment.on, at=payment.entered_at)
    row = {
        "payment": payment.pk,
        "of": payment.of_id,
        "amount": payment.amount,
        "currency": payment.currency,
        "on": payment.on.isoformat(),
        "method": payment.method,
        "entries": told,
    }
    record(kind, job=payment.job, actor=by, data=row, at=payment.entered_at)
