"""What the crew wrote down of material, booked into stock by the office: looked over, put right, and booked once.

Nothing is booked by itself. Each entry is booked once at most, so a second press, or a second person, changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, F
from django.utils import timezone

from quoting.core.stock import Drawn, drawn
from quoting.core.units import Quantity
from quoting.documents.booking import LineBooked, StockLine
from quoting.documents.step_places import at_todays_places
from quoting.documents.used import taken
from quoting.models import Booked, Entry, Job, Lot, User, Visit, lock_row
from quoting.services.agreed_work import agreed_work
from quoting.services.stock import TooMuch
from quoting.services.trail import record

BOOKED = "work booked into stock"
MATERIAL = (Entry.Kind.USED, Entry.Kind.LEFT)


class BookedAlready(Exception):
    """Some of it was booked by somebody else after the page was opened."""

    def __init__(self) -> None:
        super().__init__(
            "Somebody booked some of this meanwhile. Nothing was booked twice: look at what is still open."
        )


class TooFew(ValueError):
    """More full packs were opened than are on hand."""

    def __init__(self, line: str, full: int) -> None:
        super().__init__(f"Only {full} full of {line} are on hand. Count again, or take in what was bought first.")


@dataclass(slots=True)
class _Wrote:
    entries: list[Entry] = field(default_factory=list)
    packs: int | None = None
    left: Decimal | None = None


def open_entries(jobs: Iterable[Job]) -> list[Entry]:
    """What the crew wrote down of material and nobody has booked yet, on visits that are done; nothing where the firm
    keeps no stock."""
    found = Entry.objects.filter(visit__job__in=jobs, kind__in=MATERIAL, booked=None, visit__state=Visit.State.DONE)
    found = found.filter(Exists(Lot.objects.all()))
    return list(found.select_related("visit__job__property", "by"))


def to_book(jobs: Iterable[Job]) -> list[tuple[Visit, int]]:
    """The visits that are done and of which something is still to be booked, with how much, the oldest first."""
    counted: dict[Visit, int] = {}
    for entry in open_entries(jobs):
        counted[entry.visit] = counted.get(entry.visit, 0) + 1
    return sorted(counted.items(), key=lambda pair: (pair[0].day, pair[0].pk))


def lines_to_book(visit: Visit) -> tuple[StockLine, ...]:
    """What is still to be booked of a visit, lot by lot, each with the stock that it was taken from."""
    work = agreed_work(visit.job)
    entries = list(visit.entries.filter(kind__in=MATERIAL).select_related("by", "booked"))
    fresh = [entry for entry in entries if not hasattr(entry, "booked")]
    used: Mapping[tuple[str, str], Decimal] = {}
    names: dict[str, str] = {}
    if work is not None:
        steps = work.workings.steps
        now = taken(work.workings, at_todays_places(entries, steps))
        booked = (entry for entry in entries if hasattr(entry, "booked"))
        before = taken(work.workings, at_todays_places(booked, steps))
        used = {key: amount - before.get(key, Decimal(0)) for key, amount in now.items()}
        names = {use.material: use.name for step in work.workings.steps for use in step.materials}
    wrote: dict[tuple[str, str], _Wrote] = {}
    for entry in fresh:
        _add(wrote.setdefault((entry.data["material"], entry.data.get("lot", "")), _Wrote()), entry)
    held = list(Lot.objects.free_for(visit.job).filter(material__in={material for material, _lot in wrote}))
    return tuple(
        _line(material, lot, names.get(material, material), each, used.get((material, lot)), held, visit.job)
        for (material, lot), each in wrote.items()
    )


def book_work(*, visit: Visit, by: User, once: UUID, lines: Sequence[LineBooked], free: bool) -> bool:
    """Book what was looked over: packs out of stock, open ones back into it; with `free` what is still kept for the
    folder is kept for it no longer. False where this very form was booked before.

    Raises BookedAlready, TooFew or TooMuch, and the lots' ChangedMeanwhile; in each case nothing was booked.
    """
    entries = [entry for each in lines for entry in each.line.wrote]
    with transaction.atomic():
        lock_row(Job, visit.job_id)
        if Booked.objects.filter(once=once).exists():
            return False
        if Booked.objects.filter(entry__in=entries).exists():
            raise BookedAlready
        for each in lines:
            if each.line.rows:
                _draw(each, visit)
            else:
                _take_in(each, visit)
        if free:
            Lot.objects.filter(reserved_for=visit.job_id).update(reserved_for=None, version=F("version") + 1)
        now = timezone.now()
        Booked.objects.bulk_create([Booked(entry=entry, once=once, at=now, by=by) for entry in entries])
        told = {"visit": visit.number, "once": str(once), "written": [entry.pk for entry in entries], "freed": free}
        record(BOOKED, job=visit.job, actor=by, data=told)
    return True


def _add(wrote: _Wrote, entry: Entry) -> None:
    wrote.entries.append(entry)
    if entry.kind == Entry.Kind.LEFT:
        wrote.left = Decimal(entry.data["magnitude"])
    elif (packs := entry.data.get("packs")) is not None:
        wrote.packs = (wrote.packs or 0) + int(packs)


def _line(
    material: str, lot: str, name: str, wrote: _Wrote, used: Decimal | None, held: list[Lot], job: Job
) -> StockLine:
    rows = _rows_of(material, lot, held, job)
    if not rows:
        found = Drawn(opened=0, left=wrote.left or Decimal(0))
    else:
        open_before = next((row.left for row in rows if row.opened), Decimal(0))
        full = sum(row.count for row in rows if not row.opened)
        found = drawn(
            size=rows[0].size, full=full, open_before=open_before, used=used, packs=wrote.packs, left=wrote.left
        )
    key = f"{material}|{lot}"
    return StockLine(
        key=key, material=material, name=rows[0].name if rows else name, lot=lot or (rows[0].lot if rows else ""),
        rows=rows, drawn=found, wrote=tuple(wrote.entries),
    )  # fmt: skip


def _rows_of(material: str, lot: str, held: list[Lot], job: Job) -> tuple[Lot, ...]:
    """The stock of one lot and one size that it was taken from: what was kept for the job first, then what is open.

    Without a lot number it is the first lot of the material in that order.
    """
    mine = [row for row in held if row.material == material and (not lot or row.lot.casefold() == lot.casefold())]
    mine.sort(key=lambda row: (row.reserved_for_id != job.pk, not row.opened, row.pk))
    if not mine:
        return ()
    first = mine[0]
    same = [row for row in mine if (row.lot.casefold(), row.size) == (first.lot.casefold(), first.size)]
    opened = [row for row in same if row.opened][:1]
    return (*opened, *(row for row in same if not row.opened))


def _draw(each: LineBooked, visit: Visit) -> None:
    line, first = each.line, each.line.rows[0]
    left = _inside(each.left, first.size, first.dimension)
    if each.opened > line.full:
        raise TooFew(line.name, line.full)
    gone = each.opened
    for row in line.rows:
        if row.opened:
            continue
        take = min(gone, row.count)
        if take:
            row.claim(row.version)
            row.count, gone = row.count - take, gone - take
            row.save(update_fields=["count"])
    _set_open(line, left, visit)


def _set_open(line: StockLine, left: Decimal | None, visit: Visit) -> None:
    """What is in the open pack since: a row of its own that is changed, added, or empty."""
    row, first = line.open_row, line.rows[0]
    if row is not None:
        if left == row.left:
            return
        row.claim(row.version)
        row.count, row.left = (1, left) if left else (0, row.left)
        row.save(update_fields=["count", "left"])
    elif left:
        facts: dict[str, Any] = {
            name: getattr(first, name) for name in ("material", "name", "lot", "place", "size_text")
        }
        _add_open(visit, left, first.size, first.dimension, facts)


def _take_in(each: LineBooked, visit: Visit) -> None:
    """Of what was never in stock: the full ones that came back, and the open one."""
    if each.size is None or not (each.full or each.left):
        return
    dimension = each.size.dimension.name.lower()
    left = _inside(each.left, each.size.magnitude, dimension)
    facts: dict[str, Any] = {
        "material": each.line.material, "name": each.line.name, "lot": each.line.lot, "place": each.place,
        "size_text": each.size.text,
    }  # fmt: skip
    if each.full:
        size = each.size.magnitude
        Lot.objects.create(
            size=size, left=size, count=each.full, dimension=dimension, came_back_from=visit.job, **facts
        )
    if left:
        _add_open(visit, left, each.size.magnitude, dimension, facts)


def _add_open(visit: Visit, left: Decimal, size: Decimal, dimension: str, facts: Mapping[str, Any]) -> None:
    Lot.objects.create(
        size=size, left=left, count=1, dimension=dimension, opened_on=visit.day, came_back_from=visit.job, **facts
    )


def _inside(left: Quantity | None, size: Decimal, dimension: str) -> Decimal | None:
    """What is left in an open pack: less than it holds, in its own kind of unit. Raises TooMuch."""
    if left is None:
        return None
    if left.dimension.name.lower() != dimension or not 0 < left.magnitude < size:
        raise TooMuch
    return left.magnitude
