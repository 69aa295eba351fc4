"""The trail: one chained row for each thing that happened to a job or its papers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime

from django.utils import timezone

from quoting.documents.freeze import canonical_json, sha256_of
from quoting.documents.numbering import take_number
from quoting.models import Event, Job, Paper, User

GENESIS = "0" * 64

TRAIL = "trail"
"""The series of the events' positions."""


def event_hash(event: Event) -> str:
    """The hash that this event must carry: SHA-256 of the hash before it and of the event's own canonical JSON."""
    told = {
        "position": event.position,
        "at": event.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "kind": event.kind,
        "job": event.job_id,
        "paper": event.paper_id,
        "actor": event.actor_id,
        "data": event.data,
    }
    return sha256_of(event.prev_hash + canonical_json(told))


def record(
    kind: str,
    *,
    job: Job | None = None,
    paper: Paper | None = None,
    actor: User | None = None,
    data: Mapping[str, object] | None = None,
    at: datetime | None = None,
) -> Event:
    """Write the next event of the chain, inside the transaction of the change that it tells of.

    `data` must hold no personal data: figures, numbers of papers, names of fields and hashes only. The counter’s row is
    held until that transaction ends, so call this last.
    """
    position = take_number(TRAIL)
    before = Event.objects.filter(position=position - 1).values_list("hash", flat=True).first()
    event = Event(
        position=position,
        at=at or timezone.now(),
        kind=kind,
        job=job,
        paper=paper,
        actor=actor,
        data=canonical_json(dict(data or {})),
        prev_hash=before or GENESIS,
    )
    event.hash = event_hash(event)
    event.save(force_insert=True)
    return event


def walk_chain() -> Iterator[str]:
    """Each fault of the chain as one sentence: a place missing, a link broken, an event that was changed."""
    expected, before = 1, GENESIS
    for event in Event.objects.order_by("position").iterator(chunk_size=500):
        if event.position != expected:
            yield f"trail: event {expected} is missing before event {event.position}"
        if event.prev_hash != before:
            yield f"trail: event {event.position} does not follow the one before it"
        if event.hash != event_hash(event):
            yield f"trail: event {event.position} ({event.kind}) was changed"
        expected, before = event.position + 1, event.hash
