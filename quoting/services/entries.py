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
from quoting.core.weather_limits import Work
from quoting.models import READINGS, Entry, User, Visit
from quoting.services.crew_rules import current_rules


@dataclass(frozen=True, slots=True)
class Kept:
    """The entry, and whether it had been kept before."""

    entry: Entry
    is_new: bool


def keep_entry(
    *, visit: Visit, by: User, once: UUID, kind: str, data: Mapping[str, Any], made_at: datetime | None = None
) -> Kept:
    """Keep one entry; one with the same `once` is kept already and is given back. A time that lies ahead is now.

    Readings are kept with the verdict that they had when they were taken. Raises VapourFault.
    """
    now = timezone.now()
    told = dict(data)
    if kind == Entry.Kind.READING:
        told["word"] = str(verdict_of(told).word)
    if there := Entry.objects.filter(once=once).first():
        return Kept(there, is_new=False)
    try:
        with transaction.atomic():
            made = min(made_at or now, now)
            entry = Entry(visit=visit, once=once, kind=kind, data=told, made_at=made, arrived_at=now, by=by)
            entry.save(force_insert=True)
    except IntegrityError:  # the same entry, sent twice at the same time
        return Kept(Entry.objects.get(once=once), is_new=False)
    return Kept(entry, is_new=True)


def verdict_of(data: Mapping[str, Any], age: Decimal = Decimal(0)) -> Verdict:
    """Go, wait or pre-wet on kept readings, so many hours after they were taken. Raises VapourFault."""
    units = Units(data["units"])
    figures: dict[str, Any] = {name: Decimal(data[name]) if data.get(name) else None for name in READINGS}
    for name in ("since_wash", "since_rain"):
        figures[name] = None if figures[name] is None else figures[name] + age
    if figures["until_rain"] is not None:
        figures["until_rain"] = max(figures["until_rain"] - age, Decimal(0))
    readings = Readings(work=Work(data["work"]), units=units, age=age, **figures)
    return go_or_wait(readings, current_rules().limits(units))


@dataclass(slots=True)
class Written:
    """What is written down of one visit: ticks by step, with who and when; the last readings; the rest in its order."""

    ticks: dict[str, Entry] = field(default_factory=dict)
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
        if entry.kind == Entry.Kind.TICK:
            written.ticks.setdefault(entry.data["step"], entry)
        elif entry.kind == Entry.Kind.UNTICK:
            written.ticks.pop(entry.data["step"], None)
        elif entry.kind == Entry.Kind.READING:
            written.reading = entry
        else:
            rest = {
                Entry.Kind.USED: written.used, Entry.Kind.HOURS: written.hours,
                Entry.Kind.LEFT: written.left, Entry.Kind.NOTE: written.notes,
            }  # fmt: skip
            rest[Entry.Kind(entry.kind)].append(entry)
    return written
