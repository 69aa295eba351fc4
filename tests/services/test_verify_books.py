"""Verify names what was changed in the books behind everybody's back."""

from datetime import date
from decimal import Decimal

import pytest

from quoting.models import BookEntry, Invoice, Paper, Payment, Series
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.payments import enter_payment
from quoting.services.verify_books import book_faults_of_all
from tests.frozen_rows import triggers_lifted
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def books() -> None:
    """A deposit of 166.46, and 100.00 paid on it."""
    job = accepted_job()
    draft = draft_invoice(job=job, by=job.opened_by)
    issue_invoice(invoice=draft, version=1, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=Decimal("100.00"), by=job.opened_by, once="a")


def faults() -> str:
    return "\n".join(book_faults_of_all())


def test_books_that_nobody_touched_have_no_fault():
    assert faults() == ""


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda: BookEntry.objects.filter(kind="received").update(amount=9000), "(received) is not what the trail"),
        (
            lambda: BookEntry.objects.filter(kind="spread").delete(),
            "entry 4, which the trail tells of, is missing",
        ),
        (lambda: BookEntry.objects.filter(kind="billed").update(amount=20000), "the books have 20000 of it"),
        (lambda: BookEntry.objects.filter(kind="agreed").update(amount=1), "agreed is not what the papers say"),
        (lambda: Invoice.objects.update(amount="100.00"), "figures: do not add up to the bill"),
        (lambda: Payment.objects.update(amount=9999), "amount: is 9999, the trail was told 10000"),
        (lambda: Series.objects.filter(name="invoice").update(last=2), "invoice 2: is missing: 2 were counted"),
        (lambda: Series.objects.filter(name="books").update(last=9), "the last entry is 4, but 9 were counted"),
        (lambda: Paper.objects.filter(kind="invoice").update(number="2026-007"), "is there twice, or beyond"),
    ],
)
def test_each_change_is_named(change, sentence):
    with triggers_lifted():
        change()
    assert sentence in faults()
