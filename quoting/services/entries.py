"""What the crew writes down: kept once however often it is sent, never changed, read back as a visit stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from quoting.core.scope import Units
from quoting.core.weather import Readings, Verdict, go_or_wait, hours_since
from quoting.core.weather_limits import STARTING_LIMITS, Limits, Work
from quoting.documents.agreed import DoesNotAddUp
from quoting.models import READINGS, Entry, User, Visit
from quoting.services.agreed_work import agreed_work
from quoting.services.crew_rules import current_rules
from quoting.services.seals import fresh_salt, hash_words
from quoting.services.told_work import told_entry
from quoting.services.trail import record

WRITTEN = "written down"
"""What the trail calls an entry of the crew; a folder's own page leaves these lines to the visit's page."""


@dataclass(frozen=True, slots=True)
class Kept:
    """The entry, and whether it had been kept before."""

    entry: Entry
    is_new: bool


def keep_entry(
    *, visit: Visit, by: User, once: UUID, kind: str, data: Mapping[str, Any], made_at: datetime | None = None
) -> Kept:
    """Keep one entry; one with the same `once` is kept already and is given back. A time that lies ahead is now.

    `data["of_step"]` is the step's name as the page showed it; without one it is named by what is agreed today.
    Readings are kept with the firm's limits and the verdict of the time when they arrived. Raises VapourFault.
    """
    told = dict(data)
    words = str(told.pop("words", ""))
    if kind == Entry.Kind.READING:
        told["limits"] = dict(current_rules().row.limits)
        told["word"] = str(verdict_of(told).word)
    if there := Entry.objects.filter(once=once).first():
        return Kept(there, is_new=False)
    if "of_step" not in told:
        told |= _step_named(visit, told)
    try:
        with transaction.atomic():
            entry = write_entry(visit=visit, by=by, once=once, kind=kind, data=told, words=words, made_at=made_at)
    except IntegrityError:  # the same entry, sent twice at the same time
        return Kept(Entry.objects.get(once=once), is_new=False)
    return Kept(entry, is_new=True)


def _step_named(visit: Visit, data: Mapping[str, Any]) -> dict[str, str]:
    """The name of the step that is meant, by which it is found again when a change order has moved its place."""
    place = str(data.get("place", data.get("step", ""))).partition(".")[0]
    try:
        work = agreed_work(visit.job) if place.isdigit() else None
    except DoesNotAddUp:  # the office has to see to that; what was done on the slab is kept all the same
        work = None
    steps = work.workings.steps if work else ()
    return {"of_step": steps[int(place)].step} if place.isdigit() and int(place) < len(steps) else {}


def write_entry(
    *, visit: Visit, by: User, once: UUID, kind: str, data: Mapping[str, Any], words: str, made_at: datetime | None
) -> Entry:
    """Write the row and tell the trail, in the caller's transaction. Raises IntegrityError for a second `once`."""
    now = timezone.now()
    salt = fresh_salt() if words else ""
    entry = Entry(
        visit=visit, once=once, kind=kind, data=dict(data), words=words, salt=salt,
        words_sha256=hash_words(salt, words), made_at=min(made_at or now, now), arrived_at=now, by=by,
    )  # fmt: skip
    entry.save(force_insert=True)
    record(WRITTEN, job=visit.job, actor=by, data=told_entry(entry))
    return entry


def verdict_when_kept(data: Mapping[str, Any]) -> Verdict:
    """The verdict that kept readings had, by the limits that were kept with them. Raises VapourFault or KeyError."""
    units = Units(data["units"])
    own = {key: None if figure is None else Decimal(figure) for key, figure in data["limits"].items()}
    return _verdict(data, Decimal(0), STARTING_LIMITS.set_to(own, units))


def verdict_of(data: Mapping[str, Any], age: Decimal = Decimal(0)) -> Verdict:
    """Go, wait or pre-wet on kept readings, so many hours after they were taken. Raises VapourFault."""
    return _verdict(data, age, current_rules().limits(Units(data["units"])))


def _verdict(data: Mapping[str, Any], age: Decimal, limits: Limits) -> Verdict:
    units = Units(data["units"])
    figures: dict[str, Any] = {name: Decimal(data[name]) if data.get(name) else None for name in READINGS}
    for name in ("since_wash", "since_rain"):
        figures[name] = None if figures[name] is None else figures[name] + age
    if figures["until_rain"] is not None:
        figures["until_rain"] = max(figures["until_rain"] - age, Decimal(0))
    readings = Readings(work=Work(data["work"]), units=units, age=age, **figures)
    return go_or_wait(readings, limits)


OTHERS = {Entry.Kind.USED: "used", Entry.Kind.HOURS: "hours", Entry.Kind.LEFT: "left", Entry.Kind.NOTE: "notes"}
"""Kinds of entries by the list in which they are read back."""


@dataclass(slots=True)
class Written:
    """What is written down of one visit: ticks by step, what was looked at before and what was loaded, with who and
    when; the last readings; the rest in its order."""

    ticks: dict[str, Entry] = field(default_factory=dict)
    checks: dict[str, Entry] = field(default_factory=dict)
    loads: dict[str, Entry] = field(default_factory=dict)
    reading: Entry | None = None
    used: list[Entry] = field(default_factory=list)
    hours: list[Entry] = field(default_factory=list)
    left: list[Entry] = field(default_factory=list)
    notes: list[Entry] = field(default_factory=list)
    all: list[Entry] = field(default_factory=list)

    def verdict(self, now: datetime) -> Verdict | None:
        """The verdict on the last readings as they are now: they grow old."""
        if self.reading is None:
            return None
        return verdict_of(self.reading.data, hours_since(self.reading.made_at, max(now, self.reading.made_at)))


def written_on(entries: Iterable[Entry]) -> Written:
    """The entries of one visit, in the order in which they were made."""
    written = Written()
    for entry in entries:
        written.all.append(entry)
        if entry.kind in (Entry.Kind.TICK, Entry.Kind.UNTICK):
            step = entry.data["step"]
            marks = {"check": written.checks, "load": written.loads}.get(step.partition(".")[0], written.ticks)
            if entry.kind == Entry.Kind.TICK:
                marks.setdefault(step, entry)
            else:
                marks.pop(step, None)
        elif entry.kind == Entry.Kind.READING:
            written.reading = entry
        elif entry.kind in OTHERS:
            getattr(written, OTHERS[Entry.Kind(entry.kind)]).append(entry)
    return written


def loaded_on(visit: Visit) -> dict[str, Entry]:
    """What of a visit's pick list is ticked, by its mark."""
    ticks = visit.entries.filter(kind__in=(Entry.Kind.TICK, Entry.Kind.UNTICK), data__step__startswith="load.")
    return written_on(ticks.select_related("by")).loads
