"""What the crew says of a visit: kept once whatever happened meanwhile, done where it still fits."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from quoting.models import Entry, Hold, Job, Visit
from quoting.services.crew_acts import keep_act, set_aside
from quoting.services.verify_work import work_faults
from quoting.services.visits import finish_visit, move_visit
from tests.factories import CrewFactory
from tests.sample_visits import THURSDAY, planned_job, visit_of

pytestmark = pytest.mark.django_db
FRIDAY, MONDAY, TUESDAY = date(2026, 7, 17), date(2026, 7, 20), date(2026, 7, 21)
AT_TEN = datetime(2026, 7, 16, 10, tzinfo=UTC)


@pytest.fixture
def job() -> Job:
    return planned_job()


def hold(job: Job, once: int = 1, number: int = 1, seen: date = THURSDAY, day: date = MONDAY, **more: object):
    data = {"seen": seen.isoformat(), "day": day.isoformat(), "reason": "rain", "words": "Storm."} | more
    return keep_act(
        visit=visit_of(job, number), by=CrewFactory(), once=UUID(int=once), kind="hold", data=data, made_at=AT_TEN
    )


def say(job: Job, kind: str, once: int = 2, seen: date = THURSDAY):
    return keep_act(
        visit=visit_of(job), by=CrewFactory(), once=UUID(int=once), kind=kind, data={"seen": seen.isoformat()}
    )


def days(job: Job) -> list[date]:
    return [visit.day for visit in job.visits.all()]


def test_a_hold_moves_the_days_and_is_logged_with_its_entry(job):
    entry = hold(job).entry
    row = Hold.objects.get()
    assert (days(job), visit_of(job).state) == ([MONDAY, TUESDAY, date(2026, 7, 22)], Visit.State.HELD)
    assert (row.entry, row.reason, row.words, row.from_day, row.to_day) == (entry, "rain", "Storm.", THURSDAY, MONDAY)
    assert (entry.made_at, "aside" in entry.data, list(work_faults())) == (AT_TEN, False, [])


def test_a_hold_that_is_sent_twice_moves_the_days_once(job):
    assert [hold(job).is_new for _twice in range(2)] == [True, False]
    assert (Hold.objects.count(), Entry.objects.count(), visit_of(job).day) == (1, 1, MONDAY)


def test_a_hold_of_a_visit_that_the_office_moved_meanwhile_is_kept_and_changes_nothing(job):
    move_visit(visit=visit_of(job), version=1, by=job.opened_by, day=TUESDAY, reason="")
    entry = hold(job).entry
    assert (entry.data["aside"], entry.data["stands"], entry.words) == ("moved", "2026-07-21", "Storm.")
    assert (visit_of(job).day, Hold.objects.count(), set_aside([job])) == (TUESDAY, 0, [entry])
    assert list(work_faults()) == []


def test_what_was_set_aside_is_settled_once_the_office_deals_with_the_visit(job):
    move_visit(visit=visit_of(job), version=1, by=job.opened_by, day=TUESDAY, reason="")
    hold(job)
    finish_visit(visit=visit_of(job), version=visit_of(job).version, by=job.opened_by)
    assert set_aside([job]) == []


def test_a_hold_of_a_visit_that_is_done_is_kept(job):
    finish_visit(visit=visit_of(job), version=1, by=job.opened_by)
    assert (hold(job).entry.data["aside"], Hold.objects.count()) == ("over", 0)


def test_a_hold_to_the_same_day_is_kept(job):
    entry = hold(job, day=THURSDAY).entry
    assert (entry.data["aside"], entry.data["stands"], days(job)[0]) == ("earlier", "2026-07-16", THURSDAY)


def test_a_hold_that_can_not_be_laid_is_kept(job):
    entry = hold(job, day=date(2026, 7, 19)).entry  # a Sunday, on which the crew doesn't work
    assert (entry.data["aside"], Hold.objects.count()) == ("no-place", 0)


def test_done_and_not_done_are_entries(job):
    say(job, "done")
    assert visit_of(job).state == Visit.State.DONE
    say(job, "undone", once=3)
    assert (visit_of(job).state, [entry.kind for entry in Entry.objects.order_by("pk")]) == (
        Visit.State.PLANNED, ["done", "undone"]
    )  # fmt: skip
    assert list(work_faults()) == []


def test_done_twice_by_two_people_is_done(job):
    version = visit_of(job).version
    for once in (2, 3):
        say(job, "done", once=once)
    assert (visit_of(job).state, visit_of(job).version, Entry.objects.count()) == ("done", version + 1, 2)


def test_done_on_a_day_to_which_the_visit_does_not_belong_any_more_is_left_to_the_office(job):
    move_visit(visit=visit_of(job), version=1, by=job.opened_by, day=MONDAY, reason="")
    entry = say(job, "done").entry
    assert (entry.data["aside"], visit_of(job).state, set_aside([job])) == ("moved", "planned", [entry])
