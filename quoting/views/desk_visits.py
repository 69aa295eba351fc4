"""The desk's strip: what the crew does in the days that come, over all jobs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from quoting.documents.crew_words import Pair
from quoting.documents.visit_days import works_pair
from quoting.models import Hold, Visit
from quoting.models.jobs import JobQuerySet

DAYS = 14
MOST = 60


@dataclass(frozen=True, slots=True)
class CrewDay:
    """A day with its visits, and what is done on each."""

    day: date
    visits: tuple[tuple[Visit, Pair], ...]


def crew_days(jobs: JobQuerySet, today: date) -> list[CrewDay]:
    """The visits of the next two weeks by day, and those of days before that nobody has said are done, first."""
    found = Visit.objects.filter(job__in=jobs).with_place()
    open_still = list(found.left_open(today)[:MOST])
    coming = list(found.to_come(today).filter(day__lt=today + timedelta(days=DAYS))[:MOST])
    days: dict[date, list[Visit]] = {}
    for visit in [*open_still, *coming]:
        days.setdefault(visit.day, []).append(visit)
    return [CrewDay(day, tuple((visit, works_pair(visit)) for visit in visits)) for day, visits in days.items()]


def untold_holds(jobs: JobQuerySet) -> list[Hold]:
    """Holds of which the homeowner has not been told."""
    return list(
        Hold.objects.filter(visit__job__in=jobs, notice=None).select_related("visit__job__property__customer")[:MOST]
    )
