"""When a slab was last wetted by the crew's own work, from what was ticked at its job."""

from __future__ import annotations

from datetime import datetime

from quoting.core.tasks import works_of
from quoting.core.weather import hours_since
from quoting.core.weather_limits import Work
from quoting.documents.step_places import at_todays_places
from quoting.models import Entry, Job
from quoting.services.agreed_work import AgreedWork

WETS = frozenset({Work.WASH, Work.STRIP})
"""Work that ends with a rinse, after which the slab has to dry."""


def washed_at(job: Job, work: AgreedWork | None) -> datetime | None:
    """When the last step of washing or stripping was ticked that is still ticked; None where none is."""
    if work is None:
        return None
    works = works_of(work.workings)
    ticks = Entry.objects.filter(visit__job=job, kind__in=(Entry.Kind.TICK, Entry.Kind.UNTICK))
    at: dict[str, datetime] = {}
    for entry in at_todays_places(ticks, work.workings.steps):
        step = entry.data["step"]
        place = step.partition(".")[0]
        if not place.isdigit() or works.get(int(place)) not in WETS:
            continue
        if entry.kind == Entry.Kind.TICK:
            at[step] = entry.made_at
        else:
            at.pop(step, None)
    return max(at.values(), default=None)


def hours_dry(since: datetime | None, now: datetime) -> str:
    """Whole hours since then, rounded down so that none is claimed that hasn't passed; empty where it is not known."""
    return "" if since is None or since > now else f"{hours_since(since, now) // 1:f}"
