"""The hours since washing, from what was ticked."""

from datetime import UTC, datetime
from uuid import UUID

import pytest

from quoting.models import Entry, Job
from quoting.services.agreed_work import agreed_work
from quoting.services.entries import keep_entry
from quoting.services.washed import hours_dry, washed_at
from tests.factories import CrewFactory
from tests.sample_visits import planned_job, visit_of

pytestmark = pytest.mark.django_db
AT_NOON = datetime(2026, 7, 16, 12, tzinfo=UTC)


@pytest.fixture
def job() -> Job:
    return planned_job()


def tick(job: Job, step: str, once: int = 1, kind: str = "tick") -> Entry:
    return keep_entry(
        visit=visit_of(job), by=CrewFactory(), once=UUID(int=once), kind=kind, data={"step": step}, made_at=AT_NOON
    ).entry


def test_the_wash_counts_from_its_tick(job: Job) -> None:
    assert tick(job, "0.1.1").made_at == washed_at(job, agreed_work(job))


def test_other_work_wets_nothing(job: Job) -> None:
    tick(job, "1.1.1")
    tick(job, "check.plants", 2)
    assert washed_at(job, agreed_work(job)) is None


def test_a_tick_that_was_taken_back_does_not_count(job: Job) -> None:
    tick(job, "0.1.1")
    tick(job, "0.1.1", 2, "untick")
    assert washed_at(job, agreed_work(job)) is None


@pytest.mark.parametrize(
    ("now", "hours"),
    [
        # noon on the 16th to 13:59 on the 17th: 25 h and 59 min, of which 25 have passed
        (datetime(2026, 7, 17, 13, 59, tzinfo=UTC), "25"),
        (datetime(2026, 7, 16, 12, 30, tzinfo=UTC), "0"),
        (datetime(2026, 7, 16, 11, tzinfo=UTC), ""),
    ],
)
def test_only_hours_that_have_passed_are_claimed(now: datetime, hours: str) -> None:
    assert hours_dry(AT_NOON, now) == hours
