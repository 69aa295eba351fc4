"""The books, payments, receipts and issued bills never change: the database itself refuses it, whoever asks."""

from datetime import UTC, date, datetime

import pytest
from django.db import DatabaseError, connection, transaction

from quoting.models import BookEntry, Invoice, Payment, Receipt
from tests.factories import JobFactory, PaperFactory, UserFactory

pytestmark = pytest.mark.django_db

AT = datetime(2026, 6, 12, 9, 30, tzinfo=UTC)
MODELS = [BookEntry, Payment, Receipt, Invoice]
names = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@pytest.fixture(autouse=True)
def rows() -> None:
    """One row of each, the bill issued."""
    job, by = JobFactory(), UserFactory()
    paper = PaperFactory(job=job, issued_by=by, kind="invoice", number="2026-001")
    bill = Invoice.objects.create(
        job=job, kind="single", state="issued", paper=paper, amount="10.00", issued_on=date(2026, 6, 12), drafted_by=by
    )
    payment = Payment.objects.create(
        job=job,
        on=date(2026, 6, 12),
        method="check",
        amount=1000,
        currency="USD",
        entered_by=by,
        entered_at=AT,
        once="a",
    )
    BookEntry.objects.create(
        position=1, kind="billed", amount=1000, currency="USD", on=date(2026, 6, 12), at=AT, job=job, invoice=bill
    )
    Receipt.objects.create(payment=payment, paper=PaperFactory(job=job, issued_by=by, kind="receipt", number="R-0001"))


def refused(statement: str) -> str:
    """The sentence of the database, in a transaction of its own so that the test's goes on."""
    with pytest.raises(DatabaseError) as error, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    return str(error.value)


@names
def test_a_row_is_not_updated(model):
    table = model._meta.db_table
    assert f"{table} rows never change" in refused(f"UPDATE {table} SET id = id")  # noqa: S608


@names
def test_a_row_is_not_deleted(model):
    table = model._meta.db_table
    assert f"{table} rows never change" in refused(f"DELETE FROM {table}")  # noqa: S608


@pytest.mark.sqlite
@names
def test_a_row_is_not_replaced(model):
    table = model._meta.db_table
    assert f"{table} rows never change" in refused(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")  # noqa: S608


@pytest.mark.postgresql
@names
def test_a_table_is_not_truncated(model):
    table = model._meta.db_table
    with connection.cursor() as cursor:  # what is pending would refuse it before the trigger does
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    assert "rows never change" in refused(f"TRUNCATE {table} CASCADE")


def test_a_draft_may_change_and_be_thrown_away():
    draft = Invoice.objects.create(job=JobFactory(), kind="single", amount="10.00", drafted_by=UserFactory())
    draft.amount = "12.00"
    draft.save()
    draft.delete()
    assert Invoice.objects.count() == 1


def test_a_job_has_one_draft_of_a_bill():
    job, by = JobFactory(), UserFactory()
    Invoice.objects.create(job=job, kind="single", amount="10.00", drafted_by=by)
    with pytest.raises(DatabaseError), transaction.atomic():
        Invoice.objects.create(job=job, kind="single", amount="10.00", drafted_by=by)


def test_a_payment_bounces_once():
    payment = Payment.objects.get()
    more = {"job": payment.job, "kind": "bounced", "of": payment, "on": payment.on, "method": "check", "amount": 1000,
            "currency": "USD", "entered_by": payment.entered_by, "entered_at": AT}  # fmt: skip
    Payment.objects.create(once="b", **more)
    with pytest.raises(DatabaseError), transaction.atomic():
        Payment.objects.create(once="c", **more)
