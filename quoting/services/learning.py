"""What the firm's own jobs say of a figure of the price book. It stands beside the figure and never changes it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal, localcontext

from quoting.core.book_units import METRIC, US, BookUnits
from quoting.core.observations import Observation, learn
from quoting.core.rounding import CONTEXT
from quoting.core.units import format_number, to_unit
from quoting.models import Condition, Coverage, LabourTask, Material, Observed

K = Observed.Kind
SIGNS = {each.coverage: each.coverage_sign for each in (US, METRIC)} | {
    each.area_rate: each.area_rate_sign for each in (US, METRIC)
}

LAST = 5
"""Jobs that are told of: the last ones, since crews and materials change."""

Row = tuple[str, str, int]
"""Surface, condition and coat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsSay:
    """What the last jobs showed, in the book's unit: their mean, the lowest and the highest, the spread (standard
    deviation over mean; None for one job), and what the book's own figure and theirs come to together.

    `of` is how many jobs there are in all; `where` is what they were done on, in words.
    """

    jobs: int
    of: int
    unit: str
    where: str
    mean: Decimal
    low: Decimal
    high: Decimal
    spread: Decimal | None
    together: Decimal

    @property
    def words(self) -> str:
        """The same as a sentence."""
        count = "Last job" if self.jobs == 1 else f"Last {self.jobs} jobs"
        count += f" of {self.of}" if self.of > self.jobs else ""
        told = f"{count}: {_figure(self.mean)}\u00a0{SIGNS[self.unit]}{f' on {self.where}' if self.where else ''}"
        if self.spread is not None:
            spread = f"{format_number(self.spread * 100, 0)}\u00a0%"
            told += f" ({_figure(self.low)} to {_figure(self.high)}, spread {spread})"
        return f"{told}; with the book’s figure {_figure(self.together)}."


@dataclass(frozen=True, slots=True)
class Learning:
    """What jobs showed of some materials and tasks, read at once. It only tells; no figure changes by it."""

    rows: tuple[Observed, ...]

    def of_coverage(self, key: str, row: Coverage, counts_in: BookUnits = US) -> JobsSay | None:
        """Of a material's coverage on this surface, in this condition, for this coat, in the units of the book; None
        where no job tells.
        """
        those = [
            each
            for each in self.rows
            if each.kind == K.COVERAGE
            and (each.of, each.surface, each.condition, each.coat) == (key, row.surface, row.condition, row.coat)
        ]
        where = Condition(row.condition).label if row.condition in Condition.values else ""
        return _said(those, row.likely, counts_in.coverage, where) if those and row.likely else None

    def of_task(self, task: LabourTask) -> JobsSay | None:
        """Of a task's rate, on whatever surface; None for one that doesn't go with the area."""
        those = [each for each in self.rows if each.kind == K.RATE and each.of == task.key]
        return _said(those, task.rate, task.unit) if those and task.rate and task.counts == "area" else None


def learned_of(keys: Iterable[str]) -> Learning:
    """What jobs showed of the materials and tasks with these keys. One query."""
    return Learning(tuple(Observed.objects.filter(of__in=set(keys)).order_by("job_id", "id")))


def tell_what_jobs_say(material: Material, rows: Iterable[Coverage]) -> None:
    """Put what jobs say of it beside each of the material's coverages, as `jobs_say`. One query beside its edition."""
    learning = learned_of([material.key])
    for row in rows:
        row.jobs_say = learning.of_coverage(material.key, row, material.edition.counts_in)  # type: ignore[attr-defined]


def rate_said(task: LabourTask) -> JobsSay | None:
    """What jobs say of a task's rate. One query."""
    return learned_of([task.key]).of_task(task)


def _said(rows: Iterable[Observed], book: Decimal, unit: str, where: str = "") -> JobsSay:
    """One observation a job: what adds up, the inverse of a rate, is averaged over its areas."""
    by_job: dict[int, list[Decimal]] = defaultdict(list)
    for each in rows:
        by_job[each.job_id].append(to_unit(each.rate, unit))
    last = list(by_job.values())[-LAST:]
    with localcontext(CONTEXT):
        rates = [len(those) / sum((1 / rate for rate in those), Decimal(0)) for those in last]
        observed = [Observation(surface="", condition="", step="", of="it", rate=rate) for rate in rates]
        learned = learn(book, observed)
        count, middle = len(rates), sum(rates, Decimal(0)) / len(rates)
        apart = sum(((rate - middle) ** 2 for rate in rates), Decimal(0))
        spread = (apart / (count - 1)).sqrt() / middle if count > 1 else None
    return JobsSay(
        jobs=count,
        of=len(by_job),
        unit=unit,
        where=where,
        mean=learned.observed or book,
        low=min(rates),
        high=max(rates),
        spread=spread,
        together=learned.rate,
    )


def _figure(rate: Decimal) -> str:
    return format_number(rate, 0 if rate >= 20 else 1)
