"""What is kept of the crew's work at a person's places: told when it is asked for, its free words erased.

Figures, steps and times stay after an erasure, since they name nobody and the firm answers for the work.
"""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from quoting.models import DayPlan, Entry, HandOver, Hold, Job, SlabRecord, Visit
from quoting.services.seals import fresh_salt
from quoting.services.visits import MOVED, MOVED_BY_HAND, tell_days


def erase_work(jobs: QuerySet[Job]) -> None:
    """Take the free words out of entries, holds and days of these folders; in the caller's transaction."""
    erase_entries(jobs)
    erase_days(jobs)


def export_work(job: Job) -> dict[str, Any]:
    """The days and what was written down on them."""
    return {"days": export_days(job), "written": export_entries(job)}


def erase_days(jobs: QuerySet[Job]) -> None:
    """Take the typed reasons out of the days of these folders, and tell the trail how they stand since; in the
    caller's transaction."""
    for plan in DayPlan.objects.filter(job__in=jobs).select_related("job"):
        if not any(pin["reason"] for pin in plan.pins):
            continue
        plan.pins, plan.salt = [pin | {"reason": ""} for pin in plan.pins], fresh_salt()
        plan.save(update_fields=["pins", "salt"])
        Visit.objects.filter(job=plan.job, waits_for__startswith=MOVED).update(waits_for=MOVED_BY_HAND)
        tell_days("reasons of the days erased", plan.job, None)


def export_days(job: Job) -> list[dict[str, Any]]:
    """The visits and holds of a job as they are told to the person whom it is about."""
    holds: dict[int, list[dict[str, str]]] = {}
    for hold in Hold.objects.filter(visit__job=job):
        told = {"from": str(hold.from_day), "to": str(hold.to_day), "reason": hold.reason, "words": hold.words}
        holds.setdefault(hold.visit_id, []).append(told)
    return [
        {
            "visit": row.number, "day": str(row.day), "from": str(row.starts), "until": str(row.ends),
            "state": row.state, "waits_for": row.waits_for, "steps": [step.name for step in row.steps.all()],
            "holds": holds.get(row.pk, []),
        }
        for row in Visit.objects.filter(job=job).prefetch_related("steps")
    ]  # fmt: skip


def erase_entries(jobs: QuerySet[Job]) -> None:
    """Take the free words out of what the crew wrote down, and of the holds, with their salts; in the caller's
    transaction. Figures, steps and times stay: they name nobody."""
    Entry.objects.filter(visit__job__in=jobs).exclude(words="").update(words="", salt="")
    Hold.objects.filter(visit__job__in=jobs).exclude(words="").update(words="", salt="")


def export_entries(job: Job) -> list[dict[str, Any]]:
    """All that the crew wrote down at a job, in its order, as it is told to the person whom it is about."""
    found = Entry.objects.filter(visit__job=job).select_related("visit")
    return [
        {
            "visit": entry.visit.number, "what": entry.kind, "written_at": entry.made_at.isoformat(),
            "arrived_at": entry.arrived_at.isoformat(), "figures": entry.data, "words": entry.words,
        }
        for entry in found
    ]  # fmt: skip


def erase_hand_overs(jobs: QuerySet[Job]) -> None:
    """Take the free words out of these folders' hand-overs, with their salt; what stands on an issued sheet stays on
    it, and so does the name of who signed it. In the caller's transaction."""
    HandOver.objects.filter(job__in=jobs).update(note="", salt="")
    SlabRecord.objects.filter(job__in=jobs).update(left_words="")


def export_hand_over(job: Job) -> dict[str, Any]:
    """What is kept of a folder's hand-over, and of the slab since, as it is told to the person whom it is about."""
    row = HandOver.objects.filter(job=job).select_related("paper").defer("paper__pdf", "paper__facts").first()
    records = SlabRecord.objects.filter(job=job).order_by("id")
    said = {}
    if row:
        said = {
            "finished_on": str(row.finished_on), "note": row.note, "care": row.care, "walked": row.walked,
            "sheet": row.paper.number if row.paper else "", "signed_name": row.signed_name,
            "signed_on": str(row.signed_on or ""), "signed_how": row.signed_how,
        }  # fmt: skip
    slab = [
        {
            "area": each.area, "sealed_on": str(each.sealed_on), "system": each.system, "seal": each.seal,
            "exposures": each.exposures, "coats": each.coats, "film": each.film, "recipe": each.recipe,
            "lots": each.lots, "readings": each.readings, "due_first": str(each.due_first or ""),
            "due_last": str(each.due_last or ""), "recall": each.settled_as, "left_because": each.left_because,
            "left_words": each.left_words,
        }
        for each in records
    ]  # fmt: skip
    return said | {"slab": slab}
