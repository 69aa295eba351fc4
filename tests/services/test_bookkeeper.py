"""What the bookkeeper takes: figures of what was issued and paid on some days, and files that nothing runs from."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from customers.models import Property
from quoting.core.sales_tax import tax_lines
from quoting.models import Invoice, Job
from quoting.services.bookkeeper import deposits_held, payments_of, sales_of
from quoting.services.bookkeeper_file import HEADS, TABLES, write_table
from quoting.services.credit_notes import credit_invoice, left_of
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.payments import bounce_payment, enter_payment
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    """The deposit of 25 % is billed: 166.46, its taxes included."""
    job = accepted_job(property__region="Ohio", property__customer__name="=cmd|' /C calc'!A0")
    draft = draft_invoice(job=job, by=job.opened_by)
    issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)
    return job


@pytest.fixture
def today() -> date:
    return timezone.localdate()


def pay(job: Job, amount: str, on: date, once: str = "one", reference: str = "") -> int:
    row = enter_payment(
        job=job, on=on, method="check", amount=Decimal(amount), reference=reference, by=job.opened_by, once=once
    )
    return row.pk


def table(what: str, since: date, until: date) -> list[list[str]]:
    return list(csv.reader("".join(write_table(what, since, until)).splitlines()))


def test_sales_are_bills_less_credit_notes(job: Job, today: date) -> None:
    bill = Invoice.objects.get()
    before = sales_of(today, today)[0].bill
    credit_invoice(invoice=bill, amount=left_of(bill), left=left_of(bill), reason="Wrong house.", by=job.opened_by)
    sales = sales_of(today, today)
    assert (before.total, [sale.bill.total for sale in sales]) == (
        Decimal("166.46"),
        [Decimal("166.46"), Decimal("-166.46")],
    )
    assert {(line.sales, line.tax) for line in tax_lines(sale.sold for sale in sales)} == {(Decimal(0), Decimal(0))}


def test_what_was_issued_on_another_day_is_left_out(job: Job) -> None:
    assert sales_of(date(2020, 1, 1), date(2020, 12, 31)) == []


def test_tax_lines_add_up_to_the_tax_of_the_bill(job: Job, today: date) -> None:
    sale = sales_of(today, today)[0]
    lines = tax_lines([sale.sold])
    assert [(line.region, line.name) for line in lines] == [("Ohio", "City"), ("Ohio", "State")]
    assert sum(line.tax for line in lines) == sale.bill.tax


def test_an_address_changed_later_changes_no_tax_that_was_told(job: Job, today: date) -> None:
    """The bill says Ohio; so does its credit note, though the address says Kentucky by then."""
    Property.objects.update(region="Kentucky")
    bill = Invoice.objects.get()
    credit_invoice(invoice=bill, amount=left_of(bill), left=left_of(bill), reason="Wrong house.", by=job.opened_by)
    assert {line.region for line in tax_lines(sale.sold for sale in sales_of(today, today))} == {"Ohio"}
    assert {row[5] for row in table("sales", today, today)[1:]} == {"Ohio"}


def test_what_bounced_is_below_nothing(job: Job, today: date) -> None:
    pk = pay(job, "166.46", today)
    payment = job.payments.get(pk=pk)
    bounce_payment(payment=payment, on=today, reason="No funds.", by=job.opened_by)
    assert [minor for _row, minor in payments_of(today, today)] == [16646, -16646]


def test_a_deposit_that_was_paid_is_held(job: Job, today: date) -> None:
    assert deposits_held(today) == []
    pay(job, "150.00", today)
    assert [(held.job.number, held.amount) for held in deposits_held(today)] == [("0417", 15000)]
    assert deposits_held(date(2020, 1, 1)) == []


@pytest.mark.parametrize("what", TABLES)
def test_no_cell_of_a_file_is_run_by_a_spreadsheet(job: Job, today: date, what: str) -> None:
    pay(job, "150.00", today, reference="@SUM(A1)")
    head, *rows = table(what, today, today)
    assert (tuple(head), bool(rows)) == (HEADS[what], True)
    assert [cell for row in rows for cell in row if cell.startswith(("=", "+", "@", "-", "\t", "\r"))] == []


def test_figures_below_nothing_stay_figures(job: Job, today: date) -> None:
    bill = Invoice.objects.get()
    credit_invoice(invoice=bill, amount=Decimal("100.00"), left=left_of(bill), reason="Wrong house.", by=job.opened_by)
    assert [row[8] for row in table("sales", today, today)[1:]] == ["166.46", "-100.00"]


def test_the_number_of_queries_does_not_grow(job: Job, today: date, django_assert_num_queries) -> None:
    pay(job, "100.00", today)
    for n in range(3):
        if n:
            pay(job, "10.00", today, once=f"more {n}")
        with django_assert_num_queries(5):
            sales_of(today, today), payments_of(today, today), deposits_held(today)
