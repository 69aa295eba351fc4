"""Payments: entered once, put on bills, given back, reversed when they bounce, and receipted."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from threading import Barrier
from threading import Event as Signal
from time import sleep

import pytest
from django.db import connection, transaction

from quoting.core.books import EntryKind
from quoting.core.spreading import SpreadFault
from quoting.models import BookEntry, Event, Invoice, Job, Message, Payment, Receipt, User
from quoting.services.books import Fact, balances_of, write_entries
from quoting.services.credit_notes import credit_invoice
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.payments import (
    CantBounce,
    CantRefund,
    bounce_payment,
    enter_payment,
    refund_payment,
    use_credit,
)
from quoting.services.receipts import issue_receipt
from quoting.services.trail import record, walk_chain
from quoting.services.verify_books import book_faults_of_all
from tests.factories import JobFactory
from tests.reading_pdf import pages_of
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db(transaction=True)
D = Decimal
DAY = date(2026, 6, 12)


@pytest.fixture
def job() -> Job:
    """With a deposit of 166.46 and a progress bill of 332.93."""
    job = accepted_job()
    for _ in range(2):
        draft = draft_invoice(job=job, by=job.opened_by)
        issue_invoice(invoice=draft, version=draft.version, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    return job


@pytest.fixture
def by(job: Job) -> User:
    return job.opened_by


def pay(job: Job, by: User, amount: str, once: str = "a", **more: object) -> Payment:
    return enter_payment(job=job, on=DAY, method="check", amount=D(amount), by=by, once=once, **more)


def dues(job: Job) -> list[int]:
    return [each.due for each in balances_of(job).invoices]


def test_a_payment_goes_on_the_oldest_bill_first(job, by):
    pay(job, by, "200.00")
    # 166.46 on the first, 33.54 on the second
    assert dues(job) == [0, 33293 - 3354]


def test_a_part_payment_leaves_the_rest_due(job, by):
    pay(job, by, "100.00")
    assert dues(job) == [6646, 33293]


def test_what_is_paid_over_stays_a_credit(job, by):
    pay(job, by, "500.00")
    found = balances_of(job)
    # 500.00 − 166.46 − 332.93
    assert (found.due.amount, found.credit.amount) == (0, 61)


def test_a_payment_is_put_where_it_was_meant(job, by):
    second = str(Invoice.objects.select_related("paper").order_by("pk")[1])
    pay(job, by, "300.00", chosen=[(second, D("250.00"))])
    assert (dues(job), balances_of(job).credit.amount) == ([16646, 33293 - 25000], 5000)


def test_no_bill_takes_more_than_is_due_on_it(job, by):
    first = str(Invoice.objects.select_related("paper").order_by("pk")[0])
    with pytest.raises(SpreadFault):
        pay(job, by, "300.00", chosen=[(first, D("200.00"))])
    assert Payment.objects.count() == 0


def test_a_second_click_enters_nothing_more(job, by):
    assert pay(job, by, "100.00") == pay(job, by, "100.00")
    assert Payment.objects.count() == Event.objects.filter(kind="payment received").count() == 1


def test_the_same_click_from_two_places_at_once_enters_one_payment(job, by):
    start = Barrier(2)

    def act(_):
        try:
            start.wait()
            return pay(job, by, "100.00").pk
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as hands:
        assert len(set(hands.map(act, range(2)))) == 1
    assert balances_of(job).paid.amount == 10000


def test_two_payments_at_once_pay_a_bill_once(job, by):
    start = Barrier(4)

    def act(n):
        try:
            start.wait()
            return pay(job, by, "166.46", once=f"{n}").pk
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as hands:
        list(hands.map(act, range(4)))
    found = balances_of(job)
    # 4 × 166.46 = 665.84; 499.39 was due
    assert (found.due.amount, found.credit.amount) == (0, 66584 - 49939)


def test_a_payment_goes_through_while_elsewhere_a_yes_is_told_and_then_booked(job, by):
    """A yes tells the trail first and the books then, a payment the books first: PostgreSQL would end one of them."""
    other, told = JobFactory(number="0418", opened_by=by), Signal()

    def say_yes() -> None:
        try:
            with transaction.atomic():
                record("proposal accepted", job=other, actor=by)
                told.set()
                sleep(0.3)
                write_entries(other, [Fact(kind=EntryKind.AGREED, amount=100)], currency="USD", on=DAY)
        finally:
            connection.close()

    def enter() -> None:
        try:
            told.wait(5)
            pay(job, by, "10.00")
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as hands:
        for done in (hands.submit(say_yes), hands.submit(enter)):
            done.result()
    kinds = BookEntry.objects.filter(kind__in=["agreed", "received"], amount__in=[100, 1000]).order_by("position")
    assert ([each.kind for each in kinds], list(walk_chain())) == (["agreed", "received"], [])


def test_a_bounced_payment_leaves_everything_due_again(job, by):
    row = pay(job, by, "200.00")
    for _ in range(2):
        bounce_payment(payment=row, on=DAY, reason="No funds.", by=by)
    found = balances_of(job)
    assert (found.paid.amount, dues(job), Payment.objects.filter(kind="bounced").count()) == (0, [16646, 33293], 1)


def test_only_what_is_on_no_bill_is_given_back(job, by):
    row = pay(job, by, "500.00")
    told = {"payment": row, "on": DAY, "method": "check", "by": by}
    with pytest.raises(CantRefund, match=r"Of this payment 0\.61 is not on a bill"):
        refund_payment(amount=D("0.62"), once="r", **told)
    refund_payment(amount=D("0.61"), once="r", **told)
    refund_payment(amount=D("0.61"), once="r", **told)
    assert (balances_of(job).credit.amount, Payment.objects.filter(kind="refund").count()) == (0, 1)


def test_after_a_credit_note_more_can_be_given_back(job, by):
    row = pay(job, by, "499.39")
    second = Invoice.objects.select_related("paper").order_by("pk")[1]
    credit_invoice(
        invoice=second, amount=D("32.93"), left=D("332.93"), reason="A slip.", by=by, press=lambda f, t: b"%PDF-1.7"
    )
    refund_payment(payment=row, on=DAY, method="check", amount=D("32.93"), by=by, once="r")
    found = balances_of(job)
    assert (found.paid.amount, found.credit.amount, found.due.amount) == (46646, 0, 0)


def owed(job):
    """Due on bills, to the credit, given back of what bounced; paid in all. In cents."""
    found = balances_of(job)
    return found.due.amount, found.credit.amount, found.owed_back.amount, found.paid.amount


def test_what_was_given_back_of_a_payment_that_bounces_is_owed_beside_the_bills(job, by):
    row = pay(job, by, "500.00")
    refund_payment(payment=row, on=DAY, method="check", amount=D("0.61"), by=by, once="r")
    bounce_payment(payment=row, on=DAY, by=by)
    # 499.39 of the bills is due again; 500.00 came and went, and 0.61 went out besides, for nothing.
    assert owed(job) == (49_939, 0, 61, -61)
    assert list(book_faults_of_all()) == []


def test_the_next_payment_covers_first_what_was_given_back(job, by):
    row = pay(job, by, "500.00")
    refund_payment(payment=row, on=DAY, method="check", amount=D("0.61"), by=by, once="r")
    bounce_payment(payment=row, on=DAY, by=by)
    pay(job, by, "1.00", once="next")
    # 0.61 first on what was given back, 0.39 on the oldest bill
    assert owed(job) == (49_900, 0, 0, 39)
    assert list(book_faults_of_all()) == []


def test_a_credit_covers_at_once_what_was_given_back_of_one_that_bounces(job, by):
    row = pay(job, by, "500.00")
    refund_payment(payment=row, on=DAY, method="check", amount=D("0.61"), by=by, once="r")
    pay(job, by, "1.00", once="next")
    bounce_payment(payment=row, on=DAY, by=by)
    # the credit of 1.00 covers 0.61; 0.39 of it stays the credit
    assert owed(job) == (49_939, 39, 0, 39)


def test_when_the_one_that_covered_it_bounces_too_it_is_owed_again(job, by):
    row = pay(job, by, "500.00")
    refund_payment(payment=row, on=DAY, method="check", amount=D("0.61"), by=by, once="r")
    bounce_payment(payment=row, on=DAY, by=by)
    bounce_payment(payment=pay(job, by, "1.00", once="next"), on=DAY, by=by)
    assert owed(job) == (49_939, 0, 61, -61)
    assert list(book_faults_of_all()) == []


def test_what_bounced_does_not_bounce_again(job, by):
    row = pay(job, by, "500.00")
    refund = refund_payment(payment=row, on=DAY, method="check", amount=D("0.61"), by=by, once="r")
    with pytest.raises(CantBounce, match="Only a payment that came in"):
        bounce_payment(payment=refund, on=DAY, by=by)


def test_a_credit_is_put_on_the_bills_when_it_is_asked_for(job, by):
    pay(job, by, "100.00", chosen=[])
    assert (use_credit(job=job, by=by), use_credit(job=job, by=by), dues(job)) == (10000, 0, [6646, 33293])


def test_a_payment_that_came_before_any_bill_is_a_credit():
    job = accepted_job(number="0500")
    pay(job, job.opened_by, "50.00")
    assert balances_of(job).credit.amount == 5000


def test_a_receipt_is_printed_once(job, by):
    row = pay(job, by, "500.00", reference="No. 1042")
    paper = issue_receipt(payment=row, by=by, mail_to="priya@example.com")
    text = " ".join(" ".join(pages_of(bytes(paper.pdf))).split())
    for said in ("R-0001", "We received 500.00 USD on 12 June 2026 by check, reference No. 1042", "0.61"):
        assert said in text
    assert issue_receipt(payment=row, by=by) == paper
    assert (Receipt.objects.count(), Message.objects.get().kind) == (1, "receipt")


def test_what_bounced_gets_no_receipt(job, by):
    row = pay(job, by, "100.00")
    bounce_payment(payment=row, on=DAY, by=by)
    with pytest.raises(CantBounce):
        issue_receipt(payment=row, by=by)


def test_what_bounces_while_its_receipt_is_printed_gets_none(job, by):
    row = pay(job, by, "100.00")

    def bounces_meanwhile(facts, at):
        bounce_payment(payment=row, on=DAY, by=by)
        return b"%PDF-1.7"

    with pytest.raises(CantBounce):
        issue_receipt(payment=row, by=by, press=bounces_meanwhile)
    assert not Receipt.objects.exists()


def test_the_trail_has_no_personal_data(job, by):
    pay(job, by, "100.00", reference="Check of Priya Wexley")
    assert not Event.objects.filter(data__contains="Wexley").exists()
    assert BookEntry.objects.filter(kind="received").get().amount == 10000
