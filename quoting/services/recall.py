"""Acts on slabs that are due to be sealed again: the list, the letter about all of a property's, leaving it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

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

REST = 12
"""Months after which a slab that was written about or left comes up again, unless another day is named."""


class NothingDue(Exception):
    """Nothing on this property waits to be recalled."""

    def __init__(self) -> None:
        super().__init__("Nothing here is due to be sealed again, or somebody has dealt with it already.")


class RestsToday(ValueError):
    """The day on which it comes up again lies ahead."""

    def __init__(self) -> None:
        super().__init__("The day on which it comes up again must lie ahead.")


@dataclass(frozen=True, slots=True)
class DueList:
    """The slabs that are due, month by month, and the record of each by its key."""

    months: tuple[DueMonth, ...]
    records: dict[str, SlabRecord]


def due_list(today: date, months: int, words: str = "") -> DueList:
    """What is due from this month on for so many months, by neighbourhood; with `words` of street, town or customer.

    What was left stands in the month in which it comes up again.
    """
    now = Month.of(today)
    end = now.plus(months).first_day - timedelta(days=1)
    found = SlabRecord.objects.to_recall(now.plus(months - 1).first_day, end).with_place()
    for word in words.split()[:8]:
        found = found.having(word)
    records = {str(each.pk): each for each in found}
    return DueList(due(map(_slab, records.values()), now, months), records)


def due_on(job: Job, today: date) -> list[SlabRecord]:
    """What one letter about this job's property is about."""
    until = Month.of(today).plus(AHEAD - 1).first_day
    return list(SlabRecord.objects.to_recall(until, today).filter(property=job.property_id).order_by("id"))


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
        "likely": _likely(records, today),
        "over": last < Month.of(today).first_day,
        "pool": any("pool" in exposure for each in records for exposure in each.exposures),
    }
    return first_words("recall", **told)


def _likely(records: Sequence[SlabRecord], today: date) -> str:
    """The likeliest month of the first of them, where it still lies ahead."""
    ahead = [each.due_likely for each in records if each.due_likely and each.due_likely > today]
    return formats.date_format(min(ahead), "F Y") if len(ahead) == len(records) else ""


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
        _settle(row, today, SlabRecord.Settled.LETTER, until=rest_until(today))
        message = write_message(
            kind=Message.Kind.RECALL, to=to, subject=subject, words=words, job=row, by=by, once=once
        )  # fmt: skip
        record("recall written", job=row, actor=by)
    return message


def leave_recall(*, job: Job, by: User, today: date, until: date, because: str, words: str = "") -> None:
    """Nothing is written; what is due here comes up again on that day. Raises NothingDue, or RestsToday."""
    if until <= today:
        raise RestsToday
    with transaction.atomic():
        row = lock_row(Job, job.pk)
        _settle(row, today, SlabRecord.Settled.LEFT, until=until, left_because=because, left_words=words)
        record("recall left", job=row, actor=by, data={"until": until.isoformat(), "because": because})


def rest_until(today: date) -> date:
    """The day on which what is settled today comes up again by itself: a year on, in the same month."""
    month = Month.of(today).plus(REST)
    return month.first_day + timedelta(days=min(today.day, 28) - 1)


def rests(row: SlabRecord, today: date) -> bool:
    """Whether it was settled until a day that has not come yet."""
    return row.settled_until is not None and row.settled_until > today


def window_state(row: SlabRecord, today: date) -> str:
    """“open” in its months, “over” after them, else nothing."""
    month = Month.of(today).first_day
    if row.due_last and row.due_last < month:
        return "over"
    return "open" if row.due_first and row.due_first <= month else ""


def _settle(job: Job, today: date, how: str, *, until: date, left_because: str = "", left_words: str = "") -> None:
    keys = [each.pk for each in due_on(job, today)]
    if not SlabRecord.objects.filter(pk__in=keys).update(
        settled_at=timezone.now(), settled_as=how, settled_until=until, left_because=left_because, left_words=left_words
    ):
        raise NothingDue


def due_now(today: date) -> Iterable[SlabRecord]:
    """What the desk names: windows that are open or have gone by, the longest open first, in one query."""
    found = SlabRecord.objects.to_recall(Month.of(today).first_day, today).with_place()
    return found.order_by("due_first", "id")


def _slab(row: SlabRecord) -> Slab:
    first = row.due_first or row.sealed_on
    last = row.due_last or first
    window = Window(first=Month.of(first), likely=Month.of(row.due_likely or first), last=Month.of(last))
    left = Month.of(row.settled_until) if row.settled_until else None
    return Slab(key=str(row.pk), window=window, rests=left, postcode=row.property.postcode, town=row.property.town)
