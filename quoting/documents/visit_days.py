"""The days of a job, one after the other: visits, days between them, and what is kept free."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from quoting.documents.crew_words import Pair, listed, named, say
from quoting.models import Visit

MOST_DAYS = 60
"""Shown one by one; a longer pause is said in a line."""


@dataclass(frozen=True, slots=True)
class DayCell:
    """A day: what is done on it, or why nothing is."""

    day: date
    visit: Visit | None
    works: Pair | None
    words: Pair
    kind: str


def works_pair(visit: Visit) -> Pair:
    """What is done on a visit, in both languages."""
    return listed([say(f"work.{work.value}") for work in visit.works] or [say("work.other")])


WAITS = (
    (r"After “(?P<step>.+)”, (?P<area>.+) has to wait\.", "days.after"),
    (r"(?P<area>.+) has to wait for what was done before\.", "days.dries"),
    (r"The day before is full\.", "days.full"),
    (r"“(?P<step>.+)” goes on from the day before\.", "days.goes_on"),
    (r"The crew doesn’t work on the days before\.", "days.off"),
    (r"Moved by hand\.", "days.by_hand"),
    (r"Moved: (?P<reason>.+)", "days.moved"),
)
"""What a visit waits for, as it is kept in English, and by which key it is said in both languages."""


def waits_pair(visit: Visit) -> Pair:
    """Why a visit is no sooner; a reason that somebody typed stays as it was typed."""
    for pattern, key in WAITS:
        if found := re.fullmatch(pattern, visit.waits_for):
            figures = {name: named(text) if name == "step" else text for name, text in found.groupdict().items()}
            return say(key, **figures)
    return Pair(visit.waits_for, visit.waits_for)


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
            cells.append(DayCell(day, visit, works_pair(visit), say(f"visit.state_{visit.state}"), visit.state))
        elif day > last:
            cells.append(DayCell(day, None, None, say("days.free"), "free"))
        else:
            cells.append(DayCell(day, None, None, say("days.between"), "between"))
    return cells
