"""Acts on slabs that are due to be sealed again: the list, the letter about all of a property's, leaving it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import formats, timezone

from quoting.core.recall import DueMonth, Month, Slab, Window, due
from quoting.documents.contexts import day_text, listed
from quoting.documents.letters import first_words
from quoting.models import Firm, Job, Message, SlabRecord, User, lock_row
from quoting.services.firm import THE_FIRM
from quoting.services.outbox import write_message
from quoting.services.trail import record

AHEAD = 12
"""Months ahead that belong into one letter: nobody wants two of them within a year."""


class NothingDue(Exception):
    """Nothing on this property waits to be recalled."""

    def __init__(self) -> None:
        super().__init__("Nothing here is due to be sealed again, or somebody has dealt with it already.")


@dataclass(frozen=True, slots=True)
class DueList:
    """The slabs that are due, month by month, and the record of each by its key."""

    months: tuple[DueMonth, ...]
    records: dict[str, SlabRecord]


def due_list(today: date, months: int, words: str = "") -> DueList:
    """What is due from this month on for so many months, by neighbourhood; with `words` of street, town or customer."""
    now = Month.of(today)
    found = SlabRecord.objects.to_recall(now.plus(months - 1).first_day).with_place()
    for word in words.split()[:8]:
        found = found.having(word)
    records = {str(each.pk): each for each in found}
    return DueList(due(map(_slab, records.values()), now, months), records)


def due_on(job: Job, today: date) -> list[SlabRecord]:
    """What one letter about this job's property is about."""
    until = Month.of(today).plus(AHEAD - 1).first_day
    return list(SlabRecord.objects.to_recall(until).filter(property=job.property_id).order_by("id"))


def draft_recall(*, job: Job, by: User, today: date) -> tuple[str, str]:
    """Subject and words of the letter, with the case for it: what lies on the slab, since when. Raises NothingDue."""
    records = due_on(job, today)
    if not records:
        raise NothingDue
    last = min((each.due_last for each in records if each.due_last), default=today)
    told = {
        "customer": job.property.customer.name,
        "writer": by.name,
        "firm": Firm.objects.values_list("name", flat=True).get(pk=THE_FIRM),
        "place": job.property.street,
        "areas": listed(each.area.lower() for each in records),
        "many": len(records) > 1,
        "since": day_text(min(each.sealed_on for each in records)),
        "until": formats.date_format(last, "F Y"),
        "over": last < Month.of(today).first_day,
        "pool": any("pool" in exposure for each in records for exposure in each.exposures),
    }
    return first_words("recall", **told)


def send_recall(*, job: Job, by: User, today: date, to: str, subject: str, words: str, once: str) -> Message:
    """Put the letter into the outbox; what it is about is dealt with. The same `once` sends nothing more.

    Raises NothingDue where somebody has dealt with it meanwhile.
    """
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        if found := Message.objects.filter(
            job=row, kind=Message.Kind.RECALL, message_id__startswith=f"<{once}@"
        ).first():
            return found
        _settle(row, today, SlabRecord.Settled.LETTER)
        message = write_message(
            kind=Message.Kind.RECALL, to=to, subject=subject, words=words, job=row, by=by, once=once
        )  # fmt: skip
        record("recall written", job=row, actor=by)
    return message


def leave_recall(*, job: Job, by: User, today: date) -> None:
    """Nothing is written: they were asked another way, or don't want it. Raises NothingDue."""
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        _settle(row, today, SlabRecord.Settled.LEFT)
        record("recall left", job=row, actor=by)


def window_state(row: SlabRecord, today: date) -> str:
    """“open” in its months, “over” after them, else nothing."""
    month = Month.of(today).first_day
    if row.due_last and row.due_last < month:
        return "over"
    return "open" if row.due_first and row.due_first <= month else ""


def _settle(job: Job, today: date, how: str) -> None:
    keys = [each.pk for each in due_on(job, today)]
    if not SlabRecord.objects.filter(pk__in=keys, settled_at=None).update(settled_at=timezone.now(), settled_as=how):
        raise NothingDue


def due_now(today: date) -> Iterable[SlabRecord]:
    """What the desk names: windows that are open or have gone by, the longest open first, in one query."""
    found = SlabRecord.objects.to_recall(Month.of(today).first_day).with_place()
    return found.order_by("due_first", "id")


def _slab(row: SlabRecord) -> Slab:
    first = row.due_first or row.sealed_on
    window = Window(first=Month.of(first), last=Month.of(row.due_last or first))
    return Slab(key=str(row.pk), window=window, postcode=row.property.postcode, town=row.property.town)
