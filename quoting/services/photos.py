"""Acts on photographs. A file is decoded before the transaction begins; what was not kept leaves no file behind."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.db.models import Max

from quoting.documents.freeze import sha256_of
from quoting.documents.photo_files import drop_files, write_files
from quoting.documents.photos import check_before, rewrite_photo
from quoting.models import Area, Finding, Job, Paper, Photo, Sample, User, VisitStep, lock_row
from quoting.services.trail import record

QUOTA = 500 * 1024 * 1024
"""Bytes of one folder's photographs, all sizes together."""

MOST_AT_ONCE = 40
"""Photographs taken from one form; a page with script sends them one by one and knows no limit."""


class FolderFull(Exception):
    """The folder's photographs fill its quota."""

    def __init__(self) -> None:
        super().__init__("not taken: the photographs of this folder fill 500 MB. Remove some, then send it again.")


class OnPaper(Exception):
    """The photograph was issued."""

    def __init__(self, number: str) -> None:
        super().__init__(
            f"This photograph stands on {number}, which was issued: it stays. It may be left off later papers."
        )


class IsSample(Exception):
    """The photograph shows a sample, and belongs to the colour record."""

    def __init__(self) -> None:
        super().__init__("This photograph shows a sample of the colour record: it stays as long as the sample does.")


class RemovedMeanwhile(Exception):
    """The same photograph came from elsewhere at this moment, and was removed again."""

    def __init__(self) -> None:
        super().__init__("not taken: the same photograph was just removed here. Send it again if it is wanted.")


@dataclass(frozen=True, slots=True)
class Taken:
    """A photograph of the folder; `is_new` is False when the same file was there already."""

    photo: Photo
    is_new: bool


def add_photo(
    *,
    job: Job,
    by: User,
    content: bytes,
    area: Area | None = None,
    finding: Finding | None = None,
    note: str = "",
    of: str = Photo.Of.FOUND,
    step: str = "",
) -> Taken:
    """Take a photograph into the folder; the same file twice is one photograph.

    Raises PhotoRefused, FolderFull or RemovedMeanwhile. Takes up to 20 seconds; never to be called inside a
    transaction.
    """
    check_before(content)
    fingerprint = sha256_of(content)
    if there := Photo.objects.filter(job=job, sha256=fingerprint).first():
        return Taken(there, is_new=False)
    if _filled(job) >= QUOTA:
        raise FolderFull
    rewritten = rewrite_photo(content)
    name = write_files(rewritten)
    try:
        with transaction.atomic():
            lock_row(Job, job.pk)
            if _filled(job) + rewritten.bytes > QUOTA:
                raise FolderFull
            last = Photo.objects.filter(job=job).aggregate(last=Max("position"))["last"]
            photo = Photo.objects.create(
                job=job,
                area=area,
                finding=finding,
                of=of,
                step=step,
                name=name,
                note=note,
                position=0 if last is None else last + 1,
                width=rewritten.width,
                height=rewritten.height,
                bytes=rewritten.bytes,
                sha256=fingerprint,
                added_by=by,
            )
    except IntegrityError:  # the same file, sent twice at the same time
        drop_files([name])
        if there := Photo.objects.filter(job=job, sha256=fingerprint).first():
            return Taken(there, is_new=False)
        raise RemovedMeanwhile from None
    except BaseException:
        drop_files([name])
        raise
    return Taken(photo, is_new=True)


def keep_photo(
    *, photo: Photo, version: int, note: str, area: Area | None, on_paper: bool, is_cover: bool, of: str, step: str = ""
) -> Photo:
    """Keep what is said about a photograph; a folder has one cover at most. Raises ChangedMeanwhile."""
    with transaction.atomic():
        lock_row(Job, photo.job_id)
        row = lock_row(Photo, photo.pk)
        row.claim(version)
        if is_cover and not row.is_cover:
            Photo.objects.filter(job=row.job_id, is_cover=True).update(is_cover=False)
        row.note, row.area, row.on_paper, row.is_cover, row.of = note, area, on_paper or is_cover, is_cover, of
        row.step = step
        row.save(update_fields=["note", "area", "on_paper", "is_cover", "of", "step"])
    return row


def move_photo(*, photo: Photo, places: int) -> None:
    """Move the photograph so many places down the folder (negative: up)."""
    with transaction.atomic():
        lock_row(Job, photo.job_id)
        rows = list(Photo.objects.filter(job=photo.job_id))
        here = rows.index(photo)
        rows.insert(min(max(here + places, 0), len(rows) - 1), rows.pop(here))
        for position, row in enumerate(rows):
            row.position = position
        Photo.objects.bulk_update(rows, ["position"])


def remove_photo(*, photo: Photo, version: int, by: User) -> None:
    """Remove the photograph and its files. Raises ChangedMeanwhile, OnPaper or IsSample."""
    with transaction.atomic():
        row = lock_row(Photo, photo.pk)
        row.claim(version)
        if paper := Paper.objects.filter(job=row.job_id, facts__contains=row.name).only("number").first():
            raise OnPaper(paper.number)
        if Sample.objects.filter(photo=row).exists():
            raise IsSample
        job, name = row.job, row.name
        row.delete()
        record("photograph removed", job=job, actor=by)
        transaction.on_commit(lambda: drop_files([name]))


def steps_of(job: Job) -> list[str]:
    """The steps that a photograph may be of: those of the job's visits, in their order. One query."""
    steps = VisitStep.objects.filter(visit__job=job).order_by("visit__number", "position")
    return list(dict.fromkeys(steps.values_list("name", flat=True)))


def _filled(job: Job) -> int:
    return sum(Photo.objects.filter(job=job).values_list("bytes", flat=True))
