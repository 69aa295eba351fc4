"""Statements of account, interest by the firm's rule, and reminders that somebody sends."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.documents.letters import LINK
from quoting.models import Firm, Invoice, Message
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.owed import dues_of
from quoting.services.payments import enter_payment
from quoting.services.statements import (
    NothingOwed,
    OpenBill,
    credit_of,
    draft_reminder,
    interest_on,
    open_bills,
    print_statement,
    send_reminder,
)
from tests.reading_pdf import text_of, ua_faults
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db
ONCE = "0" * 32


@pytest.fixture
def bill() -> Invoice:
    """The deposit, 166.46, due ten days ago."""
    job = accepted_job()
    draft = draft_invoice(job=job, by=job.opened_by)
    due = timezone.localdate() - timedelta(days=10)
    draft = keep_invoice(invoice=draft, version=draft.version, due_on=due)
    issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)
    return Invoice.objects.with_paper().get()


def pay(bill: Invoice, amount: str) -> None:
    enter_payment(
        job=bill.job, on=timezone.localdate(), method="check", amount=Decimal(amount), by=bill.drafted_by, once="one"
    )


def test_interest_is_off_by_default() -> None:
    assert interest_on(Firm(late_rate=Decimal("0.065")), Decimal("1500.00"), date(2026, 4, 1), date(2026, 4, 11)) == 0


def test_simple_interest_by_the_firms_rule() -> None:
    # 5 CFR 1315.17: 1,500 × 0.065 × 10 ÷ 360 = 2.7083
    firm = Firm(late_rule="simple", late_rate=Decimal("0.065"), late_year_days=360)
    assert interest_on(firm, Decimal("1500.00"), date(2026, 4, 1), date(2026, 4, 11)) == Decimal("2.71")


def test_compounding_interest_by_the_firms_rule() -> None:
    # Two months and no days: 1,500 × (1 + 0.12 ÷ 12)² - 1,500 = 1,500 × 0.0201 = 30.15
    firm = Firm(late_rule="compounding", late_rate=Decimal("0.12"), late_year_days=360)
    assert interest_on(firm, Decimal("1500.00"), date(2026, 4, 1), date(2026, 6, 1)) == Decimal("30.15")


def test_an_open_bill_says_how_late_it_is(bill: Invoice) -> None:
    pay(bill, "66.46")
    found = open_bills(Firm.objects.get(), dues_of().values(), timezone.localdate())
    assert found == [
        OpenBill(
            number=str(bill), place=bill.job.property.street, due_on=bill.due_on, late=10, billed=16646, amount=10000,
            interest=Decimal(0),
        )
    ]  # fmt: skip


def test_the_statement_prints_open_bills_interest_and_sum(bill: Invoice) -> None:
    # 166.46 × 0.065 × 10 ÷ 360 = 0.3006; 166.46 + 0.30 = 166.76
    Firm.objects.update(late_rule="simple", late_rate=Decimal("0.065"), late_year_days=360)
    text = text_of(print_statement(customer=bill.job.property.customer))
    wanted = ("Statement of account", str(bill), "166.46", "0.30", "166.76", "1 to 30 days", "6.5")
    assert [word for word in wanted if word not in text] == []


def test_a_credit_is_taken_off_the_statement(bill: Invoice) -> None:
    pay(bill, "200.00")  # 166.46 + 33.54
    customer = bill.job.property.customer
    assert credit_of(customer) == 3354
    assert "33.54" in text_of(print_statement(customer=customer))


def test_a_reminder_is_drafted_and_nothing_is_sent(bill: Invoice) -> None:
    subject, words = draft_reminder(invoice=bill, by=bill.drafted_by)
    assert (str(bill) in subject, "166.46 USD" in words, LINK in words, "interest" in words) == (
        True,
        True,
        True,
        False,
    )
    assert Message.objects.count() == 0


def test_a_reminder_goes_out_once_with_the_bill(bill: Invoice) -> None:
    typed = {"to": "wexley@example.com", "subject": "Reminder", "words": f"Please see {LINK}", "once": ONCE}
    for _click in range(2):
        send_reminder(invoice=bill, by=bill.drafted_by, **typed)
    mail = Message.objects.get()
    assert (mail.kind, mail.to, mail.paper, mail.attach_paper, mail.with_link) == (
        "reminder", "wexley@example.com", bill.paper, True, True,
    )  # fmt: skip


def test_a_bill_that_was_paid_meanwhile_is_not_reminded_of(bill: Invoice) -> None:
    pay(bill, "166.46")
    with pytest.raises(NothingOwed):
        send_reminder(invoice=bill, to="w@example.com", subject="R", words=LINK, by=bill.drafted_by, once=ONCE)
    assert Message.objects.count() == 0


def test_the_statement_is_a_tagged_pdf(bill: Invoice) -> None:
    assert ua_faults(print_statement(customer=bill.job.property.customer)) == []
