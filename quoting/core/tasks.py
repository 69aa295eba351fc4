"""What a crew does one after the other: the steps of a scope as tasks with hours by the clock, coats apart."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import CONTEXT
from quoting.core.scope import CoverageUse, JointUse, MixUse
from quoting.core.units import Dimension
from quoting.core.uses import coverages
from quoting.core.weather_limits import Work
from quoting.core.workings import StepFigure, Workings

RECOAT = Decimal(24)
"""Hours between two coats of one step that a firm begins with: common practice, no published source; sooner raises
solvent bubbles.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A step, or one coat of it, on its areas. `hours` are by the clock for the crew as it is; `hold` follows it.

    `splits` says that it may be left in the evening and gone on with; a coat may not. `shares` are the parts of the
    hours that fall on each area; they add up to 1. `coat` counts from 1 where a step has several.
    """

    place: int
    step: str
    areas: tuple[str, ...]
    hours: Decimal
    hold: Decimal = Decimal(0)
    splits: bool = False
    shares: tuple[Decimal, ...] = ()
    visit: int | None = None
    coat: int = 1
    coats: int = 1


def tasks_of(
    workings: Workings, *, crew: int | None = None, splitting: Collection[str] = (), recoat: Decimal = RECOAT
) -> tuple[Task, ...]:
    """The tasks of these workings in the order of their visits, and within one in the order of the steps.

    `crew` is how many come, the scope's own crew where None; `recoat` the hours between two coats of one step. A step
    that spreads no film and no colour may be split, and so may the steps named in `splitting` (a strip in small
    sections). A step without a visit of its own belongs to that of the step before it. An extra's washing is done with
    the rest of the washing, by its visit. Steps without hours keep their hold.
    """
    hands = Decimal(crew or workings.scope.crew.size)
    visit: int | None = None
    tasks: list[Task] = []
    for place, figure in enumerate(workings.steps):
        visit = figure.of.visit if figure.of.visit is not None else visit
        coats = _coats(figure)
        hours = CONTEXT.divide(figure.person_hours, hands * coats)
        hold = Decimal(0) if figure.of.hold is None else figure.of.hold.magnitude
        net = figure.ground.net
        for coat in range(1, coats + 1):
            tasks.append(
                Task(
                    place=place,
                    step=figure.step,
                    areas=figure.areas,
                    hours=hours,
                    hold=hold if coat == coats else recoat,
                    splits=not _spreads(figure) or figure.step in splitting,
                    shares=tuple(CONTEXT.divide(each, net) for each in figure.ground.nets),
                    visit=visit,
                    coat=coat,
                    coats=coats,
                )
            )
    return tuple(sorted(tasks, key=lambda task: task.visit or 0))


def _spreads(figure: StepFigure) -> bool:
    """Whether the step puts a film or a colour on, whose wet edge must not dry. Solutions are for cleaning."""
    return any(
        isinstance(each.use, MixUse)
        or (isinstance(each.use, CoverageUse) and coverages(each.use)[0].dimension is Dimension.AREA_PER_VOLUME)
        for each in figure.materials
    )


def _coats(figure: StepFigure) -> int:
    """Coats that are put on one after another has dried: those of a material spread by volume as it comes."""
    counts = [1]
    for use in figure.materials:
        if isinstance(use.use, CoverageUse):
            rates = coverages(use.use)
            counts += [len(rates)] if rates[0].dimension is Dimension.AREA_PER_VOLUME else []
    return max(counts)


_WORDS = (
    (Work.STRIP, ("strip",)),
    (Work.WASH, ("wash", "clean", "rinse")),
    (Work.SAND, ("sand", "joint")),
    (Work.SEAL, ("seal",)),
    (Work.COLOUR, ("tone", "colour", "color", "mist", "stain", "tint")),
)


def work_of(figure: StepFigure) -> Work | None:
    """What kind of work a step is, to start from: a mix is colour, a joint is sand, else by the words of its name, else
    a material with solids is sealer. None where nothing says it; then whoever plans has to.
    """
    uses = [each.use for each in figure.materials]
    if any(isinstance(use, MixUse) for use in uses):
        return Work.COLOUR
    if any(isinstance(use, JointUse) for use in uses):
        return Work.SAND
    name = figure.step.casefold()
    for work, words in _WORDS:
        if any(word in name for word in words):
            return work
    return Work.SEAL if any(each.dry_films for each in figure.materials) else None


def works_of(workings: Workings) -> dict[int, Work]:
    """The kind of work of each step by its place, as far as `work_of` knows it."""
    found = {place: work_of(figure) for place, figure in enumerate(workings.steps)}
    return {place: work for place, work in found.items() if work is not None}
