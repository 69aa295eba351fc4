"""Acts on findings: a test begun, read, changed, taken back. One test has one reading an area."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from quoting.core.findings import KINDS, AnswerKind, read_test
from quoting.documents.photo_files import drop_files
from quoting.models import AdviceChoice, Area, Event, Finding, Job, Photo, Sample, User, lock_row
from quoting.services.crew_rules import current_rules
from quoting.services.trail import record

MOST_PLACES = 60
"""Of one kind on one area: drops, cracks, stains."""

VISIT = "slab looked at"
"""The kind of event that is told once a day and person, whatever is noted on it."""


class FoundAlready(Exception):
    """There is a reading of this test for the area; it would be overwritten without a word."""

    def __init__(self, row: Finding) -> None:
        self.row = row
        super().__init__(
            f"{place_of(row.area)} has a reading of this already. Change it there, or leave it out of this one."
        )


class TooManyPlaces(Exception):
    """The area is full of findings of this kind."""

    def __init__(self, kind: str) -> None:
        super().__init__(f"{KINDS[kind].name}: {MOST_PLACES} places on one area at most. Put the rest into a note.")


def place_of(area: Area | None) -> str:
    """What a finding is about, in words."""
    return f"Area {area.letter}" if area else "The whole property"


def keep_findings(
    *,
    job: Job,
    by: User,
    kind: str,
    areas: Sequence[Area | None],
    answers: Mapping[str, str],
    note: str = "",
    waits: bool = False,
    started_at: datetime | None = None,
) -> list[Finding]:
    """Note a test on each of the areas, None being the whole property; with `waits` it is begun and read later.

    Raises FoundAlready (nothing is written then), TooManyPlaces, or the core's AnswerFault.
    """
    now = timezone.now()
    wait = _wait_of(kind)
    reading = "" if waits else read_test(kind, answers, wait).word
    with transaction.atomic():
        lock_row(Job, job.pk)
        for area in areas:
            _need_room(job, area, kind)
        rows = [
            Finding.objects.create(
                job=job,
                area=area,
                kind=kind,
                answers=dict(answers),
                reading=reading,
                note=note,
                started_at=started_at or now,
                found_at=None if waits else now,
                wait_seconds=wait,
                found_by=by,
            )
            for area in areas
        ]
        if waits:
            for row in rows:
                record("test begun", job=job, actor=by, data=_told(row))
        else:
            _tell_of_the_visit(job, by)
    return rows


def keep_finding(
    *, finding: Finding, version: int, by: User, answers: Mapping[str, str], note: str, waits: bool = False
) -> Finding:
    """Keep what a test shows, or showed after all; with `waits` only what was noted when it was begun.

    Raises ChangedMeanwhile, Finding.DoesNotExist when it was taken back meanwhile, or the core's AnswerFault.
    """
    reading = "" if waits else read_test(finding.kind, answers, finding.wait_seconds).word
    with transaction.atomic():
        row = lock_row(Finding, finding.pk)
        row.claim(version)
        before = row.reading if row.found_at else ""
        row.answers, row.note = dict(answers), note
        if not waits:
            row.reading, row.found_at, row.found_by = reading, row.found_at or timezone.now(), by
        row.save(update_fields=["answers", "note", "reading", "found_at", "found_by"])
        if before and before != row.reading:
            record("finding changed", job=row.job, actor=by, data=_told(row) | {"from": before, "to": row.reading})
        elif not before and not waits:
            record("test read", job=row.job, actor=by, data=_told(row) | {"reading": row.reading})
    return row


def remove_finding(*, finding: Finding, version: int, by: User) -> None:
    """Take a finding back; its photographs stay in the folder. Raises ChangedMeanwhile."""
    with transaction.atomic():
        row = lock_row(Finding, finding.pk)
        row.claim(version)
        job, told = row.job, _told(row)
        row.delete()
        record("finding removed", job=job, actor=by, data=told)


def erase_found(jobs: QuerySet[Job]) -> None:
    """Erase what was noted about a person's slabs and all their photographs; papers keep the pictures they show.

    To be called inside the transaction of the erasure; the files go after it.
    """
    free = {question.name for kind in KINDS.values() for question in kind.questions if question.kind is AnswerKind.TEXT}
    for row in Finding.objects.filter(job__in=jobs):
        row.note, row.answers = "", {name: text for name, text in row.answers.items() if name not in free}
        row.save(update_fields=["note", "answers"])
    AdviceChoice.objects.filter(area__job__in=jobs, against=True).update(reason="erased")
    AdviceChoice.objects.filter(area__job__in=jobs, against=False).update(reason="")
    Sample.objects.filter(job__in=jobs).update(photo=None)
    Sample.objects.filter(job__in=jobs, approved_on__isnull=False).update(approved_by="erased")
    photos = Photo.objects.filter(job__in=jobs)
    names = list(photos.values_list("name", flat=True))
    photos.delete()
    transaction.on_commit(lambda: drop_files(names))


def export_found(job: Job) -> dict[str, list[dict[str, object]]]:
    """What was found in a folder, for the export of a person: plain values, photographs by their file's hash."""
    return {
        "findings": [
            {"test": row.kind, "area": row.area.letter if row.area else "", "answers": row.answers, "note": row.note}
            for row in job.findings.select_related("area")
        ],
        "photographs": [
            {"note": row.note, "of": row.of, "sha256": row.sha256, "added_at": row.added_at.isoformat()}
            for row in job.photos.all()
        ],
        "samples": [
            {
                "made_on": row.made_on.isoformat(),
                "recipe": row.recipe,
                "approved_by": row.approved_by,
                "approved_on": row.approved_on.isoformat() if row.approved_on else "",
            }
            for row in job.samples.all()
        ],
    }


def _wait_of(kind: str) -> int | None:
    """What the firm waits for a test of this kind, in seconds; None where it is read at once."""
    wait = current_rules().kind(kind).wait
    return wait.seconds if wait else None


def _need_room(job: Job, area: Area | None, kind: str) -> None:
    there = Finding.objects.select_related("area").filter(job=job, area=area, kind=kind)
    if KINDS[kind].many:
        if there.count() >= MOST_PLACES:
            raise TooManyPlaces(kind)
    elif (row := there.first()) is not None:
        raise FoundAlready(row)


def _tell_of_the_visit(job: Job, by: User) -> None:
    today = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    if not Event.objects.filter(job=job, kind=VISIT, actor=by, at__gte=today).exists():
        record(VISIT, job=job, actor=by)


def _told(row: Finding) -> dict[str, object]:
    return {"test": KINDS[row.kind].name, "area": row.area.letter if row.area else ""}
