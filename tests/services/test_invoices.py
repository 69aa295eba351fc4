"""Bills: drafted from the payments agreed, issued once with the next number, whatever breaks meanwhile."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime, timedelta
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import connection
from django.utils import timezone

from quoting.core.contracts import Agreed, taken_off
from quoting.documents.billed import bill_of
from quoting.documents.contexts import paper_html
from quoting.models import BookEntry, ChangedMeanwhile, Event, Firm, Invoice, Job, Message, Paper, Series, User
from quoting.services import invoices
from quoting.services.billing import billing_of
from quoting.services.books import balances_of
from quoting.services.contracts import NoContract
from quoting.services.invoices import (
    BilledAlready,
    CantBill,
    NoDraft,
    NothingToBill,
    discard_invoice,
    draft_invoice,
    issue_invoice,
    keep_invoice,
    preview_invoice,
)
from quoting.services.money_papers import StillMoving
from quoting.services.payments import enter_payment
from tests.factories import JobFactory, UserFactory
from tests.reading_pdf import pages_of
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db(transaction=True)
D = Decimal
PROGRESS_RULE = {
    "key": "ca-progress", "region": "California", "kind": "progress", "name": "Never ahead of the work", "figures": {},
    "text": "", "source": "Cal. Bus. & Prof. Code 7159.5(a)(5)", "as_of": "",
}  # fmt: skip


def blank(facts: dict[str, object], at: datetime) -> bytes:
    """A press that prints nothing, where it is not about the paper."""
    return b"%PDF-1.7"


@pytest.fixture
def job() -> Job:
    return accepted_job()


@pytest.fixture
def by(job: Job) -> User:
    return job.opened_by


def issue(job: Job, by: User, **more: object) -> Paper:
    """The next bill, with what is changed on its draft."""
    draft = draft_invoice(job=job, by=by)
    if more:
        draft = keep_invoice(invoice=draft, version=draft.version, **more)
    return issue_invoice(invoice=draft, version=draft.version, by=by, press=blank)


def test_the_first_draft_is_the_deposit_agreed(job, by):
    draft = draft_invoice(job=job, by=by)
    # 650.00 + 6.91 + 8.94 = 665.85, a quarter 166.4625 → 166.46
    assert (draft.kind, draft.amount, draft.event) == ("deposit", D("166.46"), "on acceptance")
    assert draft.due_on == timezone.localdate() + timedelta(days=14)


def test_there_is_one_draft_a_job(job, by):
    assert draft_invoice(job=job, by=by) == draft_invoice(job=job, by=by)


def test_without_a_contract_nothing_is_billed(by):
    with pytest.raises(NoContract, match="Nothing is agreed in folder 0999"):
        draft_invoice(job=JobFactory(number="0999"), by=by)


def test_a_bill_gets_its_number_when_it_is_issued(job, by):
    draft_invoice(job=job, by=by)
    assert not Series.objects.filter(name="invoice").exists()
    paper = issue(job, by)
    assert (paper.number, paper.kind, paper.revision) == (f"{timezone.localdate().year}-001", "invoice", 1)


def test_three_bills_are_the_contract_to_the_cent(job, by):
    kinds = [issue(job, by).invoice.kind for _ in range(3)]
    billing = billing_of(job)
    assert kinds == ["deposit", "progress", "final"]
    assert taken_off(billing.contract.now, billing.before) == Agreed()
    taxes = [[tax.amount for tax in bill_of(each).taxes] for each in Invoice.objects.order_by("pk")]
    # State 6.91 and City 8.94: cumulative halves of them, each rounded once
    assert [sum(column) for column in zip(*taxes, strict=True)] == [D("6.91"), D("8.94")]


def test_when_all_is_billed_there_is_nothing_to_draft(job, by):
    for _ in range(3):
        issue(job, by)
    with pytest.raises(NothingToBill):
        draft_invoice(job=job, by=by)


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"kind": "deposit", "amount": D("166.47")}, "The deposit agreed is 166.46"),
        ({"kind": "final", "amount": D("100.00")}, "over all that is left: 665.85"),
        ({"kind": "single", "amount": D("100.00")}, "over the whole contract"),
        ({"kind": "progress", "amount": D("665.86")}, "Only 665.85 is left"),
    ],
)
def test_what_can_not_be_billed_is_said(job, by, changed, sentence):
    with pytest.raises(CantBill, match=sentence):
        issue(job, by, **changed)
    assert Paper.objects.filter(kind="invoice").count() == 0


def test_where_the_rule_is_on_no_bill_runs_ahead_of_the_work():
    job = accepted_job(rules=(PROGRESS_RULE,))
    by = job.opened_by
    issue(job, by)
    with pytest.raises(CantBill, match="how much of the work is done"):
        issue(job, by)
    with pytest.raises(CantBill, match=r"499\.39 would be billed; work for 466\.09 is done"):
        issue(job, by, done=D("0.7"))
    # three quarters of 665.85 is 499.3875, down to 499.38; 0.76 of it 506.04
    assert issue(job, by, done=D("0.76")).invoice.amount == D("332.93")


def test_the_books_say_what_was_agreed_and_billed(job, by):
    issue(job, by)
    found = balances_of(job)
    assert (found.agreed.amount, found.billed.amount, found.due.amount) == (66585, 16646, 16646)


def test_a_credit_is_put_on_the_next_bill(job, by):
    enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("100.00"), by=by, once="a")
    paper = issue(job, by)
    facts = json.loads(Paper.objects.get(pk=paper.pk).facts)
    assert (facts["paid"], facts["due"], balances_of(job).invoice(paper.number).due) == ("100.00", "66.46", 6646)


def test_a_deposit_is_owed_until_the_work_has_earned_it(job, by):
    issue(job, by)
    enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("166.46"), by=by, once="a")
    assert balances_of(job).deposits.amount == 16646
    issue(job, by, done=D("0.6"))
    # work for 0.6 × 665.85 = 399.51; the progress bill covers 332.93 of it; 66.58 of the deposit is earned
    assert balances_of(job).deposits.amount == 16646 - 6658
    issue(job, by)
    assert balances_of(job).deposits.amount == 0


def test_the_paper_is_printed_from_its_facts(job, by):
    Firm.objects.update(pay_to="Ferrow & Daughter\nLarkmere Bank 00-4417", pay_link="https://pay.ferrow.example.com/")
    draft = draft_invoice(job=job, by=by)
    paper = issue_invoice(invoice=draft, version=draft.version, by=by)
    text = " ".join(" ".join(pages_of(bytes(paper.pdf))).split())
    for said in (paper.number, "Deposit invoice", "166.46", "Larkmere Bank 00-4417", "Contract 0417-A", "City, 1.375"):
        assert said in text
    assert "Larkmere Bank" in paper_html(json.loads(paper.facts))


def test_a_preview_takes_no_number(job, by):
    text = " ".join(pages_of(preview_invoice(invoice=draft_invoice(job=job, by=by))))
    assert "draft" in text
    assert (Paper.objects.filter(kind="invoice").count(), Series.objects.filter(name="invoice").count()) == (0, 0)


def test_the_mail_is_written_with_the_bill(job, by):
    draft = draft_invoice(job=job, by=by)
    paper = issue_invoice(invoice=draft, version=draft.version, by=by, mail_to="priya@example.com", press=blank)
    mail = Message.objects.get()
    assert (mail.paper, mail.to, mail.attach_paper, mail.with_link) == (paper, "priya@example.com", True, True)
    assert "166.46 USD" in mail.text


def test_a_crash_while_it_is_kept_leaves_nothing_behind(job, by, monkeypatch):
    """Number, paper, books, mail and trail are one transaction: what breaks last undoes all, and no number is lost."""
    draft = draft_invoice(job=job, by=by)

    def crash(*args, **kwargs):
        raise ConnectionError("the power went")

    monkeypatch.setattr(invoices, "record", crash)
    with pytest.raises(ConnectionError):
        issue_invoice(invoice=draft, version=draft.version, by=by, mail_to="priya@example.com", press=blank)
    monkeypatch.undo()
    assert Paper.objects.filter(kind="invoice").count() == Message.objects.count() == 0
    assert not BookEntry.objects.filter(kind="billed").exists()
    assert issue(job, by).number.endswith("-001")


def test_a_second_click_gives_the_same_bill(job, by):
    draft = draft_invoice(job=job, by=by)
    paper = issue_invoice(invoice=draft, version=draft.version, by=by, press=blank)
    with pytest.raises(BilledAlready, match=f"{paper.number} is issued already"):
        issue_invoice(invoice=draft, version=draft.version, by=by, press=blank)


def test_a_draft_that_somebody_changed_is_not_issued(job, by):
    draft = draft_invoice(job=job, by=by)
    keep_invoice(invoice=draft, version=draft.version, words="Thank you.")
    with pytest.raises(ChangedMeanwhile):
        issue_invoice(invoice=draft, version=draft.version, by=by, press=blank)


def test_a_draft_that_was_thrown_away_is_not_issued(job, by):
    draft = draft_invoice(job=job, by=by)
    discard_invoice(invoice=Invoice.objects.get(), version=draft.version)
    with pytest.raises(NoDraft):
        issue_invoice(invoice=draft, version=draft.version, by=by, press=blank)


def test_what_changed_while_it_was_printed_is_printed_again(job, by):
    prints = []

    def paid_meanwhile(facts, at):
        prints.append(facts["due"])
        if len(prints) == 1:
            enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("100.00"), by=by, once="a")
        return b"%PDF-1.7"

    draft = draft_invoice(job=job, by=by)
    paper = issue_invoice(invoice=draft, version=draft.version, by=by, press=paid_meanwhile)
    assert (prints, json.loads(paper.facts)["due"]) == (["166.46", "66.46"], "66.46")


def test_books_that_never_rest_are_given_up(job, by):
    prints = []

    def paid_meanwhile(facts, at):
        prints.append(facts)
        enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("1.00"), by=by, once=f"{len(prints)}")
        return b"%PDF-1.7"

    draft = draft_invoice(job=job, by=by)
    with pytest.raises(StillMoving):
        issue_invoice(invoice=draft, version=draft.version, by=by, press=paid_meanwhile)
    assert (len(prints), Paper.objects.filter(kind="invoice").count()) == (8, 0)


def at_once(acts):
    """What each act answers when all begin at the same moment."""
    start = Barrier(len(acts))

    def do(act):
        try:
            start.wait()
            return act()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as hands:
        return list(hands.map(do, acts))


def test_two_people_billing_at_once_give_one_bill(job, by):
    other = UserFactory()
    draft = draft_invoice(job=job, by=by)

    def act(who):
        def issue_now():
            try:
                return issue_invoice(invoice=draft, version=draft.version, by=who, press=blank).number
            except BilledAlready as already:
                return f"already {already.paper.number}"

        return issue_now

    answers = sorted(at_once([act(by), act(other)]))
    year = timezone.localdate().year
    assert answers == [f"{year}-001", f"already {year}-001"]
    assert (Paper.objects.filter(kind="invoice").count(), BookEntry.objects.filter(kind="billed").count()) == (1, 1)
    assert Event.objects.filter(kind="invoice issued").count() == 1


def test_two_people_drafting_at_once_have_one_draft(job, by):
    drafts = at_once([lambda: draft_invoice(job=job, by=by).pk, lambda: draft_invoice(job=job, by=by).pk])
    assert len(set(drafts)) == Invoice.objects.count() == 1


def test_bills_of_many_jobs_at_once_are_numbered_without_gap(by, job):
    jobs = [accepted_job(number=f"05{n:02}", by=by) for n in range(4)]
    drafts = [draft_invoice(job=each, by=by) for each in jobs]
    acts = [lambda d=d: issue_invoice(invoice=d, version=d.version, by=by, press=blank).number for d in drafts]
    numbers = sorted(number.partition("-")[2] for number in at_once(acts))
    assert numbers == ["001", "002", "003", "004"]
    assert list(BookEntry.objects.order_by("position").values_list("position", flat=True)) == list(
        range(1, BookEntry.objects.count() + 1)
    )
