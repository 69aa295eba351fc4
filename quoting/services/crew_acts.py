"""What the crew says of a visit from the slab: it is held, it is done, it isn't after all.

It may have been written without a signal and arrive hours later, so it is always kept as an entry. The days change only
if the visit still stands where the crew saw it; else the entry says why they stayed as they were, for the office.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F

from quoting.models import Entry, Job, User, Visit, lock_row
from quoting.services.agreed_work import NothingAgreed
from quoting.services.entries import Kept, write_entry
from quoting.services.visits import HoldFault, PlanFault, VisitOver, finish_visit, log_hold, shift_for_hold

ACTS = (Entry.Kind.HOLD, Entry.Kind.DONE, Entry.Kind.UNDONE)

MOVED, OVER, EARLIER, NO_PLACE = "moved", "over", "earlier", "no-place"
ASIDE = (MOVED, OVER, EARLIER, NO_PLACE)
"""Why the days stayed as they were: the visit is on another day now; it is done already; a hold goes to a later day;
the days can't be laid so."""


def keep_act(
    *, visit: Visit, by: User, once: UUID, kind: str, data: Mapping[str, Any], made_at: datetime | None = None
) -> Kept:
    """Keep it once, however often it is sent, and do it if it still fits; `data["aside"]` says why it was not done.

    `data` has `seen`, the day on which the crew saw the visit, and for a hold `reason`, `day` and `words`.
    """
    if there := Entry.objects.filter(once=once).first():
        return Kept(there, is_new=False)
    try:
        with transaction.atomic():
            lock_row(Job, visit.job_id)
            visit.refresh_from_db(fields=["day", "state", "version"])
            act = _hold if kind == Entry.Kind.HOLD else _finish
            entry = act(visit, by, once, kind, dict(data), made_at)
    except IntegrityError:  # the same, sent twice at the same time
        return Kept(Entry.objects.get(once=once), is_new=False)
    return Kept(entry, is_new=True)


def set_aside(jobs: Iterable[Job]) -> list[Entry]:
    """What the crew said that was not done, and about which nobody has done anything with the visit since."""
    found = Entry.objects.filter(visit__job__in=jobs, kind__in=ACTS, data__has_key="aside")
    return list(found.exclude(arrived_at__lt=F("visit__planned_again_at")).select_related("visit__job__property", "by"))


def _hold(visit: Visit, by: User, once: UUID, kind: str, data: dict[str, Any], made_at: datetime | None) -> Entry:
    words, day, reason = str(data.pop("words", "")), date.fromisoformat(data["day"]), data["reason"]
    before = visit.day
    aside = _moved(visit, data)
    if not aside:
        try:
            with transaction.atomic():
                before = shift_for_hold(visit=visit, version=visit.version, day=day, reason=reason)
        except VisitOver:
            aside = {"aside": OVER}
        except HoldFault:
            aside = {"aside": EARLIER, "stands": visit.day.isoformat()}
        except (PlanFault, NothingAgreed) as fault:
            aside = {"aside": NO_PLACE, "why": str(fault)[:300]}
    entry = write_entry(
        visit=visit, by=by, once=once, kind=kind, data=data | aside, words=words, made_at=made_at
    )  # fmt: skip
    if not aside:
        log_hold(visit=visit, by=by, before=before, reason=reason, words=words, entry=entry)
    return entry


def _finish(visit: Visit, by: User, once: UUID, kind: str, data: dict[str, Any], made_at: datetime | None) -> Entry:
    done = kind == Entry.Kind.DONE
    aside = _moved(visit, data)
    entry = write_entry(visit=visit, by=by, once=once, kind=kind, data=data | aside, words="", made_at=made_at)
    if not aside and done != (visit.state == Visit.State.DONE):
        finish_visit(visit=visit, version=visit.version, by=by, done=done)
    return entry


def _moved(visit: Visit, data: Mapping[str, Any]) -> dict[str, str]:
    """What is said where the visit is not on the day any more on which the crew saw it."""
    if visit.day.isoformat() == data["seen"]:
        return {}
    return {"aside": MOVED, "stands": visit.day.isoformat()}
