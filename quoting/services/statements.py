"""Statements of account and reminders: worked out from the books when they are asked for. A statement that is issued
has a number and is kept; a reminder is only drafted here, and goes out when somebody sends it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from customers.models import Customer
from quoting.core.ageing import Owed, ageing, days_late
from quoting.core.books import Entry, balances, from_minor, to_minor
from quoting.documents.billed import bill_of
from quoting.documents.contexts import Facts, day_text, sum_text
from quoting.documents.letters import first_words
from quoting.documents.statements import statement_facts
from quoting.models import BookEntry, Firm, Invoice, Job, Message, Paper, Statement, User, lock_row
from quoting.services.firm import THE_FIRM
from quoting.services.issue import print_facts
from quoting.services.late_interest import unbilled_interest
from quoting.services.money_papers import (
    STATEMENTS,
    Moved,
    Press,
    keep_paper,
    mail_paper,
    next_count,
    stands_on,
    statement_number,
    take_expected,
    told_with,
    until_it_holds,
)
from quoting.services.outbox import write_message
from quoting.services.owed import Due, dues_of
from quoting.services.trail import record


class NothingOwed(Exception):
    """The bill is paid, or was taken back."""

    def __init__(self, number: str) -> None:
        super().__init__(f"Nothing is due on {number} any more. No reminder was sent.")


class NothingToState(Exception):
    """There is no folder of this customer, so there is nothing that a statement could say."""

    def __init__(self) -> None:
        super().__init__("There is no folder of this customer yet, so nothing was issued.")


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


def open_bills(firm: Firm, dues: Iterable[Due], on: date) -> list[OpenBill]:
    """The open bills as a statement lists them, the one that was due first at the top."""
    dues = list(dues)
    rows = Invoice.objects.with_paper().in_bulk([due.invoice for due in dues])
    interest = unbilled_interest(firm, rows.values(), on)
    return [
        OpenBill(
            number=due.number,
            place=rows[due.invoice].job.property.street,
            due_on=due.due_on,
            late=days_late(due.due_on, on) if due.due_on else 0,
            billed=to_minor(bill_of(rows[due.invoice]).total, firm.currency),
            amount=due.amount,
            interest=interest[due.invoice].total if due.invoice in interest else Decimal(0),
        )
        for due in dues
    ]


def beside_bills(customer: Customer) -> tuple[int, int]:
    """Over all folders of a customer, in minor units: what he has paid that stands on no bill, and what was given back
    to him of payments that bounced afterwards."""
    by_job: dict[int, list[Entry]] = {}
    for row in BookEntry.objects.filter(job__property__customer=customer).with_numbers():
        by_job.setdefault(row.job_id, []).append(row.entry)
    found = [balances(entries) for entries in by_job.values()]
    return sum(each.credit.amount for each in found), sum(each.owed_back.amount for each in found)


def print_statement(*, customer: Customer) -> bytes:
    """The statement of a customer as it stands now, as a PDF; nothing is kept. Raises a PaperNotPrinted."""
    now = timezone.now()
    return print_facts(_facts(customer, now, ""), now)


def issue_statement(*, customer: Customer, by: User, mail_to: str = "", once: str, press: Press = print_facts) -> Paper:
    """Issue the statement of a customer with the next number: its bytes are kept in the folder of his oldest open bill,
    else in his newest. With `mail_to` the mail that brings it is written in the same transaction.

    The same `once` gives the paper that is there. It is printed outside any transaction. Raises NothingToState,
    StillMoving or a PaperNotPrinted; then nothing was issued, and no number is lost.
    """
    return until_it_holds(lambda: _issue(customer, by, mail_to, once, press))


def _issue(customer: Customer, by: User, mail_to: str, once: str, press: Press) -> Paper:
    if found := _issued_once(once):
        return found
    job = _folder_of(customer)
    made_from = _made_from(customer, job)
    now, count = timezone.now(), next_count(STATEMENTS)
    number = statement_number(count)
    facts = _facts(customer, now, number)
    pdf = press(facts, now)
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        lock_row(Firm, THE_FIRM)
        if found := _issued_once(once):
            return found
        if _made_from(customer, job) != made_from:
            raise Moved
        take_expected(STATEMENTS, count)
        paper = keep_paper(
            kind=Paper.Kind.STATEMENT, number=number, job=row, facts=facts, pdf=pdf, issued_at=now, by=by
        )
        Statement.objects.create(customer=customer, paper=paper, once=once)
        if mail_to:
            mail_paper(paper=paper, to=mail_to, by=by)
        record("statement issued", job=row, paper=paper, actor=by, data=told_with(paper, []), at=now)
    return paper


def _issued_once(once: str) -> Paper | None:
    """The paper of the same act, if it was done before."""
    found = Statement.objects.select_related("paper").filter(once=once).first()
    return found.paper if found else None


def _folder_of(customer: Customer) -> Job:
    """Where his statement is kept. Raises NothingToState."""
    due = next(iter(dues_of(customer.pk).values()), None)
    jobs = Job.objects.filter(property__customer=customer)
    job = jobs.filter(pk=due.job).first() if due else jobs.first()
    if job is None:
        raise NothingToState
    return job


def _made_from(customer: Customer, job: Job) -> tuple[Any, ...]:
    """The state of everything that is on a statement: equal means unchanged."""
    place = Job.objects.select_related("property__customer").get(pk=job.pk)
    return tuple(dues_of(customer.pk).items()), beside_bills(customer), stands_on(place)


def _facts(customer: Customer, now: datetime, number: str) -> Facts:
    firm, today = Firm.objects.get(pk=THE_FIRM), timezone.localdate(now)
    dues = list(dues_of(customer.pk).values())
    owed = [Owed(customer="", due_on=due.due_on or date.max, amount=due.amount) for due in dues]
    place = customer.properties.first()
    credit, owed_back = beside_bills(customer)
    return statement_facts(
        firm=firm,
        customer=customer,
        where=", ".join(place.address_lines) if place else "",
        bills=open_bills(firm, dues, today),
        credit=credit,
        owed_back=owed_back,
        spans=ageing(owed, today),
        at=now,
        number=number,
    )


def draft_reminder(*, invoice: Invoice, by: User) -> tuple[str, str]:
    """Subject and words of a reminder of this bill, for somebody to read, change and send. Raises NothingOwed."""
    firm = Firm.objects.defer("logo").get(pk=THE_FIRM)
    due = _due_of(invoice)
    left = from_minor(due.amount, firm.currency)
    reckoned = unbilled_interest(firm, [invoice], timezone.localdate()).get(invoice.pk)
    interest = reckoned.total if reckoned else Decimal(0)
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
