"""One payment of a customer over the bills of two folders: a part in each, one receipt, and reversed as a whole."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.core.spreading import SpreadFault
from quoting.models import Job, Paper, Payment, Receipt, User
from quoting.services.books import balances_of
from quoting.services.customer_payments import NothingDue, enter_for_customer
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.payments import CantRefund, bounce_payment, left_of_whole, refund_payment
from quoting.services.receipts import issue_receipt
from quoting.services.trail import walk_chain
from quoting.services.verify_books import book_faults_of_all
from tests.factories import CustomerFactory
from tests.reading_pdf import pages_of
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db(transaction=True)
D = Decimal
DAY = date(2026, 6, 12)


def billed(number: str, **place: object) -> Job:
    """A folder of 665.85 whose deposit of 166.46 is billed."""
    job = accepted_job(number=number, **place)
    row = draft_invoice(job=job, by=job.opened_by)
    issue_invoice(invoice=row, version=row.version, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    return job


@pytest.fixture
def jobs() -> list[Job]:
    """Two folders of one customer, and one of another's."""
    first = billed("0501")
    billed("0503")
    return [first, billed("0502", property__customer=first.property.customer, by=first.opened_by)]


def by(jobs: list[Job]) -> User:
    return jobs[0].opened_by


def pay(jobs: list[Job], amount: str, once: str = "a", **more: object) -> Payment:
    who = jobs[0].property.customer
    return enter_for_customer(
        customer=who, on=DAY, method="check", amount=D(amount), by=by(jobs), once=once, reference="7", **more
    )


def state(jobs: list[Job]) -> list[tuple[int, int]]:
    """What is due, and what is to the customer's credit, of each folder."""
    return [(found.due.amount, found.credit.amount) for found in map(balances_of, jobs)]


def owed_in_all(jobs: list[Job]) -> int:
    return sum(each.due.amount + each.owed_back.amount - each.credit.amount for each in map(balances_of, jobs))


def sound() -> bool:
    return list(book_faults_of_all()) == [] and list(walk_chain()) == []


def test_one_payment_goes_over_the_bills_of_all_folders_the_oldest_first(jobs):
    """200.00: 166.46 on the first folder's bill, 33.54 on the second's, of which 132.92 stay due."""
    whole = pay(jobs, "200.00")
    assert [(part.job.number, part.amount, part.reference) for part in whole.parts] == [
        ("0501", 16646, "7"),
        ("0502", 3354, "7"),
    ]
    assert (state(jobs), sound()) == ([(0, 0), (13292, 0)], True)


def test_so_much_on_each_and_the_rest_is_a_credit(jobs):
    numbers = list(Paper.objects.filter(kind="invoice", job__in=jobs).order_by("pk").values_list("number", flat=True))
    pay(jobs, "100.00", chosen=[(numbers[0], D("10.00")), (numbers[1], D("80.00"))])
    # 166.46 − 10.00 and − 80.00; 10.00 are left in the folder of the first bill
    assert (state(jobs), sound()) == ([(15646, 1000), (8646, 0)], True)


def test_more_than_is_due_on_one_is_refused_and_nothing_is_written(jobs):
    number = Paper.objects.filter(kind="invoice", job=jobs[1]).get().number
    with pytest.raises(SpreadFault):
        pay(jobs, "200.00", chosen=[(number, D("166.47"))])
    assert not Payment.objects.exists()


def test_another_customers_bill_is_not_among_them(jobs):
    number = Paper.objects.filter(kind="invoice", job__number="0503").get().number
    with pytest.raises(SpreadFault):
        pay(jobs, "10.00", chosen=[(number, D("10.00"))])


def test_where_nothing_is_due_there_is_nothing_to_spread_it_over(jobs):
    with pytest.raises(NothingDue):
        enter_for_customer(customer=CustomerFactory(), on=DAY, method="check", amount=D("1.00"), by=by(jobs), once="a")


def test_the_same_act_again_gives_the_payment_that_is_there(jobs):
    first = pay(jobs, "200.00")
    assert (pay(jobs, "200.00"), Payment.objects.count()) == (first, 2)


@pytest.mark.parametrize("part", [0, 1])
def test_it_bounces_as_a_whole_whichever_part_is_asked_and_once(jobs, part):
    whole = pay(jobs, "200.00")
    for _ in range(2):
        bounce_payment(payment=whole.parts[part], on=DAY, by=by(jobs))
    assert Payment.objects.filter(kind="bounced").count() == 2
    assert (state(jobs), sound()) == ([(16646, 0), (16646, 0)], True)


