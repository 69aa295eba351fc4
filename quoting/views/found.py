"""The clause “Found” of a folder: photographs, tests by area, what suits, and the colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from quoting.core.advice import Approach, Verdict
from quoting.core.findings import KINDS
from quoting.documents.findings import may_be_read_at, table_of_tests, waits_words
from quoting.documents.found import alt_of
from quoting.models import AdviceChoice, Finding, Job, Photo
from quoting.models.photos import OF_WORK
from quoting.services.advice import AreaAdvice, advise_areas
from quoting.views.advice import systems_of_today
from quoting.views.samples import record_of

SHOWN_PHOTOS = 6
"""In the folder; the rest is one leap away."""


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of an approach, over all the areas that it is said of."""

    name: str
    words: str
    sentence: str


def found_in(job: Job) -> dict[str, Any]:
    """What the clause shows; `job` has its areas read already. Six queries, whatever was found."""
    areas = list(job.areas.all())
    rows = list(Finding.objects.filter(job=job).select_related("area"))
    record = record_of(job)
    of_samples = {sample.photo_id for sample in record["samples"]}  # those stand with their samples
    rest = Photo.objects.filter(job=job).exclude(of__in=OF_WORK).exclude(pk__in=[pk for pk in of_samples if pk])
    photos = [(photo, alt_of(photo)) for photo in rest.select_related("area")]
    choices = {row.area_id: row for row in AdviceChoice.objects.filter(area__job=job)}
    advised = advise_areas(areas, rows, systems_of_today(), choices)
    last = max((row.found_at for row in rows if row.found_at), default=None)
    return {
        "found_areas": areas,
        "found_rows": rows,
        "tests": table_of_tests(areas, rows) if rows else (),
        "photos": photos[:SHOWN_PHOTOS],
        "photos_more": len(photos) - SHOWN_PHOTOS,
        "photos_all": len(photos),
        "suited": _said(advised, Verdict.SUITS) if rows else [],
        "wanting": _said(advised, Verdict.TEST_FIRST) if rows else [],
        "chosen": [each for each in advised if each.choice],
        "waiting": waiting_words(rows),
        "found_last": last,
        **record,
    }


def waiting_words(rows: Sequence[Finding]) -> list[tuple[Finding, str, str]]:
    """The tests that were begun, those first that may be read first: the row, which test where, and what to say."""
    waiting = [row for row in rows if row.found_at is None and row.kind in KINDS]
    return [
        (row, f"{KINDS[row.kind].name}{f' on {row.area.letter}' if row.area else ''}", waits_words(row))
        for row in sorted(waiting, key=may_be_read_at)
    ]


def waiting_tests(jobs: QuerySet[Job]) -> list[tuple[Finding, str, str]]:
    """The tests that wait in any of these folders, with folder and place; one query."""
    rows = Finding.objects.filter(found_at=None, job__in=jobs)
    return waiting_words(list(rows.select_related("area", "job__property__customer")))


def _said(advised: Sequence[AreaAdvice], verdict: Verdict) -> list[Said]:
    said = []
    for approach in Approach:
        lines = [(each.area, line) for each in advised for line in each.saying(verdict) if line.approach is approach]
        if not lines:
            continue
        names = dict.fromkeys(line.name for _area, line in lines)
        letters = ", ".join(area.letter for area, _line in lines)
        on = "" if verdict is Verdict.SUITS else " on"
        tests = ", ".join(dict.fromkeys(test for _area, line in lines for test in line.tests.split(", ") if test))
        sentence = lines[0][1].judgement.reasons[0].sentence
        said.append(Said(", ".join(names), f"{verdict.words}{on} {letters}{f': {tests}' if tests else ''}", sentence))
    return said
