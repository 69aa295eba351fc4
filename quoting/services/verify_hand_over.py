"""Whether every hand-over is still what its sheet was issued from, with its sign-off and what it says of the slabs."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from quoting.models import Event, HandOver, Paper, SlabRecord
from quoting.services.seals import hash_words
from quoting.services.told_work import told_sheet, told_sign_off, told_slab
from quoting.services.verify_work import differences, erased_folders


def hand_over_faults() -> Iterator[str]:
    """Each fault as one sentence that names the sheet and the field."""
    erased = erased_folders()
    papers = Paper.objects.filter(kind=Paper.Kind.HAND_OVER).select_related("job").defer("pdf", "facts").order_by("pk")
    known: set[int] = set()
    for paper in papers.iterator(chunk_size=500):
        row = HandOver.objects.filter(paper=paper).first()
        if row is None or row.job_id != paper.job_id:
            yield f"{paper.number}: hand-over: no walk-through of its folder belongs to it"
            continue
        yield from _sheet_faults(paper, row, paper.job.number in erased)
        yield from _sign_faults(paper, row)
        slabs = {str(slab.pk): told_slab(slab) for slab in SlabRecord.objects.filter(job=paper.job_id)}
        known |= {int(pk) for pk in slabs}
        told = _last(paper, "hand-over issued").get("slabs", {})
        for pk in sorted(slabs.keys() | told.keys(), key=int):
            if pk not in slabs:
                yield f"{paper.number}: slab record {pk}: is missing"
            else:
                yield from differences(f"{paper.number}: slab record {pk}", slabs[pk], told.get(pk, {}))
    for stray in SlabRecord.objects.exclude(pk__in=known).values_list("pk", flat=True):
        yield f"slab record {stray}: no sheet was issued for it"


def _sheet_faults(paper: Paper, row: HandOver, erased: bool) -> Iterator[str]:
    now, told = told_sheet(row), dict(_last(paper, "hand-over issued").get("sheet", {}))
    if erased and not row.note and not row.salt:
        told["note"] = ""
    yield from differences(f"{paper.number}: hand-over", now, told)


def _sign_faults(paper: Paper, row: HandOver) -> Iterator[str]:
    told = _last(paper, "hand-over signed").get("signed")
    unsigned = {"signed_on": "", "signed_name": hash_words("", ""), "signed_how": ""}
    yield from differences(f"{paper.number}: sign-off", told_sign_off(row), told or unsigned)


def _last(paper: Paper, kind: str) -> dict[str, Any]:
    data = Event.objects.filter(paper=paper, kind=kind).order_by("-position").values_list("data", flat=True).first()
    found: dict[str, Any] = json.loads(data) if data else {}
    return found
