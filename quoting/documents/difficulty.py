"""How much longer a step takes by the book on the slabs that it is done on: deep texture, and flights of steps.

It holds from the beginning, without anybody's doing; an option's own figure goes before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal, localcontext

from quoting.core.rounding import CONTEXT, round_half_up
from quoting.documents.measured import measure_area
from quoting.models import Area, LabourTask, OptionStep, Surface, SystemStep

DEEP_TEXTURE = Decimal("1.10")
"""Over this a texture is deep cobble rather than light slate, as the form of an area says; common practice."""

_ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class BookDifficulty:
    """The factor, and why it isn't 1: `A deep texture: × 1.15; C steps: × 1.2`; empty where it is. `instead` is the
    factor that an option has in its place.
    """

    factor: Decimal = _ONE
    reason: str = ""
    instead: str = ""


def difficulty_by_book(step: SystemStep, areas: Iterable[Area]) -> BookDifficulty:
    """The book's factor for a step on these areas; where they differ, their mean by net area, to four decimals."""
    task = step.task
    if task is None or step.measure == SystemStep.Measure.HOURS:
        return BookDifficulty()
    found = [(area, *_of(task, area)) for area in areas]
    factors = {factor for _area, factor, _word in found}
    if factors <= {_ONE}:
        return BookDifficulty()
    letters: dict[tuple[str, Decimal], list[str]] = {}
    for area, factor, word in found:
        if factor != 1:
            letters.setdefault((word, factor), []).append(area.letter)
    reason = "; ".join(f"{', '.join(those)} {word}: × {_plain(factor)}" for (word, factor), those in letters.items())
    return BookDifficulty(factors.pop() if len(factors) == 1 else _mean(found), reason)


def softened(step: OptionStep) -> BookDifficulty | None:
    """What the book has, where the option reckons a step less hard without a word; else None."""
    if not step.on or step.difficulty is None or step.reason:
        return None
    book = difficulty_by_book(step.step, step.group.areas.all())
    return replace(book, instead=_plain(step.difficulty)) if step.difficulty < book.factor else None


def softened_steps(steps: Iterable[OptionStep]) -> Iterator[tuple[OptionStep, BookDifficulty]]:
    """The steps that were made easier than the book without a word, each with what the book has."""
    for step in steps:
        if book := softened(step):
            yield step, book


def _of(task: LabourTask, area: Area) -> tuple[Decimal, str]:
    if area.surface == Surface.STEPS:
        return task.awkward, "steps"
    return (task.textured, "deep texture") if area.texture > DEEP_TEXTURE else (_ONE, "")


def _mean(found: Iterable[tuple[Area, Decimal, str]]) -> Decimal:
    """By net area; plainly while one of them is not measured, when nothing can be worked out anyway."""
    rows = [(factor, measure_area(area).figures) for area, factor, _word in found]
    nets = [figures.net if figures else None for _factor, figures in rows]
    weights = [_ONE if None in nets or net is None else net for net in nets]
    with localcontext(CONTEXT):
        total = sum((factor * weight for (factor, _), weight in zip(rows, weights, strict=True)), Decimal(0))
        return round_half_up(total / sum(weights, Decimal(0)), 4)


def _plain(factor: Decimal) -> str:
    return f"{factor.normalize():f}"
