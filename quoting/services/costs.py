"""What a job cost: estimated against used, the office's corrections, and keeping what it showed to learn from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.job_cost import LABOUR, JobCost, Used, job_cost, outside_cost
from quoting.core.material_workings import UseFigure
from quoting.core.rounding import CONTEXT, round_half_up
from quoting.core.scope import CoverageUse, DilutionUse, MixUse
from quoting.core.units import Dimension
from quoting.core.uses import coverages
from quoting.core.workings import StepFigure, Workings
from quoting.documents.step_places import at_todays_places, place_now
from quoting.documents.used import Thing, crew_used, labour_shares
from quoting.models import CostSheet, Entry, ExtraCost, Job, Observed, SystemStep, User, lock_row
from quoting.services.agreed_work import need_work
from quoting.services.contracts import acceptance_of
from quoting.services.trail import record

K = Observed.Kind
PLACES = 9


class NothingToLearn(Exception):
    """Nothing that was used can be held against an area."""

    def __init__(self) -> None:
        super().__init__("Nothing was written down yet from which a coverage or a rate follows.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Costed:
    """A job's work with what was used of it: as the office says, else as the crew wrote down."""

    workings: Workings
    used: Mapping[Thing, Used]
    by_crew: frozenset[Thing]
    found: Mapping[str, Decimal]
    cost: JobCost
    outside: Sequence[ExtraCost]


def cost_of(job: Job, sheet: CostSheet | None) -> Costed:
    """What was used of everything that anybody wrote down, and what was paid outside the scope and not taken back.

    Raises NothingAgreed, DoesNotAddUp or CostFault.
    """
    workings = need_work(job).workings
    entries = Entry.objects.filter(visit__job=job).order_by("made_at", "id")
    crew = crew_used(workings, at_todays_places(entries, workings.steps))
    rows = [(_thing(row, workings), _used(row)) for row in (sheet.rows if sheet else [])]
    said = {thing: used for thing, used in rows if _is_of(workings, thing)}
    areas = {area.name for area in workings.areas}
    found = {area: Decimal(net) for area, net in (sheet.found if sheet else {}).items() if area in areas}
    used = crew | said
    outside = list(ExtraCost.objects.filter(job=job).with_counter())
    paid = [outside_cost(each.words, each.sum, each.currency) for each in outside if each.stands]
    return Costed(
        workings=workings, used=used, by_crew=frozenset(set(crew) - set(said)), found=found, outside=outside,
        cost=JobCost(lines=(*job_cost(workings, used, found).lines, *paid)),
    )  # fmt: skip


def things_of(workings: Workings) -> list[Thing]:
    """All that hours and amounts can be written down for, in the order of the work."""
    things: list[Thing] = []
    for place, step in enumerate(workings.steps):
        for area in step.areas:
            if step.person_hours:
                things.append((place, area, LABOUR))
            things += [(place, area, each) for each in dict.fromkeys(use.material for use in step.materials)]
    return things


def keep_costs(*, job: Job, version: int, by: User, used: Mapping[Thing, Used], found: Mapping[str, Decimal]) -> None:
    """Keep what the office says was used; what it leaves out is as the crew wrote down. Raises ChangedMeanwhile."""
    steps = need_work(job).workings.steps
    rows = [
        {
            "place": place, "step": steps[place].step if place < len(steps) else "", "area": area, "of": of,
            "amount": f"{each.amount:f}", "weather": f"{each.weather:f}", "extra": f"{each.extra:f}",
        }
        for (place, area, of), each in used.items()
    ]  # fmt: skip
    with transaction.atomic():
        lock_row(Job, job.pk)
        sheet, _is_new = CostSheet.objects.get_or_create(job=job)
        sheet.claim(version)
        sheet.rows, sheet.found = rows, {area: f"{net:f}" for area, net in found.items()}
        sheet.save(update_fields=["rows", "found"])
        record("cost kept", job=job, actor=by, data={"rows": len(rows)})


def keep_to_learn(*, job: Job, by: User) -> int:
    """Keep what the job showed, in place of what was kept of it before; how many figures. Raises NothingToLearn, and as
    `cost_of` does."""
    with transaction.atomic():
        lock_row(Job, job.pk)
        sheet, _is_new = CostSheet.objects.get_or_create(job=job)
        rows = observed_on(job, cost_of(job, sheet))
        if not rows:
            raise NothingToLearn
        Observed.objects.filter(job=job).delete()
        Observed.objects.bulk_create(rows)
        sheet.kept_at, sheet.kept_by = timezone.now(), by
        sheet.save(update_fields=["kept_at", "kept_by"])
        record("cost kept to learn from", job=job, actor=by, data={"figures": len(rows)})
    return len(rows)


