"""What was found in the demo's folders: tests, photographs, tones and the sample, kept by the acts of the pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from typing import Any

from quoting.core.advice import Approach
from quoting.models import Area, Edition, Finding, Job, Material, Photo, User
from quoting.services.advice import choose_approach
from quoting.services.demo_photos import demo_photo
from quoting.services.demo_rows import read_demo
from quoting.services.findings import keep_findings
from quoting.services.photos import add_photo, keep_photo
from quoting.services.samples import add_sample, approve_sample, keep_tone

Row = Mapping[str, Any]


@cache
def _found() -> dict[str, Any]:
    return read_demo("found")


@dataclass(frozen=True, slots=True)
class Seen:
    """What is found in one folder of the demo, which is made on that day."""

    job: Job
    by: User
    today: date

    def rows(self, name: str) -> list[Row]:
        """The rows of one kind: finding, photo, tone, choice."""
        found: list[Row] = _found().get(self.job.number, {}).get(name, [])
        return found

    def keep(self, names: set[str], *, at_first: bool) -> None:
        """Tests and looks on the areas of these names; `at_first` also what is about the whole property, tones and
        choices. Within the caller's transaction."""
        areas = {area.name: area for area in Area.objects.filter(job=self.job, name__in=names)}
        for row in self.rows("finding"):
            kept: list[Area | None] = [areas[name] for name in row.get("areas", ()) if name in areas]
            if not kept and ("areas" in row or not at_first):
                continue
            keep_findings(
                job=self.job,
                by=self.by,
                kind=row["kind"],
                areas=kept or [None],
                answers=row["answers"],
                note=row.get("note", ""),
            )
        for row in self.rows("tone") if at_first else ():
            edition = Edition.objects.get(state=Edition.State.PUBLISHED)
            keep_tone(
                job=self.job,
                role=row["role"],
                colour=row["colour"],
                material=Material.objects.get(edition=edition, key=row["material"]),
                strength=Decimal(row["strength"]),
                note=row["note"],
            )
        for row in self.rows("choice") if at_first else ():
            choose_approach(
                area=areas[row["area"]],
                version=0,
                by=self.by,
                approach=Approach(row["approach"]),
                reason=row.get("reason", ""),
            )

    def take_photos(self) -> None:
        """The photographs with their words, and the sample; those that are there are left alone. Decodes pictures, so
        never inside a transaction."""
        areas = {area.name: area for area in Area.objects.filter(job=self.job)}
        taken: dict[str, Photo] = {}
        for row in self.rows("photo"):
            area = areas[row["area"]]
            test = Finding.objects.filter(job=self.job, area=area, kind=row.get("finding", "")).first()
            of = row.get("of", Photo.Of.FOUND)
            added = add_photo(
                job=self.job,
                by=self.by,
                content=demo_photo(row["kind"]),
                area=area,
                finding=test,
                note=row["note"],
                of=of,
            )
            taken[row["kind"]] = added.photo
            if added.is_new and row.get("cover"):
                photo = added.photo
                keep_photo(
                    photo=photo, version=photo.version, note=photo.note, area=area, on_paper=True, is_cover=True, of=of
                )
        said = _found().get(self.job.number, {}).get("sample")
        if said and not self.job.samples.exists():
            sample = add_sample(
                job=self.job,
                by=self.by,
                area=areas[said["area"]],
                photo=taken[said["photo"]],
                made_on=self.today - timedelta(days=said["made"]),
            )
            approved = self.today - timedelta(days=said["approved"])
            approve_sample(
                sample=sample, version=sample.version, by=self.by, approved_by=said["by"], approved_on=approved
            )
