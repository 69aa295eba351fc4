"""A person's export tells the crew's work at his places; an erasure takes every free word of it."""

import json
from datetime import date
from uuid import UUID

import pytest

from quoting.models import DayPlan, Entry, Hold, Job, Message, Visit
from quoting.services.customers import erase_customer, export_customer
from quoting.services.demo_clock import clock_set, moment
from quoting.services.entries import keep_entry
from quoting.services.outbox import write_message
from quoting.services.verify_work import work_faults
from quoting.services.visits import hold_visit, move_visit, plan_again
from tests.factories import CrewFactory
from tests.found_factories import PhotoFactory
from tests.sample_visits import THURSDAY, planned_job, visit_of

pytestmark = pytest.mark.django_db
WORDS = ["Mrs Wexley is away", "Mr Wexley rang", "Priya's party", "to seal again"]


@pytest.fixture
def job() -> Job:
    job = planned_job(property__customer__email="priya@example.com")
    by = CrewFactory()
    keep_entry(visit=visit_of(job), by=by, once=UUID(int=1), kind="note", data={"words": "Mrs Wexley is away."})
    keep_entry(visit=visit_of(job), by=by, once=UUID(int=2), kind="hours", data={"who": 1, "place": 0, "hours": "2"})
    hold_visit(visit=visit_of(job), version=1, by=by, day=date(2026, 7, 20), reason="other", words="Mr Wexley rang.")
    third = visit_of(job, 3)
    move_visit(visit=third, version=third.version, by=by, day=date(2026, 7, 27), reason="Priya's party")
    PhotoFactory(job=job, of="after", note="The deck after.")
    write_message(kind=Message.Kind.RECALL, to="priya@example.com", subject="Time to seal again", words="Time to seal "
                  "again.", job=job, by=by, once="recall1")  # fmt: skip
    return job


def kept() -> str:
    rows = (Entry, Hold, Visit, DayPlan, Message)
    return json.dumps([list(row.objects.values()) for row in rows], default=str)


def erase(job: Job) -> None:
    customer = job.property.customer
    erase_customer(by=job.opened_by, customer=customer, version=customer.version)


def test_an_export_tells_days_entries_holds_photographs_and_letters(job):
    (place,) = json.loads(json.dumps(export_customer(job.property.customer)))["properties"]
    (folder,) = place["folders"]
    work = folder["work"]
    assert [(row["what"], row["words"]) for row in work["written"]] == [("note", "Mrs Wexley is away."), ("hours", "")]
    assert [(row["visit"], row["day"], row["state"]) for row in work["days"]] == [
        (1, "2026-07-20", "held"), (2, "2026-07-21", "planned"), (3, "2026-07-27", "planned"),
    ]  # fmt: skip
    assert work["days"][0]["holds"][0]["words"] == "Mr Wexley rang."
    assert work["days"][2]["waits_for"] == "Moved: Priya's party"
    assert [row["note"] for row in folder["found"]["photographs"]] == ["The deck after."]
    assert [(row["kind"], row["subject"]) for row in folder["mails"]] == [("recall", "Time to seal again")]


def test_an_erasure_takes_every_free_word_and_leaves_the_figures(job):
    assert [word for word in WORDS if word not in kept()] == []
    erase(job)
    assert [word for word in WORDS if word in kept()] == []
    assert Entry.objects.get(kind="hours").data == {"who": 1, "place": 0, "hours": "2", "of_step": "Wash"}
    assert (job.photos.count(), list(work_faults())) == (0, [])


def test_days_laid_again_after_an_erasure_stay_without_the_reason(job):
    erase(job)
    with clock_set(moment(THURSDAY, "7:00")):
        plan_again(job=job, by=job.opened_by)
    assert visit_of(job, 3).waits_for == "Moved by hand."
    assert list(work_faults()) == []


def test_nothing_of_another_folder_is_erased(job):
    other = planned_job(number="0418")
    keep_entry(visit=visit_of(other), by=other.opened_by, once=UUID(int=9), kind="note", data={"words": "Stays."})
    erase(job)
    assert Entry.objects.get(once=UUID(int=9)).words == "Stays."
