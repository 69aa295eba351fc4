"""Statements of account and reminders: worked out from the books when they are asked for; a reminder is only drafted
here, and goes out when somebody sends it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from customers.models import Customer
from quoting.core.ageing import Owed, ageing, days_late
from quoting.core.books import Entry, balances, from_minor, to_minor
from quoting.core.interest import late_interest
from quoting.documents.billed import bill_of
from quoting.documents.contexts import day_text, sum_text
from quoting.documents.letters import first_words
from quoting.documents.statements import statement_facts
from quoting.models import BookEntry, Firm, Invoice, Job, Message, User, lock_row
from quoting.services.firm import THE_FIRM
from quoting.services.issue import print_facts
from quoting.services.outbox import write_message
from quoting.services.owed import Due, dues_of


class NothingOwed(Exception):
    """The bill is paid, or was taken back."""

    def __init__(self, number: str) -> None:
        super().__init__(f"Nothing is due on {number} any more. No reminder was sent.")


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBill:
    """A bill on which something is due: sums in minor units, days late, interest in the currency to this day."""

    number: str
    place: str
    due_on: date | None
    late: int
    billed: int
    amount: int
    interest: Decimal


def interest_on(firm: Firm, amount: Decimal, due_on: date | None, on: date) -> Decimal:
    """What the firm's rule asks for a sum that is not paid on that day; nothing while the rule is off."""
    if firm.late_rule == Firm.LateRule.OFF or not firm.late_rate or due_on is None or amount <= 0:
        return Decimal(0)
    compounding = firm.late_rule == Firm.LateRule.COMPOUNDING
    return late_interest(
        amount, firm.late_rate, due_on, on, firm.currency, compounding=compounding, year_days=firm.late_year_days
    )


def open_bills(firm: Firm, dues: Iterable[Due], on: date) -> list[OpenBill]:
    """The open bills as a statement lists them, the one that was due first at the top."""
    dues = list(dues)
    rows = Invoice.objects.with_paper().in_bulk([due.invoice for due in dues])
    return [
        OpenBill(
            number=due.number,
            place=rows[due.invoice].job.property.street,
            due_on=due.due_on,
            late=days_late(due.due_on, on) if due.due_on else 0,
            billed=to_minor(bill_of(rows[due.invoice]).total, firm.currency),
            amount=due.amount,
            interest=interest_on(firm, from_minor(due.amount, firm.currency), due.due_on, on),
        )
        for due in dues
    ]


def credit_of(customer: Customer) -> int:
    """What a customer has paid that stands on no bill, over all his folders, in minor units."""
    by_job: dict[int, list[Entry]] = {}
    for row in BookEntry.objects.filter(job__property__customer=customer).with_numbers():
        by_job.setdefault(row.job_id, []).append(row.entry)
    return sum(max(balances(entries).credit.amount, 0) for entries in by_job.values())


def print_statement(*, customer: Customer) -> bytes:
    """The statement of a customer as it stands now, as a PDF; nothing is kept. Raises a PaperNotPrinted."""
    firm, now = Firm.objects.get(pk=THE_FIRM), timezone.now()
    today = timezone.localdate(now)
    dues = list(dues_of(customer.pk).values())
    owed = [Owed(customer="", due_on=due.due_on or date.max, amount=due.amount) for due in dues]
    place = customer.properties.first()
    facts = statement_facts(
        firm=firm,
        customer=customer,
        where=", ".join(place.address_lines) if place else "",
        bills=open_bills(firm, dues, today),
        credit=credit_of(customer),
        spans=ageing(owed, today),
        at=now,
    )
    return print_facts(facts, now)


def draft_reminder(*, invoice: Invoice, by: User) -> tuple[str, str]:
    """Subject and words of a reminder of this bill, for somebody to read, change and send. Raises NothingOwed."""
    firm = Firm.objects.defer("logo").get(pk=THE_FIRM)
    due = _due_of(invoice)
    left = from_minor(due.amount, firm.currency)
    interest = interest_on(firm, left, due.due_on, timezone.localdate())
    place = invoice.job.property
    return first_words(
        "reminder",
        number=due.number,
        place=place.street,
        customer=place.customer.name,
        due_day=day_text(due.due_on),
        left=sum_text(left, firm.currency),
        currency=firm.currency,
        interest=sum_text(interest, firm.currency) if interest else "",
        writer=by.name,
    )


def send_reminder(*, invoice: Invoice, to: str, subject: str, words: str, by: User, once: str) -> Message:
    """Put a reminder into the outbox, with the bill attached and a private link; the same `once` sends one mail.

    Raises NothingOwed when the bill was paid since it was drafted.
    """
    with transaction.atomic():
        lock_row(Job, invoice.job_id)
        _due_of(invoice)
        return write_message(
            kind=Message.Kind.REMINDER,
            to=to,
            subject=subject,
            words=words,
            paper=invoice.paper,
            by=by,
            attach_paper=True,
            with_link=True,
            once=once,
        )


def _due_of(invoice: Invoice) -> Due:
    due = dues_of(invoice.job.property.customer_id).get(invoice.pk)
    if due is None or due.amount <= 0:
        raise NothingOwed(str(invoice))
    return due
