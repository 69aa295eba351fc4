"""Acts on money that came in: entering it, putting it on bills, giving it back, taking back what bounced.

What was given back of a payment that bounced afterwards is owed by the customer: what is to his credit goes on that
first, then on bills.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.books import EntryKind, PaymentBalance, balances, from_minor, to_minor
from quoting.core.spreading import Move, covered, spread_as_chosen, spread_oldest_first, uncovered, unspread
from quoting.models import Firm, Job, Payment, User, lock_row
from quoting.services.books import (
    Fact,
    balances_of,
    book_agreement,
    entries_of,
    move_facts,
    spread_facts,
    write_entries,
)
from quoting.services.firm import THE_FIRM
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

    What was given back of a payment that bounced goes before the oldest bill, and after what is chosen. What no bill
    asks for stays the customer's credit. The same `once` gives the payment that is there. Raises
    SpreadFault.
    """
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        if found := Payment.objects.filter(once=once).first():
            return found
        currency = Firm.objects.values_list("currency", flat=True).get(pk=THE_FIRM)
        wanted = None if chosen is None else [(number, to_minor(each, currency)) for number, each in chosen]
        return receive(
            row, to_minor(amount, currency), wanted, on=on, method=method, currency=currency, reference=reference,
            entered_by=by, once=once,
        )  # fmt: skip


def receive(job: Job, minor: int, wanted: Sequence[tuple[str, int]] | None, **facts: Any) -> Payment:
    """Write a payment, or its part in a folder, and put it on the folder's bills; within the caller's transaction, in
    which the job's row is locked. Raises SpreadFault."""
    book_agreement(job)
    payment = Payment.objects.create(job=job, kind=Kind.RECEIVED, amount=minor, entered_at=timezone.now(), **facts)
    key, stands = str(payment.pk), balances_of(job)
    dues = [(each.number, each.due) for each in stands.invoices]
    came, moves = _new(key, minor), covered([*stands.payments, _new(key, minor)])
    if wanted is None:
        spreads = spread_oldest_first([(key, minor + _moved(moves, key))], dues)
    else:
        spreads = spread_as_chosen(key, minor, wanted, dues)
        rest = replace(came, spread=sum(each.amount for each in spreads))
        moves = covered([*stands.payments, rest])
    booked = [
        Fact(kind=K.RECEIVED, amount=minor, payment=payment),
        *move_facts(moves, new=payment),
        *spread_facts(spreads, new=payment),
    ]
    _write("payment received", payment, booked, payment.entered_by)
    return payment


def use_credit(*, job: Job, by: User) -> int:
    """Put what the customer has to his credit on what he owes: what was given back of a payment that bounced, then the
    bills that are due, the oldest first; how much, in minor units."""
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        found = balances_of(row)
        moves = covered(found.payments)
        lefts = [(each.key, each.left + _moved(moves, each.key)) for each in found.payments if each.left > 0]
        spreads = spread_oldest_first(lefts, [(each.number, each.due) for each in found.invoices])
        if facts := [*move_facts(moves), *spread_facts(spreads)]:
            currency = Firm.objects.values_list("currency", flat=True).get(pk=THE_FIRM)
            told = write_entries(row, facts, currency=currency, on=timezone.localdate())
            record("credit used", job=row, actor=by, data={"entries": told})
    return sum(each.amount for each in spreads) + sum(each.amount for each in moves if each.amount > 0)


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
    """Give back what of a payment is on no bill; where it went over several folders, of this part first, then of the
    others. The same `once` gives the refund that is there. Raises CantRefund."""
    with transaction.atomic():
        jobs = _locked_jobs(payment)
        if found := Payment.objects.filter(once=once).first():
            return found
        minor = to_minor(amount, payment.currency)
        parts = sorted(payment.parts, key=lambda part: (part.pk != payment.pk, part.pk))
        lefts = [max(balances_of(jobs[part.job_id]).payment(str(part.pk)).left, 0) for part in parts]
        if payment.kind != Kind.RECEIVED or minor > sum(lefts):
            raise CantRefund(from_minor(sum(lefts), payment.currency))
        refunds: list[Payment] = []
        for part, left in zip(parts, lefts, strict=True):
            if taken := min(left, minor):
                act = f"{once}-{len(refunds)}" if refunds else once
                refund = _reversal(part, Kind.REFUND, on, method, taken, reference, reason, by, act)
                _write("payment refunded", refund, [Fact(kind=K.REFUNDED, amount=-taken, payment=part)], by)
                refunds.append(refund)
                minor -= taken
    return refunds[0]


