"""What the crew loads and mixes on a visit, or for the whole job: gathered for the core. Nothing here writes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.coverage_guard import GuardLine, guard_lines
from quoting.core.gear import Masking
from quoting.core.mix_sheet import MixSheet, mix_sheets
from quoting.core.pick_list import Load, PickChange, PickList, difference, job_list, visit_lists
from quoting.core.scope import MixUse
from quoting.core.tasks import works_of
from quoting.core.trade_units import from_unit
from quoting.core.weather_limits import Work
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.models import Job, Visit
from quoting.services.agreed_work import AgreedWork
from quoting.services.crew_rules import current_rules
from quoting.services.stock import held_for, places_of_materials

COATS = frozenset({Work.COLOUR, Work.SEAL})
ROLLS = (
    Masking(key="film", name="Masking film, 100 ft roll", roll=from_unit(Decimal(100), "ft"), works=COATS),
    Masking(key="tape", name="Masking tape, 180 ft roll", roll=from_unit(Decimal(180), "ft"), works=COATS),
)
"""Along the measured edge, where the price book has no masking material of its own."""


@dataclass(frozen=True, slots=True)
class Mixed:
    """A mix sheet with the place of its step."""

    place: int
    sheet: MixSheet


def places_by_visit(visits: Iterable[Visit]) -> list[set[int]]:
    """The places of the steps of each visit. Reads the steps; prefetch them."""
    return [{step.place for step in visit.steps.all()} for visit in visits]


def pick_list_of(job: Job, work: AgreedWork, people: int, visits: list[Visit] | None = None) -> tuple[PickList, ...]:
    """The list of each of these visits, which are all of the job's; without visits the one of the whole job."""
    load = _load(job, work.workings, people)
    if visits is None:
        return (job_list(work.workings, load),)
    return visit_lists(work.workings, places_by_visit(visits), load)


def changes_of(job: Job, work: AgreedWork, people: int) -> tuple[PickChange, ...]:
    """What change orders changed in what the whole job takes; nothing where there are none."""
    if work.original == work.scope:
        return ()
    before = work_out(work.original)
    return difference(
        job_list(before, _load(job, before, people)), job_list(work.workings, _load(job, work.workings, people))
    )


def mixed_on(work: AgreedWork, places: set[int]) -> list[Mixed]:
    """The mix sheets of these steps. Raises MixFault."""
    steps = [
        place for place, step in enumerate(work.workings.steps) for use in step.materials if isinstance(use.use, MixUse)
    ]
    sheets = mix_sheets(work.workings, current_rules().scale_step)
    return [Mixed(place, sheet) for place, sheet in zip(steps, sheets, strict=True) if place in places]


def guarded_on(work: AgreedWork, places: set[int]) -> list[GuardLine]:
    """What should be gone, for each area and coat of these steps."""
    return [line for line in guard_lines(work.workings) if line.place in places]


def _load(job: Job, workings: Workings, people: int) -> Load:
    masks = any("mask" in figure.of.name.casefold() for figure in workings.materials)
    return Load(
        works=works_of(workings),
        stock=held_for(job),
        masking=() if masks else ROLLS,
        places=places_of_materials(),
        people=people,
    )
