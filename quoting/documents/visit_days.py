"""The days of a job, one after the other: visits, days between them, and what is kept free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from quoting.documents.crew_words import Pair, listed, say
from quoting.models import Visit

MOST_DAYS = 60
"""Shown one by one; a longer pause is said in a line."""


@dataclass(frozen=True, slots=True)
class DayCell:
    """A day: what is done on it, or why nothing is."""

    day: date
    visit: Visit | None
    works: Pair | None
    words: str
    kind: str


def works_pair(visit: Visit) -> Pair:
    """What is done on a visit, in both languages."""
    return listed([say(f"work.{work.value}") for work in visit.works] or [say("work.other")])


def day_cells(visits: Sequence[Visit], latest: date | None) -> list[DayCell]:
    """Each day from the first visit to the day that is promised. Days after the last visit are kept free."""
    if not visits:
        return []
    by_day = {visit.day: visit for visit in visits}
    first, last = min(by_day), max(by_day)
    end = min(max(last, latest or last), first + timedelta(days=MOST_DAYS - 1))
    cells = []
    for i in range((end - first).days + 1):
        day = first + timedelta(days=i)
        visit = by_day.get(day)
        if visit is not None:
            cells.append(DayCell(day, visit, works_pair(visit), visit.get_state_display(), visit.state))
        elif day > last:
            cells.append(DayCell(day, None, None, "kept free", "free"))
        else:
            cells.append(DayCell(day, None, None, "dries, or no work", "between"))
    return cells
