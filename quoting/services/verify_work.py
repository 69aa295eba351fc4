"""Whether the crew's work is still what it was: days, entries with their readings, holds, bookings."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from quoting.core.units import Dimension, QuantityFault, parse_quantity
from quoting.core.vapour import VapourFault
from quoting.core.weather_limits import LimitFault
from quoting.models import Booked, Entry, Event, Hold, Job
from quoting.services.entries import WRITTEN, verdict_when_kept
from quoting.services.seals import hash_words
from quoting.services.told_work import told_days, told_entry, told_hold

PACKED = (Dimension.VOLUME, Dimension.MASS, Dimension.COUNT)
GONE = "is missing"


def work_faults() -> Iterator[str]:
    """Each fault as one sentence that names folder, visit and field. One job's days are in memory at a time."""
    erased = erased_folders()
    yield from _entry_faults(erased)
    yield from _hold_faults(erased)
    yield from _booked_faults()
    for job in Job.objects.order_by("pk").only("number").iterator(chunk_size=500):
        yield from _day_faults(job)


def erased_folders() -> frozenset[str]:
    """The numbers of the folders whose person was erased: there, words that are gone are no fault."""
    told = Event.objects.filter(kind="person erased").values_list("data", flat=True)
    return frozenset(number for data in told for number in json.loads(data).get("folders", ()))


def differences(place: str, now: Mapping[str, Any], told: Mapping[str, Any]) -> Iterator[str]:
    """Each field that is not what the trail was told, by its name."""
    for field in sorted(now.keys() | told.keys()):
        if now.get(field) != told.get(field):
            yield f"{place}: {field}: is not what the trail was told"


def word_faults(place: str, row: Any, folder: str, erased: frozenset[str]) -> Iterator[str]:
    """Whether the free words have the hash that was kept, or were erased together with the person."""
    if row.words_sha256 and not row.words and not row.salt and folder in erased:
        return
    if hash_words(row.salt, row.words) != row.words_sha256:
        yield f"{place}: words: do not have the SHA-256 that was kept"


def _entry_faults(erased: frozenset[str]) -> Iterator[str]:
    told = {row["once"]: row for row in _told(WRITTEN)}
    for entry in Entry.objects.select_related("visit__job").order_by("pk").iterator(chunk_size=500):
        folder = entry.visit.job.number
        place = f"{folder}: visit {entry.visit.number}: entry {entry.pk} ({entry.kind})"
        kept = told.pop(str(entry.once), None)
        if kept is None:
            yield f"{place}: once: the trail tells of no such entry"
        else:
            yield from differences(place, told_entry(entry), kept)
        yield from word_faults(place, entry, folder, erased)
        yield from _figure_faults(place, entry)
    for kept in told.values():
        yield f"entry {kept['once']} ({kept['kind']}) of visit {kept['visit']}: {GONE}"


def _figure_faults(place: str, entry: Entry) -> Iterator[str]:
    """What was reckoned when an entry was kept, reckoned again: the verdict on readings, an amount from its words."""
    data = entry.data
    try:
        if entry.kind == Entry.Kind.READING:
            word = str(verdict_when_kept(data).word)
            if word != data["word"]:
                yield f"{place}: word: is {data['word']}, the readings give {word}"
        elif entry.kind in (Entry.Kind.USED, Entry.Kind.LEFT):
            again = parse_quantity(data["called"], *PACKED)
            if (again.magnitude, again.dimension.name) != (Decimal(data["magnitude"]), data["dimension"]):
                yield f"{place}: magnitude: is not what “{data['called']}” is"
    except (VapourFault, LimitFault, QuantityFault, LookupError, ValueError, TypeError, AttributeError) as fault:
        yield f"{place}: data: can't be reckoned again: {str(fault)[:200]}"
    except InvalidOperation:
        yield f"{place}: data: a figure is no figure"


def _hold_faults(erased: frozenset[str]) -> Iterator[str]:
    told = {row["hold"]["hold"]: row["hold"] for row in _told("visit held")}
    notices = {row["hold"]: row["message"] for row in _told("visit notice written")}
    for hold in Hold.objects.select_related("visit__job").order_by("pk").iterator(chunk_size=500):
        folder = hold.visit.job.number
        place = f"{folder}: visit {hold.visit.number}: hold {hold.pk}"
        yield from differences(place, told_hold(hold), told.pop(hold.pk, {}))
        yield from word_faults(place, hold, folder, erased)
        if hold.notice_id != notices.pop(hold.pk, None):
            yield f"{place}: notice: is not what the trail was told"
    for pk in sorted(told):
        yield f"hold {pk}: {GONE}"


def _booked_faults() -> Iterator[str]:
    told = {pk: row["once"] for row in _told("work booked into stock") for pk in row["written"]}
    for row in Booked.objects.order_by("pk").iterator(chunk_size=500):
        if told.pop(row.entry_id, None) != str(row.once):
            yield f"entry {row.entry_id}: booked: is not what the trail was told"
    for pk in sorted(told):
        yield f"entry {pk}: booked: {GONE}"


def _day_faults(job: Job) -> Iterator[str]:
    """The days as they stand against the last that the trail was told of them, field by field."""
    last = Event.objects.filter(job=job, data__contains='"days":{').order_by("-position").first()
    told = json.loads(last.data)["days"] if last else {"plan": {}, "visits": {}}
    now = told_days(job)
    yield from differences(f"{job.number}: days", now["plan"], told["plan"])
    for number in sorted(now["visits"].keys() | told["visits"].keys(), key=int):
        place = f"{job.number}: visit {number}"
        if number not in now["visits"]:
            yield f"{place}: {GONE}"
            continue
        row, kept = dict(now["visits"][number]), dict(told["visits"].get(number, {}))
        steps, steps_kept = row.pop("steps"), kept.pop("steps", [])
        yield from differences(place, row, kept)
        for step in range(max(len(steps), len(steps_kept))):
            if steps[step : step + 1] != steps_kept[step : step + 1]:
                yield f"{place}: step {step + 1}: is not what the trail was told"


def _told(kind: str) -> Iterator[dict[str, Any]]:
    """The data of each event of this kind, in their order."""
    for data in Event.objects.filter(kind=kind).order_by("position").values_list("data", flat=True).iterator():
        yield json.loads(data)