def test_what_is_on_no_bill_is_given_back_from_all_its_parts(jobs):
    """400.00 − 2 × 166.46 = 67.08 on no bill, all in the first folder."""
    whole = pay(jobs, "400.00")
    assert left_of_whole(whole) == 6708
    second = whole.parts[1]
    with pytest.raises(CantRefund, match=r"67\.08"):
        refund_payment(payment=second, on=DAY, method="check", amount=D("67.09"), by=by(jobs), once="b")
    for _ in range(2):
        refund_payment(payment=second, on=DAY, method="check", amount=D("60.00"), by=by(jobs), once="b")
    assert (state(jobs), sound()) == ([(0, 708), (0, 0)], True)


def test_what_was_given_back_before_it_bounced_is_covered_first_by_the_next(jobs):
    """30.00 of 400.00 given back, all bounced: 30.00 and both bills are owed. Of 100.00 then 70.00 go on a bill."""
    whole = pay(jobs, "400.00")
    refund_payment(payment=whole, on=DAY, method="check", amount=D("30.00"), by=by(jobs), once="b")
    bounce_payment(payment=whole, on=DAY, by=by(jobs))
    assert [balances_of(job).owed_back.amount for job in jobs] == [3000, 0]
    pay(jobs, "100.00", once="c")
    assert [balances_of(job).owed_back.amount for job in jobs] == [0, 0]
    assert (state(jobs), sound()) == ([(9646, 0), (16646, 0)], True)


def test_there_is_one_receipt_of_the_whole(jobs):
    whole = pay(jobs, "200.00")
    papers = {issue_receipt(payment=part, by=by(jobs)).pk for part in whole.parts}
    receipt = Receipt.objects.select_related("paper").get()
    assert papers == {receipt.paper_id}
    text = " ".join(" ".join(pages_of(bytes(receipt.paper.pdf))).split())
    wanted = ("We received 200.00 USD", "folders 0501 and 0502", "166.46", "33.54", "332.92", "132.92")
    assert [each for each in wanted if each not in text] == []


def test_a_bounced_whole_has_no_receipt_of_any_part(jobs):
    whole = pay(jobs, "200.00")
    bounce_payment(payment=whole, on=DAY, by=by(jobs))
    for part in whole.parts:
        with pytest.raises(Exception, match="did not bounce"):
            issue_receipt(payment=part, by=by(jobs))


def test_two_who_enter_it_at_once_enter_it_once(jobs):
    gate = Barrier(2)

    def enter(_: int) -> int:
        gate.wait()
        try:
            return pay(jobs, "200.00").pk
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        found = set(pool.map(enter, range(2)))
    assert (len(found), Payment.objects.count(), state(jobs)) == (1, 2, [(0, 0), (13292, 0)])


def test_two_payments_and_a_bounce_at_once_keep_the_books_whole(jobs):
    """Each locks both folders, in one order: none waits for another for ever."""
    whole = pay(jobs, "200.00")
    gate = Barrier(3)

    def act(which: int) -> None:
        gate.wait()
        try:
            if which:
                pay(jobs, "50.00", once=f"p{which}")
            else:
                bounce_payment(payment=whole.parts[1], on=DAY, by=by(jobs))
        finally:
            connection.close()

    with ThreadPoolExecutor(3) as pool:
        list(pool.map(act, range(3)))
    # 2 × 166.46 − 2 × 50.00, wherever they went; a credit would be what a bill still asks for
    owed = sum(due - credit for due, credit in state(jobs))
    assert (owed, sound()) == (23292, True)


@pytest.fixture
def life(jobs) -> list[Job]:
    return jobs


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    acts=st.lists(st.tuples(st.sampled_from(["pay", "pay", "bounce", "refund"]), st.integers(1, 40_000)), max_size=6)
)
def test_random_lives_of_two_folders_keep_to_plain_integers(life: list[Job], acts: list[tuple[str, int]]) -> None:
    """What the customer has paid in all is what is due less, or to his credit, to the cent, after every act."""
    begun = Payment.objects.count()
    net = owed_in_all(life)
    for place, (act, minor) in enumerate(acts):
        last = Payment.objects.filter(kind="received", whole=None).exclude(reversed_by__kind="bounced").last()
        once = f"{begun}-{place}-{act}"
        try:
            if act == "pay":
                pay(life, f"{minor / 100:.2f}", once=once)
                net -= minor
            elif last and act == "bounce":
                bounce_payment(payment=last, on=DAY, by=by(life))
                net += sum(part.amount for part in last.parts)
            elif last and act == "refund" and (left := left_of_whole(last)):
                taken = min(left, minor)
                refund_payment(payment=last, on=DAY, method="check", amount=D(taken) / 100, by=by(life), once=once)
                net += taken
        except NothingDue:
            assert sum(due for due, _credit in state(life)) == 0
        assert owed_in_all(life) == net
    assert sound()
