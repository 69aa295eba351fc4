"""Acts on the areas of a folder and on their parts. Each locks its folder, so that places and limits hold."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.db import transaction
from django.db.models import Max

from quoting.documents.measured import measure_area, measures_hash, net_shown
from quoting.models import Area, Job, Option, Part, User, lock_row
from quoting.models.jobs import MOST_AREAS, MOST_PARTS
from quoting.services.trail import record


class TooManyAreas(Exception):
    """The folder is full."""

    def __init__(self) -> None:
        super().__init__(f"A folder holds {MOST_AREAS} areas at most. Open a second folder for the rest.")


class TooManyParts(Exception):
    """The area is full."""

    def __init__(self) -> None:
        super().__init__(f"An area holds {MOST_PARTS} parts at most. Put the rest into a second area.")


class NameTaken(Exception):
    """Another area of the folder has this name, and options and papers tell areas apart by their names."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is an area called “{name}” in this folder already. Give this one another name.")


class AreaOffered(Exception):
    """The area is priced in an option, which would change without a word if the area went."""

    def __init__(self, options: list[str]) -> None:
        names = ", ".join(f"“{name}”" for name in options)
        super().__init__(f"This area is priced in {names}. Take it out there first, then it can go.")


class AreaSampled(AreaOffered):
    """A sample of the colour record lies on the area, and an approved one stays for good."""

    def __init__(self) -> None:
        Exception.__init__(self, "A sample of the colour record lies on this area, so it stays.")


class NothingToAgree(Exception):
    """There is no net area that a customer could agree to."""

    def __init__(self, why: str = "") -> None:
        super().__init__(why or "Nothing has been measured yet, so there is no figure to agree on.")


class AreaFacts(TypedDict, total=False):
    """What an area is, its measures apart."""

    name: str
    surface: str
    condition: str
    texture: Decimal
    note: str


class PartFacts(TypedDict, total=False):
    """What a part is: `measures` is the scope file's shape, as it was called out."""

    kind: str
    name: str
    measures: dict[str, Any]
    place: str
    at_x: str
    at_y: str


def add_area(*, job: Job, by: User, **facts: Unpack[AreaFacts]) -> Area:
    """Add an area at the end of the folder. Raises TooManyAreas or NameTaken."""
    with transaction.atomic():
        lock_row(Job, job.pk)
        return _add(job, by, facts)


def keep_area(*, area: Area, version: int, **facts: Unpack[AreaFacts]) -> Area:
    """Keep name, surface, condition, texture and note. Raises ChangedMeanwhile or NameTaken."""
    with transaction.atomic():
        kept = _claim(area, version)
        if "name" in facts:
            _need_free_name(kept.job_id, facts["name"], but=kept.pk)
        for name, value in facts.items():
            setattr(kept, name, value)
        kept.save(update_fields=list(facts))
    return kept


def copy_area(*, area: Area, by: User, name: str) -> Area:
    """Add a copy of the area with all its parts under another name; what was agreed on is not copied.

    Raises TooManyAreas or NameTaken.
    """
    with transaction.atomic():
        lock_row(Job, area.job_id)
        facts = AreaFacts(
            name=name, surface=area.surface, condition=area.condition, texture=area.texture, note=area.note
        )
        copy = _add(area.job, by, facts)
        parts = list(Part.objects.filter(area=area))
        for part in parts:
            part.pk, part.area = None, copy
            part._state.adding = True
        Part.objects.bulk_create(parts)
    return copy


def move_area(*, area: Area, places: int) -> None:
    """Move the area so many places down the folder (negative: up); the letters follow the places."""
    with transaction.atomic():
        lock_row(Job, area.job_id)
        _number(_moved(list(Area.objects.filter(job=area.job_id)), area, places))


