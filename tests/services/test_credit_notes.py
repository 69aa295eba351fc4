"""Credit notes: a bill taken back in whole or in part by another paper; the bill itself never changes."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection, transaction

from quoting.core.contracts import Agreed, added, agreed_of, taken_off
from quoting.documents.billed import bill_of, figures_of
from quoting.documents.freeze import canonical_json
from quoting.models import BookEntry, ChangeOrder, Invoice, Job, Paper, Proposal, User, lock_row
from quoting.services.billing import billing_of
from quoting.services.books import balances_of, book_agreement
from quoting.services.credit_notes import CantCredit, CreditedMeanwhile, credit_invoice, left_of, usual_credit
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.payments import enter_payment, refund_payment
from quoting.services.verify_books import book_faults_of_all
from tests.factories import PaperFactory
from tests.reading_pdf import pages_of
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db(transaction=True)
D = Decimal


def blank(facts: dict[str, object], at: object) -> bytes:
    return b"%PDF-1.7"


@pytest.fixture
def job() -> Job:
    return accepted_job()


@pytest.fixture
def by(job: Job) -> User:
    return job.opened_by


@pytest.fixture
def bill(job: Job, by: User) -> Invoice:
    """The deposit, 166.46."""
    draft = draft_invoice(job=job, by=by)
    return issue_invoice(invoice=draft, version=draft.version, by=by, press=blank).invoice


def credit(bill: Invoice, amount: str, by: User, **more: object) -> Paper:
    told = {"left": left_of(bill), "reason": "A slip of ours.", "press": blank} | more
    return credit_invoice(invoice=bill, amount=D(amount), by=by, **told)


def test_a_credit_note_takes_the_next_number_and_names_its_bill(bill, by):
    before = Paper.objects.values_list("facts", flat=True).get(pk=bill.paper_id)
    note = credit(bill, "166.46", by)
    assert (note.number[-4:], note.kind, note.invoice.credits) == ("-002", "credit-note", bill)
    assert Paper.objects.values_list("facts", flat=True).get(pk=bill.paper_id) == before


def test_a_bill_credited_in_parts_is_gone_to_the_cent(bill, by, job):
    notes = [credit(bill, amount, by).invoice for amount in ("0.01", "99.99", "66.46")]
    assert taken_off(bill_of(bill), sum_of(notes)) == Agreed()
    assert (left_of(bill), balances_of(job).billed.amount) == (D("0.00"), 0)


def sum_of(notes: list[Invoice]) -> Agreed:
    return added(bill_of(note) for note in notes)


def test_after_a_credit_the_job_can_be_billed_to_the_cent_again(bill, by, job):
    credit(bill, "50.00", by)
    draft = draft_invoice(job=job, by=by)
    left = billing_of(job).left
    draft = keep_invoice(invoice=draft, version=draft.version, kind="final", amount=left)
    issue_invoice(invoice=draft, version=draft.version, by=by, press=blank)
    billing = billing_of(job)
    assert (left, taken_off(billing.contract.now, billing.before)) == (D("549.39"), Agreed())


def test_what_was_paid_beyond_what_is_left_becomes_a_credit(bill, by, job):
    enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("166.46"), by=by, once="a")
    credit(bill, "100.00", by)
    found = balances_of(job)
    assert (found.due.amount, found.credit.amount, found.invoice(str(bill)).paid) == (0, 10000, 6646)


def test_what_a_change_took_off_a_job_that_is_billed_is_proposed_and_leaves_the_contract(job, by):
    draft = draft_invoice(job=job, by=by)
    draft = keep_invoice(invoice=draft, version=draft.version, kind="single", amount=billing_of(job).left)
    single = issue_invoice(invoice=draft, version=draft.version, by=by, press=blank).invoice
    of = agreed_of([("Pool deck", D("-50.00"))], [])
    facts = {"number": "0417-C1", "contract": "0417-A", "days_more": "0", "figures": figures_of(of, "USD")}
    paper = PaperFactory(kind="change-order", number="0417-C1", job=job, issued_by=by, facts=canonical_json(facts))
    ChangeOrder.objects.create(job=job, state="accepted", paper=paper, title="Less", drafted_by=by)
    with transaction.atomic():
        book_agreement(lock_row(Job, job.pk))
    assert usual_credit(single) == D("50.00")
    credit(single, "50.00", by)
    assert taken_off(billing_of(job).before, billing_of(job).contract.now) == Agreed()
    assert list(book_faults_of_all()) == []


def test_no_more_is_credited_than_is_left(bill, by):
    credit(bill, "100.00", by)
    with pytest.raises(CantCredit, match=r"Only 66\.46 is left"):
        credit(bill, "66.47", by)


def test_a_credit_note_is_not_credited(bill, by):
    note = credit(bill, "100.00", by).invoice
    with pytest.raises(CantCredit, match="Only a bill"):
        credit_invoice(invoice=note, amount=D("1.00"), left=D("100.00"), reason="x", by=by, press=blank)


def test_after_a_yes_was_taken_back_its_deposit_is_credited_and_given_back(bill, by, job):
    row = enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("166.46"), by=by, once="a")
    Proposal.objects.filter(job=job).update(state="taken back")  # as cancelling does
    with transaction.atomic():
        assert book_agreement(lock_row(Job, job.pk)) is None
    credit(bill, "166.46", by)
    refund_payment(payment=row, on=date(2026, 6, 8), method="check", amount=D("166.46"), by=by, once="r")
    found = balances_of(job)
    sums = (found.agreed, found.billed, found.paid, found.due, found.deposits, found.credit)
    assert {figure.amount for figure in sums} == {0}
    assert list(book_faults_of_all()) == []


def test_a_second_click_credits_nothing_more(bill, by):
    credit(bill, "50.00", by)
    with pytest.raises(CreditedMeanwhile):
        credit(bill, "50.00", by, left=D("166.46"))
    assert Invoice.objects.filter(kind="credit-note").count() == 1


def test_two_people_crediting_at_once_give_one_note(bill, by):
    start = Barrier(2)

    def act(_):
        try:
            start.wait()
            return credit_invoice(
                invoice=bill, amount=D("166.46"), left=D("166.46"), reason="A slip.", by=by, press=blank
            ).number[-4:]
        except CreditedMeanwhile:
            return "credited meanwhile"
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as hands:
        assert sorted(hands.map(act, range(2))) == ["-002", "credited meanwhile"]
    assert BookEntry.objects.filter(kind="credited").count() == 1


def test_the_note_is_printed_from_its_facts(bill, by):
    note = credit_invoice(invoice=bill, amount=D("50.00"), left=left_of(bill), reason="The steps were left out.", by=by)
    text = " ".join(" ".join(pages_of(bytes(note.pdf))).split())
    for said in (
        note.number,
        "Credit note",
        "The steps were left out.",
        "50.00",
        f"Invoice {bill} now comes to 116.46",
    ):
        assert said in text
    assert json.loads(note.facts)["credits"] == str(bill)
