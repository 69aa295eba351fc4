"""What the crew loads and mixes on a visit, or for the whole job: gathered for the core. Nothing here writes."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from quoting.core.coverage_guard import GuardLine, guard_lines
from quoting.core.gear import GearKind
from quoting.core.mix_sheet import MixSheet, mix_sheets
from quoting.core.pick_list import Load, PickChange, PickList, difference, job_list, visit_lists
from quoting.core.scope import MixUse
from quoting.core.tasks import works_of
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.step_places import places_now
from quoting.models import Edition, GearItem, Job, Material, Visit
from quoting.services.agreed_work import AgreedWork
from quoting.services.crew_rules import current_rules
from quoting.services.gear import current_gear
from quoting.services.stock import held_for, places_of_materials


@dataclass(frozen=True, slots=True)
class Mixed:
    """A mix sheet with the place of its step."""

    place: int
    sheet: MixSheet


def places_by_visit(visits: Iterable[Visit], work: AgreedWork) -> list[set[int]]:
    """The places of the steps of each visit, as the agreed work counts them today. Reads the steps; prefetch them."""
    return [places_now(visit.steps.all(), work.workings.steps) for visit in visits]


def pick_list_of(
    job: Job, work: AgreedWork, people: int, visits: list[Visit] | None = None, gear: Sequence[GearItem] | None = None
) -> tuple[PickList, ...]:
    """The list of each of these visits, which are all of the job's; without visits the one of the whole job.

    `gear` is the firm's list where it was read already.
    """
    load = _load(job, work.workings, people, gear)
    if visits is None:
        return (job_list(work.workings, load),)
    return visit_lists(work.workings, places_by_visit(visits, work), load)


def changes_of(
    job: Job, work: AgreedWork, people: int, gear: Sequence[GearItem] | None = None
) -> tuple[PickChange, ...]:
    """What change orders changed in what the whole job takes; nothing where there are none."""
    if work.original == work.scope:
        return ()
    before = work_out(work.original)
    return difference(
        job_list(before, _load(job, before, people, gear)),
        job_list(work.workings, _load(job, work.workings, people, gear)),
    )


def mixed_on(work: AgreedWork, places: set[int]) -> list[Mixed]:
    """The mix sheets of these steps. Raises MixFault."""
    steps = [
        place for place, step in enumerate(work.workings.steps) for use in step.materials if isinstance(use.use, MixUse)
    ]
    sheets = mix_sheets(work.workings, current_rules().scale_step)
    return [Mixed(place, sheet) for place, sheet in zip(steps, sheets, strict=True) if place in places]


def guarded_on(work: AgreedWork, coats: Mapping[int, Collection[int]] | None = None) -> list[GuardLine]:
    """What should be gone, for each area and coat; None: of all the job.

    `coats` are those of a visit by the places of their steps, none where a step is not parted into coats: then all of
    a material's coats are put on that day, wet on wet.
    """
    lines = guard_lines(work.workings)
    if coats is None:
        return list(lines)
    return [line for line in lines if line.place in coats and (not coats[line.place] or line.coat in coats[line.place])]


def _load(job: Job, workings: Workings, people: int, gear: Sequence[GearItem] | None) -> Load:
    items = current_gear() if gear is None else gear
    # Where the price book sells masking by the foot of edge, rolls of the list would be counted twice.
    masks = any("mask" in figure.of.name.casefold() for figure in workings.materials)
    return Load(
        works=works_of(workings),
        stock=held_for(job),
        gear=[item.gear for item in items if item.kind != GearKind.MASKING],
        masking=[] if masks else [item.masking for item in items if item.kind == GearKind.MASKING],
        places=_kept_in() | places_of_materials(),
        people=people,
    )


def _kept_in() -> dict[str, str]:
    """Where the price book of today says that a material is kept, by its key."""
    kept = Material.objects.filter(edition=Edition.objects.published()[:1]).exclude(kept_in="")
    return dict(kept.values_list("key", "kept_in"))
