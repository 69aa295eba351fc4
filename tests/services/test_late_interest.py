"""Interest on what was paid late: reckoned by the firm's rule, billed only by somebody's act, beside the contract."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.documents.ubl import ubl_of
from quoting.models import Firm, Invoice
from quoting.services.billing import billing_of
from quoting.services.books import balances_of
from quoting.services.credit_notes import credit_invoice
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.late_interest import NoInterest, ReckonedMeanwhile, bill_interest, interest_on_bill
from quoting.services.payments import enter_payment
from quoting.services.verify_books import book_faults_of_all
from tests.reading_pdf import text_of, ua_faults
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db
D = Decimal


def blank(facts: object, at: object) -> bytes:
    return b"%PDF-1.7"


@pytest.fixture
def bill() -> Invoice:
    """The deposit, 166.46, due ten days ago; 18 % a year, simple, by days of 365."""
    job = accepted_job()
    Firm.objects.update(late_rule="simple", late_rate=D("0.18"), late_year_days=365, registration="Licence 12")
    draft = draft_invoice(job=job, by=job.opened_by)
    draft = keep_invoice(invoice=draft, version=1, due_on=timezone.localdate() - timedelta(days=10))
    return issue_invoice(invoice=draft, version=2, by=job.opened_by, press=blank).invoice


def on(bill: Invoice) -> Decimal:
    return interest_on_bill(bill, timezone.localdate()).total


def test_a_firm_asks_for_no_interest_by_default(bill):
    Firm.objects.update(late_rule="off")
    with pytest.raises(NoInterest, match="asks for no interest"):
        on(bill)


def test_interest_is_a_bill_of_its_own_with_its_rule_and_working(bill):
    # 166.46 × 0.18 × 10 ÷ 365 = 0.8209
    paper = bill_interest(invoice=bill, total=D("0.82"), by=bill.drafted_by)
    text = " ".join(text_of(bytes(paper.pdf)).split())
    wanted = (
        "Interest invoice", f"Interest on invoice {bill}", "166.46, not paid yet", "0.82",
        "18 % a year; sum × rate × days ÷ 365",
    )  # fmt: skip
    assert [word for word in wanted if word not in text] == []
    row = paper.invoice
    assert (row.kind, row.late, row.reckoned_until, row.amount) == ("interest", bill, timezone.localdate(), D("0.82"))
    assert ua_faults(bytes(paper.pdf)) == []
    assert b"<cbc:InvoiceTypeCode>380</cbc:InvoiceTypeCode>" in ubl_of(json.loads(paper.facts))


def test_interest_is_no_part_of_the_contract(bill):
    bill_interest(invoice=bill, total=D("0.82"), by=bill.drafted_by, press=blank)
    billing = billing_of(bill.job)
    assert (billing.before.total, billing.left) == (D("166.46"), D("499.39"))
    assert balances_of(bill.job).due.amount == 16646 + 82
    for _ in range(2):
        draft = draft_invoice(job=bill.job, by=bill.drafted_by)
        issue_invoice(invoice=draft, version=draft.version, by=bill.drafted_by, press=blank)
    assert list(book_faults_of_all()) == []


def test_what_is_billed_is_not_billed_again(bill):
    bill_interest(invoice=bill, total=D("0.82"), by=bill.drafted_by, press=blank)
    with pytest.raises(NoInterest, match="left to bill"):
        bill_interest(invoice=bill, total=D("0.82"), by=bill.drafted_by, press=blank)
    # 166.46 × 0.18 × 5 ÷ 365 = 0.4105, from the day up to which it is billed
    assert interest_on_bill(bill, timezone.localdate() + timedelta(days=5)).total == D("0.41")


def test_interest_that_was_taken_back_may_be_billed_again(bill):
    paper = bill_interest(invoice=bill, total=D("0.82"), by=bill.drafted_by, press=blank)
    credit_invoice(
        invoice=paper.invoice, amount=D("0.82"), left=D("0.82"), reason="Let be.", by=bill.drafted_by, press=blank
    )
    assert (on(bill), billing_of(bill.job).before.total, balances_of(bill.job).due.amount) == (
        D("0.82"), D("166.46"), 16646,
    )  # fmt: skip


def test_another_sum_than_was_looked_at_is_not_billed(bill):
    with pytest.raises(ReckonedMeanwhile, match="Nothing was billed"):
        bill_interest(invoice=bill, total=D("0.81"), by=bill.drafted_by, press=blank)
    assert Invoice.objects.filter(kind="interest").count() == 0


def test_a_bill_that_was_paid_late_bears_interest_to_the_day_of_its_payment(bill):
    day = timezone.localdate() - timedelta(days=4)
    enter_payment(job=bill.job, on=day, method="check", amount=D("166.46"), by=bill.drafted_by, once="a")
    # 166.46 × 0.18 × 6 ÷ 365 = 0.4925
    assert on(bill) == D("0.49")


def test_there_is_no_interest_on_interest(bill):
    paper = bill_interest(invoice=bill, total=D("0.82"), by=bill.drafted_by, press=blank)
    with pytest.raises(NoInterest):
        interest_on_bill(paper.invoice, timezone.localdate() + timedelta(days=100))
