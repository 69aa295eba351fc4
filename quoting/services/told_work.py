"""The crew's work as the trail is told of it: every field, free words by their salted hash, no personal data.

What may be typed freely (a lot, an area's name) is told by its hash as well, so that the trail holds none of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import DayPlan, Entry, HandOver, Hold, Job, SlabRecord, Visit, VisitStep
from quoting.services.seals import hash_words

Told = dict[str, Any]

SHORT = 24
"""Digits of a hash that stands for one field: 96 bits."""


def told_entry(row: Entry) -> Told:
    """One thing that the crew wrote down."""
    return {
        "once": str(row.once),
        "visit": row.visit_id,
        "kind": row.kind,
        "by": row.by_id,
        "made_at": _at(row.made_at),
        "arrived_at": _at(row.arrived_at),
        "words_sha256": row.words_sha256,
        **_hashes("data", row.data),
    }


def told_hold(row: Hold) -> Told:
    """A visit that was held; the mail that tells of it is told by itself."""
    return {
        "hold": row.pk,
        "visit": row.visit_id,
        "reason": row.reason,
        "words_sha256": row.words_sha256,
        "entry": row.entry_id,
        "from_day": row.from_day.isoformat(),
        "to_day": row.to_day.isoformat(),
        "at": _at(row.at),
        "by": row.by_id,
    }


def told_days(job: Job) -> Told:
    """The days of a job as they are laid now: the plan, and each visit with its steps by its number."""
    plan = DayPlan.objects.filter(job=job).first()
    visits = Visit.objects.filter(job=job).prefetch_related("steps").order_by("number")
    salt = plan.salt if plan else ""
    return {
        "plan": _plan(plan) if plan else {},
        "visits": {str(visit.number): _visit(visit, salt) for visit in visits},
    }


def told_sheet(row: HandOver) -> Told:
    """A hand-over as its sheet was issued; the sign-off comes later and is told by `told_sign_off`."""
    return {
        "finished_on": row.finished_on.isoformat(),
        "walk_hours": row.walk_hours,
        "furniture_hours": row.furniture_hours,
        "park_hours": row.park_hours,
        "care": _hash(row.care),
        "note": hash_words(row.salt, row.note),
        "walked": _hash(row.walked),
        "slabs": _hash(row.slabs),
        "begun_by": row.begun_by_id,
        "begun_at": _at(row.begun_at),
    }


def told_sign_off(row: HandOver) -> Told:
    """Who signed, by a salted hash, when and how."""
    return {
        "signed_on": row.signed_on.isoformat() if row.signed_on else "",
        "signed_name": hash_words(row.signed_salt, row.signed_name),
        "signed_how": row.signed_how,
    }


LATER = frozenset({"id", "settled_at", "settled_as", "settled_until", "left_because", "left_words"})
"""What is no part of what a sheet said of a slab: the row's own number, and what became of its recall."""


def told_slab(row: SlabRecord) -> Told:
    """What one area is sealed with since a job, field by field."""
    fields = [field.attname for field in row._meta.concrete_fields if field.name not in LATER]
    return {name: _hash(_plain(getattr(row, name))) for name in fields}


def _plan(row: DayPlan) -> Told:
    return {
        "first_day": row.first_day.isoformat(),
        "crew": row.crew,
        "reserve": row.reserve,
        "latest": row.latest.isoformat(),
        "scope_sha256": row.scope_sha256,
        "version": row.version,
        "pins": [
            {"visit": pin["visit"], "day": pin["day"], "reason": hash_words(row.salt, pin["reason"])}
            for pin in row.pins
        ],
    }


def _visit(row: Visit, salt: str) -> Told:
    return {
        "id": row.pk,
        "day": row.day.isoformat(),
        "starts": row.starts.isoformat(),
        "ends": row.ends.isoformat(),
        "state": row.state,
        "purpose": row.purpose,
        "waits_for": hash_words(salt, row.waits_for),
        "version": row.version,
        "planned_again_at": _at(row.planned_again_at),
        "steps": [_step(step) for step in row.steps.all()],
    }


def _step(row: VisitStep) -> str:
    fields = [field.attname for field in row._meta.concrete_fields if field.name != "id"]
    return _hash({name: _plain(getattr(row, name)) for name in fields})


def _hashes(name: str, data: Mapping[str, Any]) -> Told:
    return {f"{name}.{key}": _hash(value) for key, value in data.items()}


def _hash(value: object) -> str:
    return sha256_of(canonical_json(value))[:SHORT]


def _plain(value: Any) -> Any:
    return value if value is None or isinstance(value, str | int | list | dict) else str(value)


def _at(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="microseconds")
