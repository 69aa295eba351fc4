"""Acts on the colour record: tones with their recipes, and the samples on the slab that were approved."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import NotRequired, TypedDict, Unpack

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from quoting.documents.found import recipe_of
from quoting.models import Area, Job, Material, Photo, Sample, Tone, User, lock_row
from quoting.services.trail import record

MOST_TONES = 12
"""Of one folder."""


class TooManyTones(Exception):
    """The record is full."""

    def __init__(self) -> None:
        super().__init__(f"A folder keeps {MOST_TONES} tones at most. Change one that is there.")


class ApprovedAlready(Exception):
    """The sample was approved, and stays as it was approved."""

    def __init__(self) -> None:
        super().__init__("This sample was approved and stays as it is. Make a new sample, and have that approved.")


class ToneFacts(TypedDict):
    """What is said of a tone; `strength` is in oz a gallon of water, or in g a litre where `units` is metric."""

    role: str
    colour: str
    material: Material | None
    strength: Decimal
    units: NotRequired[str]
    note: str


def keep_tone(*, job: Job, tone: Tone | None = None, version: int = 0, **facts: Unpack[ToneFacts]) -> Tone:
    """Keep a tone, or add one as the last to go on. Raises ChangedMeanwhile or TooManyTones."""
    with transaction.atomic():
        lock_row(Job, job.pk)
        if tone is None:
            there = Tone.objects.filter(job=job)
            if there.count() >= MOST_TONES:
                raise TooManyTones
            last = there.aggregate(last=Max("position"))["last"]
            return Tone.objects.create(job=job, position=0 if last is None else last + 1, **facts)
        row = lock_row(Tone, tone.pk)
        row.claim(version)
        for name, value in facts.items():
            setattr(row, name, value)
        row.save(update_fields=list(facts))
    return row


def move_tone(*, tone: Tone, places: int) -> None:
    """Move a tone in the order in which they go on."""
    with transaction.atomic():
        lock_row(Job, tone.job_id)
        rows = list(Tone.objects.filter(job=tone.job_id))
        here = rows.index(tone)
        rows.insert(min(max(here + places, 0), len(rows) - 1), rows.pop(here))
        for position, row in enumerate(rows):
            row.position = position
        Tone.objects.bulk_update(rows, ["position"])


def remove_tone(*, tone: Tone, version: int) -> None:
    """Take a tone out of the record; samples keep the recipe that they were made from. Raises ChangedMeanwhile."""
    with transaction.atomic():
        row = lock_row(Tone, tone.pk)
        row.claim(version)
        row.delete()


def add_sample(
    *, job: Job, by: User, area: Area, recipe: str = "", photo: Photo | None = None, made_on: date | None = None
) -> Sample:
    """Note a sample made on the slab; without words its recipe is that of the tones as they are now."""
    with transaction.atomic():
        lock_row(Job, job.pk)
        tones: Iterable[Tone] = Tone.objects.select_related("material").filter(job=job)
        sample = Sample.objects.create(
            job=job,
            area=area,
            photo=photo,
            recipe=recipe or recipe_of(tones),
            made_on=made_on or timezone.localdate(),
            made_by=by,
        )
        if photo is not None and photo.of != Photo.Of.SAMPLE:
            Photo.objects.filter(pk=photo.pk).update(of=Photo.Of.SAMPLE)
        record("sample made", job=job, actor=by, data={"area": area.letter})
    return sample


def approve_sample(*, sample: Sample, version: int, by: User, approved_by: str, approved_on: date) -> Sample:
    """Note who said yes to the sample, and when; it stays so. Raises ChangedMeanwhile or ApprovedAlready."""
    with transaction.atomic():
        row = lock_row(Sample, sample.pk)
        _need_open(row)
        row.claim(version)
        row.approved_by, row.approved_on = approved_by, approved_on
        row.save(update_fields=["approved_by", "approved_on"])
        told = {"area": row.area.letter, "on": approved_on.isoformat()}
        record("sample approved", job=row.job, actor=by, data=told)
    return row


def remove_sample(*, sample: Sample, version: int, by: User) -> None:
    """Remove a sample that nobody approved. Raises ChangedMeanwhile or ApprovedAlready."""
    with transaction.atomic():
        row = lock_row(Sample, sample.pk)
        _need_open(row)
        row.claim(version)
        job, told = row.job, {"area": row.area.letter}
        row.delete()
        record("sample removed", job=job, actor=by, data=told)


def _need_open(row: Sample) -> None:
    if row.approved_on:
        raise ApprovedAlready
