"""What stands on the page of an area or of the whole property: each kind of finding, what was noted of it, its form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import timezone

from quoting.core.finding_kinds import Group, Kind
from quoting.core.findings import KINDS, Reading
from quoting.documents.findings import is_for, kind_of, reading_of, said, waits_words
from quoting.forms.findings import FindingForm
from quoting.models import Area, Finding, Job

BEGUN_FROM = 3600
"""Seconds of waiting from which a test is begun and read later; a minute is waited for on the spot."""

GROUPS = {
    Group.TEST: ("Tests", "Done on the slab"),
    Group.SLAB: ("The slab", "Told and seen"),
    Group.ROUND: ("Round it", "What the work must mind"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """One finding as the page shows it."""

    row: Finding
    words: str
    reading: Reading | None
    waits: str = ""
    url: str = ""

    @property
    def photos(self) -> Any:
        return self.row.photos.all()


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One kind of finding on the page: what there is, and the form for what is to be noted."""

    kind: Kind
    noted: tuple[Noted, ...]
    of_property: tuple[Noted, ...]
    form: FindingForm | None
    action: str

    @property
    def state(self) -> str:
        """What the closed line says."""
        all_noted = (*self.noted, *self.of_property)
        said_now = [each.waits or each.words or "noted" for each in all_noted]
        return "; ".join(dict.fromkeys(said_now)) or f"not {self.kind.group.done}"

    @property
    def waits(self) -> bool:
        return any(each.waits for each in self.noted)


def may_begin(kind: Kind) -> bool:
    """Whether a test of this kind is begun and read later."""
    return kind.wait is not None and kind.wait.seconds >= BEGUN_FROM


def block_of(job: Job, area: Area | None, kind: Kind, rows: Sequence[Finding], writes: bool) -> Block:
    """What was found of this kind there, and the form for more of it where this person `writes`."""
    of_kind = [row for row in rows if row.kind == kind.key]
    own = [row for row in of_kind if row.area_id == (area.pk if area else None)]
    form = action = None
    if writes:
        single = own[0] if own and not kind.many else None
        form = finding_form(job, area, kind, single)
        action = reverse("finding", args=[job.number, single.pk]) if single else add_url(job, area, kind)
    whole = [row for row in of_kind if area and row.area_id is None]
    return Block(
        kind=kind,
        noted=tuple(noted_of(job, kind, row) for row in own),
        of_property=tuple(noted_of(job, kind, row) for row in whole),
        form=form,
        action=action or "",
    )


def noted_of(job: Job, kind: Kind, row: Finding) -> Noted:
    """One finding in words."""
    waits = row.found_at is None
    return Noted(
        row=row,
        words=said(kind_of(row), row.answers),
        reading=None if waits else reading_of(row),
        waits=waits_words(row) if waits else "",
        url=reverse("finding", args=[job.number, row.pk]),
    )


def add_url(job: Job, area: Area | None, kind: Kind) -> str:
    """Where a new finding of this kind is sent."""
    if area is None:
        return reverse("finding-add-whole", args=[job.number, kind.key])
    return reverse("finding-add", args=[job.number, area.pk, kind.key])


def found_url(job: Job, area: Area | None) -> str:
    """The page of everything found there."""
    return reverse("found", args=[job.number, area.pk]) if area else reverse("found-whole", args=[job.number])


def finding_form(job: Job, area: Area | None, kind: Kind, row: Finding | None = None, data: Any = None) -> FindingForm:
    """The form of a new finding, or of one that is there."""
    waits = row is None or row.found_at is None
    may_wait = may_begin(kind) and waits
    if row is not None:
        return FindingForm(data, kind=kind, may_wait=may_wait, initial=_initial(row))
    others = [each for each in job.areas.all() if each != area and is_for(kind, each)] if area else []
    return FindingForm(data, kind=kind, may_wait=may_wait, others=others, may_be_whole=area is not None)


def _initial(row: Finding) -> dict[str, Any]:
    """What the row says; for a test that waits the hours that went by, if its form asks for them."""
    first: dict[str, Any] = {**row.answers, "note": row.note, "version": row.version}
    waited = KINDS[row.kind].question("waited")
    if row.found_at is None and waited is not None and waited.unit == "hours" and "waited" not in row.answers:
        hours = int((timezone.now() - row.started_at).total_seconds()) // 3600
        if hours:
            first["waited"] = str(hours)
    return first