def observed_on(job: Job, costed: Costed) -> list[Observed]:
    """Coverages and rates as they were on each area, without what weather and extras took."""
    areas = {area.name: area for area in job.areas.all()}
    tasks = _tasks(job)
    rows, coats = [], dict[tuple[str, str], int]()
    with localcontext(CONTEXT):
        for place, area, of in things_of(costed.workings):
            step, used = costed.workings.steps[place], costed.used.get((place, area, of))
            coat = 1
            if of != LABOUR:
                coat = coats[area, of] = coats.get((area, of), 0) + 1
            rate = None
            if used is not None and area in areas:
                net = used.amount - used.weather - used.extra
                rate = _rate(costed, step, area, net) if of == LABOUR else _coverage(costed, step, area, of, net)
            key = tasks.get(step.step, "") if of == LABOUR else of
            if rate and key:
                about = areas[area]
                rows.append(
                    Observed(
                        job=job, area=area, surface=about.surface, condition=about.condition, step=step.step,
                        kind=K.RATE if of == LABOUR else K.COVERAGE, of=key, coat=coat,
                        rate=round_half_up(rate, PLACES),
                    )
                )  # fmt: skip
    return rows


def _rate(costed: Costed, step: StepFigure, area: str, hours: Decimal) -> Decimal | None:
    """m² an hour in open work, set-up apart and on plain ground, where the hours go with the area."""
    labour = step.of.labour
    if labour is None or labour.rate is None or labour.rate.dimension is not Dimension.AREA_PER_TIME:
        return None
    setup = labour.setup.magnitude * labour_shares(step)[area] if labour.setup else Decimal(0)
    net = next(each.net for each in costed.workings.areas if each.name == area)
    open_work = hours - setup
    return costed.found.get(area, net) * labour.passes * labour.difficulty / open_work if open_work > 0 else None


def _coverage(costed: Costed, step: StepFigure, area: str, of: str, amount: Decimal) -> Decimal | None:
    """m² of true surface of one coat with a m³ of what is put on, the usual loss allowed for.

    Not where coats of different coverage are one sum, or the material is not spread by volume.
    """
    uses: Sequence[UseFigure] = [use for use in step.materials if use.material == of]
    if len(uses) != 1 or amount <= 0:
        return None
    use, put_on, coats = uses[0], amount, 0
    if isinstance(use.use, CoverageUse) and use.dimension is Dimension.VOLUME:
        coats = use.coats if len({each.magnitude for each in coverages(use.use)}) == 1 else 0
    elif isinstance(use.use, MixUse) and use.dimension is Dimension.MASS:
        put_on, coats = amount / use.use.strength.magnitude, use.use.coats
    elif isinstance(use.use, DilutionUse) and use.dimension is Dimension.VOLUME:
        put_on, coats = amount * (1 + use.use.parts_water), use.use.coats
    figure = next(each for each in costed.workings.areas if each.name == area)
    surface = figure.effective * costed.found.get(area, figure.net) / figure.net
    return surface * coats * (1 + use.waste) / put_on if coats else None


def _tasks(job: Job) -> dict[str, str]:
    """The key of the labour task of each step, by the step's name, in the edition that the job was priced from."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        return {}
    editions = acceptance.paper.scopes.values_list("edition", flat=True)
    steps = SystemStep.objects.filter(system__edition__name__in=list(editions)).exclude(task=None)
    return dict(steps.values_list("name", "task__key"))


def _thing(row: Mapping[str, Any], workings: Workings) -> Thing:
    """What a kept row is about, by the place that its step has today."""
    place = place_now(int(row["place"]), row.get("step", ""), workings.steps, row["area"])
    return place, row["area"], row["of"]


def _used(row: Mapping[str, Any]) -> Used:
    return Used(amount=Decimal(row["amount"]), weather=Decimal(row["weather"]), extra=Decimal(row["extra"]))


def _is_of(workings: Workings, thing: Thing) -> bool:
    """Whether the work still has it: a change order may have taken it out."""
    return thing in set(things_of(workings))
