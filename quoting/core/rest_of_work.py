"""What is left of a job's tasks when some visits are done: the hours less what was done, and when the areas are dry."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.core.moments import Moment
from quoting.core.rounding import CONTEXT
from quoting.core.tasks import Task

LEAST = Decimal("0.02")
"""Hours under which nothing is left: what was laid is kept to four places."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneStint:
    """A piece of work of a visit that is done, by the place that its step has today; `hold` follows its end."""

    place: int
    coat: int
    areas: tuple[str, ...]
    hours: Decimal
    parts: int
    end: Moment
    hold: Decimal


def rest_of(tasks: Sequence[Task], done: Iterable[DoneStint]) -> tuple[Task, ...]:
    """The tasks without what is done: those areas of a task that nobody has worked on, or the hours that are left of
    one that was begun one day and is to be gone on with.
    """
    by_task: dict[tuple[int, int], list[DoneStint]] = {}
    for stint in done:
        by_task.setdefault((stint.place, stint.coat), []).append(stint)
    return tuple(left for task in tasks if (left := _left(task, by_task.get((task.place, task.coat), []))) is not None)


def _left(task: Task, done: Sequence[DoneStint]) -> Task | None:
    if not done:
        return task
    worked_on = {area for stint in done for area in stint.areas}
    untouched = [at for at, area in enumerate(task.areas) if area not in worked_on]
    if untouched:
        even = CONTEXT.divide(Decimal(1), Decimal(len(task.areas)))
        shares = [task.shares[at] if task.shares else even for at in untouched]
        whole = sum(shares, Decimal(0))
        return replace(
            task,
            areas=tuple(task.areas[at] for at in untouched),
            hours=CONTEXT.multiply(task.hours, whole),
            shares=tuple(CONTEXT.divide(share, whole) for share in shares),
        )
    if task.splits and len(done) < max(stint.parts for stint in done):
        hours = task.hours - sum((stint.hours for stint in done), Decimal(0))
        return replace(task, hours=hours) if hours > LEAST else None
    return None


def dry_after(done: Iterable[DoneStint], slower: Decimal = Decimal(1)) -> dict[str, Moment]:
    """When each area may be worked on again; `slower` multiplies holds in cool weather."""
    ready: dict[str, Moment] = {}
    for stint in done:
        until = stint.end.later(CONTEXT.multiply(stint.hold, slower))
        for area in stint.areas:
            ready[area] = max(until, ready.get(area, until))
    return ready
