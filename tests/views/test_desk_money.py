"""The desk's lines about changes and money: each thing that waits, with its one next act."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import ChangeOrder, DayPlan, Invoice, Job, Paper, PaperScope, Visit, lock_row
from quoting.services.books import book_agreement
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.payments import enter_payment
from quoting.views.desk_money import MoneyLine, money_lines
from tests.factories import CrewFactory, FirmFactory, MessageFactory, OwnerFactory, PaperFactory
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 11)


def booked_job(**facts: object) -> Job:
    """Accepted on 1 June over 665.85 with a deposit of 166.46; the books know it."""
    job = accepted_job(**facts)
    book_agreement(lock_row(Job, job.pk))
    return job


def billed(job: Job, due_on: date = TODAY) -> Invoice:
    draft = draft_invoice(job=job, by=job.opened_by)
    draft = keep_invoice(invoice=draft, version=draft.version, due_on=due_on)
    press = issue_invoice(invoice=draft, version=draft.version, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    return press.invoice


def changed(job: Job, state: str, *, sha: str = "a" * 64, day: int = 9, **facts: object) -> ChangeOrder:
    """A change in this state, issued on a day of June."""
    text = canonical_json({"contract": "0417-A", **facts})
    paper = PaperFactory(
        kind=Paper.Kind.CHANGE, number=f"0417-C{day}", job=job, revision=day, facts=text, facts_sha256=sha256_of(text),
        issued_at=datetime(2026, 6, day, 17, 0, tzinfo=UTC),
    )  # fmt: skip
    PaperScope.objects.create(
        paper=paper, position=0, role="after", name="More", edition="2026-1", scope="{}", scope_sha256=sha,
        workings="{}", workings_sha256=sha,
    )  # fmt: skip
    return ChangeOrder.objects.create(job=job, state=state, paper=paper, title="The walk too", drafted_by=job.opened_by)


def lines(job: Job, today: date = TODAY) -> list[MoneyLine]:
    return money_lines(Job.objects.filter(pk=job.pk), today)


def told(job: Job, today: date = TODAY) -> list[tuple[str, str, str]]:
    """Words, waiting and act of each line but that of the deposit."""
    return [(each.words, each.since, each.act) for each in lines(job, today) if "deposit" not in each.words]


# changes


def test_a_change_that_was_not_mailed_wants_to_be_mailed():
    row = changed(job := booked_job(), "issued")
    assert told(job) == [("The change “The walk too” is issued, not mailed yet.", "2\u00a0days", "Mail it")]
    assert lines(job)[1].url == f"/folders/0417/changes/{row.pk}/send/"


def test_a_change_without_an_answer_is_left_in_peace_for_three_days_then_somebody_rings():
    row = changed(job := booked_job(), "issued")
    MessageFactory(kind="change-order", paper=row.paper, job=job)
    assert told(job) == [("The change “The walk too” waits for their answer.", "2\u00a0days", "Open the change")]
    assert told(job, date(2026, 6, 12)) == [
        ("The change “The walk too” waits for their answer.", "3\u00a0days", "Ring them")
    ]


@pytest.mark.parametrize("state", ["drafted", "declined", "withdrawn", "superseded"])
def test_other_changes_wait_for_nobody(state):
    job = booked_job()
    if state == "drafted":
        ChangeOrder.objects.create(job=job, title="The walk too", drafted_by=job.opened_by)
    else:
        changed(job, state)
    assert told(job) == []


def test_an_accepted_change_wants_its_days():
    changed(job := booked_job(), "accepted", figures=FIGURES, number="0417-C9", days_more="1")
    words = "The change “The walk too” is accepted; its days are not planned yet."
    assert told(job) == [(words, "2\u00a0days", "Lay the days")]
    plan = DayPlan.objects.create(
        job=job, first_day=TODAY, crew=2, reserve=0, latest=TODAY, scope_sha256="b" * 64
    )  # fmt: skip
    assert [(each.act, each.url) for each in lines(job) if "deposit" not in each.words] == [
        ("Lay the days again", "/folders/0417/visits/")
    ]
    plan.scope_sha256 = "a" * 64
    plan.save()
    assert told(job) == []


def test_of_several_accepted_changes_the_last_one_says_whether_days_are_laid():
    job = booked_job()
    DayPlan.objects.create(job=job, first_day=TODAY, crew=2, reserve=0, latest=TODAY, scope_sha256="b" * 64)
    changed(job, "accepted", figures=FIGURES, number="0417-C8", days_more="0", day=8)
    changed(job, "accepted", figures=FIGURES, number="0417-C9", days_more="0", sha="b" * 64)
    assert told(job) == []


FIGURES = {"currency": "USD", "lines": [], "taxes": [], "price": "0.00", "total": "0.00"}


# deposits


def test_an_accepted_offer_wants_its_deposit_billed():
    job = booked_job()
    assert [(each.words, each.since, each.act, each.url) for each in lines(job)] == [
        (
            "Accepted; the deposit of 166.46 is not billed yet.", "10\u00a0days", "Draft the bill",
            "/folders/0417/money/#payments",
        )
    ]  # fmt: skip
    draft_invoice(job=job, by=job.opened_by)
    assert [(each.act, each.url) for each in lines(job)] == [("Go on with the draft", "/folders/0417/money/bill/")]


def test_a_billed_deposit_wants_to_be_paid_until_it_is():
    job = booked_job()
    bill = billed(job, timezone.localdate() + timedelta(days=14))
    assert [(each.act, each.paper) for each in lines(job, timezone.localdate())] == [
        ("Enter the payment", bill.paper.number)
    ]
    enter_payment(job=job, on=TODAY, method="check", amount=Decimal("166.46"), by=job.opened_by, once="a")
    assert lines(job, timezone.localdate()) == []


# overdue bills


def test_an_overdue_bill_wants_a_reminder_then_a_call():
    job = booked_job()
    bill = billed(job, date(2026, 6, 3))
    line = lines(job)[0]
    assert (line.words, line.since, line.act, line.late) == (
        "166.46 was due on 3\u00a0June.", "8\u00a0days over", "Draft a reminder", True
    )  # fmt: skip
    assert line.url == f"/bills/{bill.paper.number}/remind/"
    MessageFactory(kind="reminder", paper=bill.paper, job=job, written_at=datetime(2026, 6, 5, 17, 0, tzinfo=UTC))
    assert [(each.words, each.act) for each in lines(job)] == [
        ("166.46 was due on 3\u00a0June. Reminded on 5\u00a0June.", "Open the bill")
    ]
    assert lines(job, date(2026, 6, 12))[0].act == "Ring them"


def test_who_has_no_mail_address_is_rung():
    job = booked_job()
    billed(job, date(2026, 6, 3))
    customer = job.property.customer
    customer.email = ""
    customer.save()
    assert lines(job)[0].act == "Ring them"


# work that is done


def visit(job: Job, number: int, day: int, state: str) -> Visit:
    hours = {"starts": "08:00", "ends": "16:00"}
    return Visit.objects.create(job=job, number=number, day=date(2026, 6, day), state=state, **hours)


def test_work_that_is_done_wants_its_bill():
    job = booked_job()
    visit(job, 1, 8, "done")
    last = visit(job, 2, 9, "planned")
    assert [each.words for each in lines(job)] == ["Accepted; the deposit of 166.46 is not billed yet."]
    last.state = "done"
    last.save()
    assert [(each.words, each.since, each.act) for each in lines(job)] == [
        ("All visits are done; 665.85 of the contract is not billed.", "2\u00a0days", "Draft the bill")
    ]


def test_a_job_that_was_handed_over_wants_the_rest_billed():
    job = booked_job()
    PaperFactory(kind=Paper.Kind.HAND_OVER, number="H-0001", job=job, issued_at=datetime(2026, 6, 9, 17, tzinfo=UTC))
    assert [each.words for each in lines(job)] == ["Handed over; 665.85 of the contract is not billed."]


def test_after_the_final_bill_only_what_is_due_is_told():
    job = booked_job()
    changed(job, "accepted", figures=FIGURES, number="0417-C9", days_more="0")
    visit(job, 1, 8, "done")
    for _ in range(3):
        billed(job, date(2026, 6, 3))
    assert {each.act for each in lines(job)} == {"Draft a reminder"}


def test_what_is_late_stands_first_then_what_waited_longest():
    job = booked_job()
    changed(job, "issued")
    billed(job, date(2026, 6, 10))
    assert [each.state for each in lines(job)] == ["overdue", "issued"]


def test_a_job_without_a_contract_has_no_lines():
    assert lines(PaperFactory().job) == []


# on the desk


@pytest.mark.parametrize("rows", [1, 3])
def test_the_lines_cost_the_same_whatever_waits(rows, django_assert_num_queries):
    by = OwnerFactory()
    FirmFactory()
    for place in range(rows):
        job = booked_job(number=f"040{place}", by=by)
        changed(job, "issued", day=2 + place)
        billed(job, date(2026, 6, 3))
        visit(job, 1, 8, "done")
    # what is due: entries and bills; changes with scopes and mails; overdue bills with reminders; contracts with bills,
    # entries, visits, hand-overs; the yes of each
    with django_assert_num_queries(13):
        assert len(money_lines(Job.objects.all(), TODAY)) == 3 * rows


def test_the_desk_shows_them_to_the_office_and_not_to_the_crew(client):
    job = booked_job()
    client.force_login(job.opened_by)
    page = client.get("/")
    assert "Accepted; the deposit of 166.46 is not billed yet." in page.text
    assert 'id="w-money"' in page.text
    client.force_login(CrewFactory())
    assert 'id="w-money"' not in client.get("/").text
