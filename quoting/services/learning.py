"""What the firm's own jobs say of a figure of the price book. It stands beside the figure and never changes it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal, localcontext

from quoting.core.observations import Observation, learn
from quoting.core.rounding import CONTEXT
from quoting.core.units import format_number, to_unit
from quoting.models import Coverage, LabourTask, Material, Observed

K = Observed.Kind
COVERAGE_UNIT, RATE_UNIT = "ft**2/gal", "ft**2/hour"

Row = tuple[str, str, int]
"""Surface, condition and coat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsSay:
    """What so many jobs showed, in the book's unit: their mean, the lowest and the highest, the spread (standard
    deviation over mean; None for one job), and what the book's own figure and theirs come to together."""

    jobs: int
    mean: Decimal
    low: Decimal
    high: Decimal
    spread: Decimal | None
    together: Decimal

    @property
    def words(self) -> str:
        """The same as a sentence."""
        count = "One job says" if self.jobs == 1 else f"{self.jobs} jobs say"
        if self.spread is None:
            return f"{count} {_figure(self.mean)}; with the book’s figure {_figure(self.together)}."
        spread = f"{format_number(self.spread * 100, 0)}\u00a0%"
        among = f"{_figure(self.low)} to {_figure(self.high)}, spread {spread}"
        return f"{count} {_figure(self.mean)} ({among}); with the book’s figure {_figure(self.together)}."


def coverages_said(material: Material, likely: dict[Row, Decimal]) -> dict[Row, JobsSay]:
    """What jobs say of a material's coverages; `likely` are the book's figures by row. One query."""
    by_row: dict[Row, list[Observed]] = defaultdict(list)
    for each in Observed.objects.filter(kind=K.COVERAGE, of=material.key):
        by_row[each.surface, each.condition, each.coat].append(each)
    return {row: _said(those, likely[row], COVERAGE_UNIT) for row, those in by_row.items() if row in likely}


def tell_what_jobs_say(material: Material, rows: Iterable[Coverage]) -> None:
    """Put what jobs say of it beside each of the material's coverages, as `jobs_say`."""
    those = {(row.surface, row.condition, row.coat): row for row in rows}
    said = coverages_said(material, {key: row.likely for key, row in those.items() if row.likely})
    for key, row in those.items():
        row.jobs_say = said.get(key)  # type: ignore[attr-defined]


def rate_said(task: LabourTask) -> JobsSay | None:
    """What jobs say of a task's rate, on whatever surface; None for a task that doesn't go with the area."""
    if task.unit != RATE_UNIT or not task.rate:
        return None
    those = list(Observed.objects.filter(kind=K.RATE, of=task.key))
    return _said(those, task.rate, RATE_UNIT) if those else None


def _said(rows: Iterable[Observed], book: Decimal, unit: str) -> JobsSay:
    """One observation a job: what adds up, the inverse of a rate, is averaged over its areas."""
    by_job: dict[int, list[Decimal]] = defaultdict(list)
    for each in rows:
        by_job[each.job_id].append(to_unit(each.rate, unit))
    with localcontext(CONTEXT):
        rates = [len(those) / sum((1 / rate for rate in those), Decimal(0)) for those in by_job.values()]
        observed = [Observation(surface="", condition="", step="", of="it", rate=rate) for rate in rates]
        learned = learn(book, observed)
        count, middle = len(rates), sum(rates, Decimal(0)) / len(rates)
        apart = sum(((rate - middle) ** 2 for rate in rates), Decimal(0))
        spread = (apart / (count - 1)).sqrt() / middle if count > 1 else None
    return JobsSay(
        jobs=count,
        mean=learned.observed or book,
        low=min(rates),
        high=max(rates),
        spread=spread,
        together=learned.rate,
    )


def _figure(rate: Decimal) -> str:
    return format_number(rate, 0 if rate >= 20 else 1)
