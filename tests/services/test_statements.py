"""Statements of account, interest by the firm's rule, and reminders that somebody sends."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.documents.contexts import Facts
from quoting.documents.letters import LINK
from quoting.models import Firm, Invoice, Message, Payment
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.owed import dues_of
from quoting.services.payments import bounce_payment, enter_payment, refund_payment
from quoting.services.statements import (
    NothingOwed,
    NothingToState,
    OpenBill,
    beside_bills,
    draft_reminder,
    issue_statement,
    open_bills,
    print_statement,
    send_reminder,
)
from quoting.services.verify import Counted, verify_all
from tests.factories import CustomerFactory
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
    # 166.46 × 0.065 × 10 ÷ 360 = 0.3006: told, and not asked for
    Firm.objects.update(late_rule="simple", late_rate=Decimal("0.065"), late_year_days=360)
    text = text_of(print_statement(customer=bill.job.property.customer))
    wanted = ("Statement of account", str(bill), "166.46", "0.30", "it is not billed", "1 to 30 days", "6.5")
    assert [word for word in wanted if word not in text] == []
    assert "166.76" not in text


def test_a_statement_that_is_issued_has_a_number_and_is_kept(bill: Invoice) -> None:
    customer = bill.job.property.customer
    mail_to = "wexley@example.com"
    first, again, second = (
        issue_statement(customer=customer, by=bill.drafted_by, mail_to=mail_to, once=once) for once in "aab"
    )
    assert (first.number, again, second.number) == ("S-0001", first, "S-0002")
    assert [row.paper.number for row in customer.statements.order_by("pk")] == ["S-0001", "S-0002"]
    text = text_of(bytes(first.pdf))
    assert [word for word in ("Number", "S-0001", "To be paid", "166.46 USD") if word not in text] == []
    assert (Message.objects.filter(kind="statement").count(), ua_faults(bytes(first.pdf))) == (2, [])
    assert [fault for fault in verify_all(Counted()) if "S-00" in fault or "statement" in fault] == []


def test_a_statement_of_somebody_without_a_folder_is_not_issued(bill: Invoice) -> None:
    with pytest.raises(NothingToState):
        issue_statement(customer=CustomerFactory(), by=bill.drafted_by, once="a")


def test_a_statement_is_printed_again_when_something_is_paid_meanwhile(bill: Invoice) -> None:
    printed = []

    def press(facts: Facts, at: datetime) -> bytes:
        if not printed:
            pay(bill, "66.46")
        printed.append(facts["total"])
        return b"%PDF-1.7"

    paper = issue_statement(customer=bill.job.property.customer, by=bill.drafted_by, once="a", press=press)
    assert (printed, paper.number) == (["166.46", "100.00"], "S-0001")


def test_what_was_given_back_of_a_payment_that_bounced_stands_on_the_statement(bill: Invoice) -> None:
    pay(bill, "200.00")
    row = Payment.objects.get()
    today = timezone.localdate()
    refund_payment(payment=row, on=today, method="check", amount=Decimal("33.54"), by=bill.drafted_by, once="r")
    bounce_payment(payment=row, on=today, by=bill.drafted_by)
    customer = bill.job.property.customer
    assert beside_bills(customer) == (0, 3354)
    # 166.46 + 33.54
    text = text_of(print_statement(customer=customer))
    assert [word for word in ("payment that bounced afterwards", "33.54", "200.00 USD") if word not in text] == []


def test_a_credit_is_taken_off_the_statement(bill: Invoice) -> None:
    pay(bill, "200.00")  # 166.46 + 33.54
    customer = bill.job.property.customer
    assert beside_bills(customer) == (3354, 0)
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