def remove_area(*, area: Area, version: int, by: User) -> None:
    """Remove the area with its parts. Raises ChangedMeanwhile, or AreaOffered while an option or a sample needs it."""
    with transaction.atomic():
        kept = _claim(area, version)
        options = Option.objects.filter(groups__areas=kept).distinct()
        if names := [option.name for option in options]:
            raise AreaOffered(names)
        if kept.samples.exists():
            raise AreaSampled
        letter = kept.letter
        kept.delete()
        _number(list(Area.objects.filter(job=area.job_id)))
        record("area removed", job=area.job, actor=by, data={"area": letter})


def keep_part(*, area: Area, version: int, part: Part | None = None, **facts: Unpack[PartFacts]) -> Part:
    """Keep a part of the area, or add one at the end. Raises ChangedMeanwhile or TooManyParts."""
    with transaction.atomic():
        kept_area = _claim(area, version)
        if part is None:
            before = Part.objects.filter(area=kept_area)
            if before.count() >= MOST_PARTS:
                raise TooManyParts
            last = before.aggregate(last=Max("position"))["last"]
            return Part.objects.create(area=kept_area, position=0 if last is None else last + 1, **facts)
        kept = Part.objects.get(pk=part.pk, area=kept_area)
        for name, value in facts.items():
            setattr(kept, name, value)
        kept.save(update_fields=list(facts))
    return kept


def move_part(*, part: Part, version: int, places: int) -> None:
    """Move the part so many places down its area (negative: up), and in the plan. Raises ChangedMeanwhile."""
    with transaction.atomic():
        area = _claim(part.area, version)
        _number(_moved(list(Part.objects.filter(area=area)), part, places))


def remove_part(*, part: Part, version: int) -> None:
    """Remove the part; those behind it move up. Raises ChangedMeanwhile."""
    with transaction.atomic():
        area = _claim(part.area, version)
        Part.objects.filter(pk=part.pk, area=area).delete()
        _number(list(Part.objects.filter(area=area)))


def agree_area(*, area: Area, version: int, by: User, on: date, with_whom: str, units: str = "us") -> Area:
    """Freeze who agreed to which net area, when, and on which measures.

    Raises ChangedMeanwhile, or NothingToAgree where the measures give no net area.
    """
    with transaction.atomic():
        kept = _claim(area, version)
        measured = measure_area(kept)
        if measured.figures is None:
            raise NothingToAgree(measured.fault)
        kept.agreed_on, kept.agreed_with = on, with_whom
        kept.agreed_net, kept.agreed_measures = net_shown(measured.figures.net, units), measures_hash(kept.parts.all())
        kept.save(update_fields=["agreed_on", "agreed_with", "agreed_net", "agreed_measures"])
        record("area agreed", job=area.job, actor=by, data={"area": kept.letter, "net": kept.agreed_net})
    return kept


def _claim(area: Area, version: int) -> Area:
    """The area as it is now, in a locked folder, with the next version taken."""
    lock_row(Job, area.job_id)
    kept = lock_row(Area, area.pk)
    kept.claim(version)
    return kept


def _add(job: Job, by: User, facts: AreaFacts) -> Area:
    count = Area.objects.filter(job=job).count()
    if count >= MOST_AREAS:
        raise TooManyAreas
    _need_free_name(job.pk, facts["name"])
    area = Area.objects.create(job=job, position=count, **facts)
    record("area added", job=job, actor=by, data={"area": area.letter})
    return area


def _need_free_name(job: int, name: str, but: int = 0) -> None:
    if Area.objects.filter(job=job, name__iexact=name).exclude(pk=but).exists():
        raise NameTaken(name)


def _moved(rows: list[Any], row: Any, places: int) -> list[Any]:
    """The rows with this one so many places further down, as far as there is room."""
    place = next(index for index, each in enumerate(rows) if each.pk == row.pk)
    moving = rows.pop(place)
    rows.insert(max(0, place + places), moving)
    return rows


def _number(rows: list[Any]) -> None:
    """Number the rows from 0 in the order given; only those whose place changed are written."""
    changed = []
    for position, row in enumerate(rows):
        if row.position != position:
            row.position = position
            changed.append(row)
    if changed:
        type(changed[0]).objects.bulk_update(changed, ["position"])