def left_of_whole(payment: Payment) -> int:
    """What of a payment is on no bill, in all its folders, in minor units."""
    return sum(max(balances_of(part.job).payment(str(part.pk)).left, 0) for part in payment.parts)


def bounce_payment(*, payment: Payment, on: date, reason: str = "", by: User) -> Payment:
    """Reverse a payment that bounced, in whole: it comes off the bills that it was put on, in all the folders that it
    went over, and they are due again.

    What of it was given back before is owed by the customer from then on, beside the bills: what he has to his credit
    goes on that at once, and so does what comes in next. Once, whatever is clicked twice. Raises CantBounce.
    """
    with transaction.atomic():
        jobs = _locked_jobs(payment)
        if found := Payment.objects.filter(of=payment, kind=Kind.BOUNCED).first():
            return found
        if payment.kind != Kind.RECEIVED:
            raise CantBounce("Only a payment that came in can bounce.")
        bounced = {part.pk: _bounce(part, jobs[part.job_id], on, reason, by) for part in payment.parts}
    return bounced[payment.pk]


def _bounce(payment: Payment, job: Job, on: date, reason: str, by: User) -> Payment:
    """Reverse one part in its folder."""
    entries, key = entries_of(job), str(payment.pk)
    taken_back = uncovered(balances(entries).payments, key)
    facts = [
        *spread_facts(unspread(entries, key)),
        *move_facts(taken_back),
        Fact(kind=K.BOUNCED, amount=-payment.amount, payment=payment),
    ]
    facts += move_facts(covered(_after_bounce(balances(entries).payments, taken_back, payment)))
    once = f"bounced-{payment.pk}"
    bounced = _reversal(payment, Kind.BOUNCED, on, payment.method, payment.amount, "", reason, by, once)
    _write("payment bounced", bounced, facts, by)
    return bounced


def _locked_jobs(payment: Payment) -> dict[int, Job]:
    """The folders that a payment went over, by id, their rows locked in that order before anything is written: two who
    lock several never wait for each other."""
    return {pk: lock_row(Job, pk) for pk in sorted({part.job_id for part in payment.parts})}


def _new(key: str, amount: int) -> PaymentBalance:
    """A payment that has just come in."""
    return PaymentBalance(key=key, received=amount, refunded=0, bounced=0, spread=0)


def _moved(moves: Iterable[Move], key: str) -> int:
    """What these moves put on a payment; below nothing: what they take from it."""
    return sum(each.amount for each in moves if each.payment == key)


def _after_bounce(
    payments: Sequence[PaymentBalance], taken_back: Sequence[Move], payment: Payment
) -> list[PaymentBalance]:
    """The balances of the payments once this one has come off everything and bounced."""
    found = []
    for each in payments:
        moved = each.moved + _moved(taken_back, each.key)
        if each.key == str(payment.pk):
            each = replace(each, bounced=-payment.amount, spread=0)
        found.append(replace(each, moved=moved))
    return found


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
        "whole": payment.whole_id,
        "amount": payment.amount,
        "currency": payment.currency,
        "on": payment.on.isoformat(),
        "method": payment.method,
        "entries": told,
    }
    record(kind, job=payment.job, actor=by, data=row, at=payment.entered_at)
