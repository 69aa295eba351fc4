"""The work of an offer as the homeowner reads it: each step with its places and coats, and the days that it takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from itertools import pairwise

from quoting.documents.area_letters import told_letters
from quoting.documents.contexts import NB, Facts, drawn
from quoting.documents.offers import areas_of
from quoting.documents.stretches import DayMark, DayStretch, draw_days
from quoting.models import Area, Material, Option, OptionGroup, OptionStep, StepMaterial, SystemStep

SHOWN_GROUPS = (Material.Group.POWDERS, Material.Group.SEALERS)
"""What stays on the slab is named on the paper; what washes off is not."""

DAY = 24


def steps_of(options: Iterable[Option]) -> list[Facts]:
    """The steps that are switched on, in the order in which they are done, each with where, how often and how."""
    return [
        {
            "name": step.step.name,
            "where": ", ".join(told_letters(area.letter for area in _areas(group))),
            "length": _length(step),
            "times": _times(step),
            "with": ", ".join(_stays(step)),
            "how": step.step.how,
        }
        for group, step in _steps(options)
    ]


def coats_of_sealer(option: Option) -> str:
    """How many coats of sealer each area gets: 2, or, where they differ, 2 on A and B, 1 on C."""
    coats = dict.fromkeys(areas_of([option]), 0)
    for group, step in _steps([option]):
        sealers = [each for each in step.step.materials.all() if _material(step, each).group == Material.Group.SEALERS]
        for area in _areas(group):
            coats[area] += sum(_coats(step, each) for each in sealers)
    counts: dict[int, list[str]] = {}
    for area, count in coats.items():
        counts.setdefault(count, []).append(area.letter)
    if len(counts) == 1:
        return str(next(iter(counts)))
    return "; ".join(
        f"{count} on {', '.join(told_letters(letters))}" for count, letters in sorted(counts.items(), reverse=True)
    )


def days_of(option: Option) -> dict[int, int]:
    """The day of each visit, counted from 1, in working weather.

    A hold of up to a day ends by the next morning; a longer one takes its whole days for itself: 48 hours after the
    wash are two days on which nobody comes.
    """
    days: dict[int, int] = {}
    holds = _holds_after(option)
    for visit in sorted(holds):
        earlier = [days[before] + 1 + _whole_days(hold) for before, hold in _before(holds, visit)]
        days[visit] = max(earlier, default=1)
    return days


def days_drawing(option: Option, waits: Mapping[str, int], *, width_px: int, prefix: str) -> Facts:
    """The days of an option as a dimension line: what is done on each, what dries, and from when on what is allowed.

    `waits` holds hours after the last coat by what they allow; they count for an option that ends with a coat to dry.
    """
    days, holds = days_of(option), _holds_after(option)
    done: dict[int, list[str]] = {}
    for _, step in _steps([option]):
        done.setdefault(visit_of(step), []).append(step.step.name)
    stretches = [DayStretch(first=day, last=day, words=_short(done[visit])) for visit, day in days.items()]
    order = sorted(days.values())
    stretches += [
        DayStretch(first=one + 1, last=next_one - 1, words="dries", kind="hold")
        for one, next_one in pairwise(order)
        if next_one - one > 1
    ]
    last = max(days)
    marks = (
        [DayMark(day=days[last] + day, words=said) for day, said in _by_day(waits)]
        if holds[last] and leaves_a_coat([option])
        else []
    )
    title = f"Days of {option.name}"
    return drawn(draw_days(stretches, marks, width_px=width_px, prefix=prefix, title=title))


def leaves_a_coat(options: Iterable[Option]) -> bool:
    """Whether any of these options puts something on that stays: colour or sealer."""
    return any(_stays(step) for _, step in _steps(options))


def after_words(waits: Mapping[str, int]) -> str:
    """The hours after the last coat in one sentence: Walk on it after 24 hours, furniture back after 3 days."""
    told = [f"{said} after {_wait_words(hours)}" for said, hours in waits.items()]
    sentence = f"After the last coat, in dry weather: {'; '.join(told)}."
    return f"{sentence} Where a product’s label asks for longer, the label holds."


def _wait_words(hours: int) -> str:
    """Up to two days in hours, else in whole days where it is such."""
    return f"{hours // DAY} days" if hours > 2 * DAY and hours % DAY == 0 else f"{hours} hours"


def _by_day(waits: Mapping[str, int]) -> list[tuple[int, str]]:
    """What is allowed from so many days after the last coat on, what falls on one day together."""
    days: dict[int, list[str]] = {}
    for said, hours in waits.items():
        days.setdefault(-(-hours // DAY), []).append(said)
    return [(day, ", ".join(said)) for day, said in sorted(days.items())]


def visit_of(step: OptionStep) -> int:
    """The visit on which a step falls."""
    return step.visit or step.step.visit


def _steps(options: Iterable[Option]) -> list[tuple[OptionGroup, OptionStep]]:
    """The steps that are on, in the order of their visits and, in a visit, of their systems."""
    found = [
        (group, step)
        for option in options
        for group in option.groups.all()
        for step in sorted(group.steps.all(), key=lambda each: (each.step.position, each.pk))
        if step.on and _areas(group)
    ]
    return sorted(found, key=lambda pair: visit_of(pair[1]))


def _areas(group: OptionGroup) -> list[Area]:
    return sorted(group.areas.all(), key=lambda area: (area.position, area.pk))


def _holds_after(option: Option) -> dict[int, Decimal]:
    """For each visit the longest wait, in hours, after any of its steps: a slab that was washed dries no sooner because
    its cracks were filled on the same day.
    """
    holds: dict[int, Decimal] = {}
    for _, step in _steps([option]):
        visit = visit_of(step)
        holds[visit] = max(holds.get(visit, Decimal(0)), step.step.hold_hours)
    return holds


def _before(holds: dict[int, Decimal], visit: int) -> list[tuple[int, Decimal]]:
    return [(before, hold) for before, hold in holds.items() if before < visit]


def _whole_days(hours: Decimal) -> int:
    return int(hours // DAY) if hours > DAY else 0


def _length(step: OptionStep) -> str:
    """The length of a step that goes by length, with the drawing's marks for feet and inches."""
    called = step.length if step.step.measure == SystemStep.Measure.LENGTH else ""
    return called.replace("'", "′").replace('"', "″").replace(" ", NB)


def _times(step: OptionStep) -> str:
    """How often: 2 coats, else 2 passes, else the pieces; nothing for once."""
    coats = max((_coats(step, each) for each in step.step.materials.all() if _is_spread(each)), default=0)
    stays = any(_material(step, each).group in SHOWN_GROUPS for each in step.step.materials.all())
    passes = step.passes or step.step.passes
    if stays and coats:
        return f"{coats} coat{'s' if coats > 1 else ''}"
    if passes > 1:
        return f"{passes} passes"
    if step.step.measure == SystemStep.Measure.COUNT and step.count:
        return f"{step.count} pieces" if step.count > 1 else "1 piece"
    return ""


def _is_spread(each: StepMaterial) -> bool:
    return each.use.get("by") in {"coverage", "mix", "dilution"}


def _coats(step: OptionStep, each: StepMaterial) -> int:
    """The coats of one material of a step: the option's own figure, else the system's."""
    own = next((use for use in step.uses.all() if use.step_material_id == each.pk), None)
    return (own and own.coats) or each.use.get("coats") or len(each.use.get("rates", ())) or 1


def _material(step: OptionStep, each: StepMaterial) -> Material:
    own = next((use for use in step.uses.all() if use.step_material_id == each.pk), None)
    return (own and own.material) or each.material


def _stays(step: OptionStep) -> list[str]:
    """The materials of a step that stay on the slab."""
    found = [_material(step, each) for each in step.step.materials.all()]
    return [material.name for material in found if material.group in SHOWN_GROUPS]


def _short(words: Iterable[str]) -> str:
    """The steps of one visit in a few words: the first three, and how many more."""
    names = list(dict.fromkeys(name.split(",")[0] for name in words))
    names = [names[0], *(name[:1].lower() + name[1:] for name in names[1:])]
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
