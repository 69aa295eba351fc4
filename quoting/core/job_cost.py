"""What a job cost: estimated against used, by step and area, and from which assumption each difference comes.

The parts of a difference are found by putting what was true in place of what was assumed, one after the other:

1. area: the estimate again, with the area as it was found to be;
2. weather: what the weather cost, as it was written down (waiting, a coat washed off);
3. extra: what went into work that wasn't in the scope, as it was written down;
4. what is left: the coverage for a material, the hours for labour.

Money is at the estimate's prices and wages, so that only quantities differ; each sum is rounded to the cent once, and
what is left takes the rounding, so that the parts add up to the difference exactly. Quantities are to nine places.
A material is reckoned by what is used of it, not by the packs: a pack left over is stock.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum

from quoting.core.labour import hours_of
from quoting.core.rounding import CONTEXT, round_half_up, round_money
from quoting.core.scope import JointUse
from quoting.core.units import Dimension
from quoting.core.workings import StepFigure, Workings

LABOUR = "labour"
"""Stands for the hours in place of a material's key."""

OUTSIDE = "outside"
"""Stands for a sum that was paid for nothing in the scope, in place of a material's key."""

PLACES = 9

_NONE = Decimal(0)


class CostFault(ValueError):
    """What was written down doesn't go with the job; the sentence says why."""


class Cause(StrEnum):
    """Where a difference comes from."""

    AREA = "area"
    WEATHER = "weather"
    EXTRA = "extra"
    COVERAGE = "coverage"
    HOURS = "hours"


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """What was used of one thing, in person-hours or m³, kg, each; `weather` and `extra` are parts of `amount`."""

    amount: Decimal
    weather: Decimal = _NONE
    extra: Decimal = _NONE

    def __post_init__(self) -> None:
        if self.amount < 0 or self.weather < 0 or self.extra < 0 or self.weather + self.extra > self.amount:
            raise CostFault("What the weather and extras took is part of what was used.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing in one step on one area. Quantities as in `Used`; sums in the scope's currency, used less estimated."""

    step: str
    area: str
    of: str
    estimated: Decimal
    used: Decimal
    estimated_sum: Decimal
    used_sum: Decimal
    causes: Mapping[Cause, Decimal]
    """Parts of the difference in quantity."""
    cause_sums: Mapping[Cause, Decimal]
    """Parts of the difference in money."""

    @property
    def difference(self) -> Decimal:
        """In quantity."""
        return self.used - self.estimated

    @property
    def difference_sum(self) -> Decimal:
        """In money."""
        return self.used_sum - self.estimated_sum


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCost:
    """All differences of a job, and their sums by cause, step and area: each adds up to `difference`."""

    lines: tuple[Difference, ...]

    @property
    def estimated(self) -> Decimal:
        """In money."""
        return sum((line.estimated_sum for line in self.lines), _NONE)

    @property
    def used(self) -> Decimal:
        """In money."""
        return sum((line.used_sum for line in self.lines), _NONE)

    @property
    def difference(self) -> Decimal:
        """In money; more than 0 where the job cost more than was estimated."""
        return self.used - self.estimated

    @property
    def by_cause(self) -> dict[Cause, Decimal]:
        """In money, every cause named."""
        sums = dict.fromkeys(Cause, _NONE)
        for line in self.lines:
            for cause, amount in line.cause_sums.items():
                sums[cause] += amount
        return sums

    @property
    def by_step(self) -> dict[str, Decimal]:
        """In money."""
        return self._by("step")

    @property
    def by_area(self) -> dict[str, Decimal]:
        """In money."""
        return self._by("area")

    def _by(self, name: str) -> dict[str, Decimal]:
        sums: dict[str, Decimal] = defaultdict(Decimal)
        for line in self.lines:
            sums[getattr(line, name)] += line.difference_sum
        return dict(sums)


def job_cost(
    workings: Workings, used: Mapping[tuple[int, str, str], Used], found: Mapping[str, Decimal] | None = None
) -> JobCost:
    """The differences for what was written down by (place of the step, area, material key or LABOUR).

    What nothing was written down for is left out: it isn't known, which is not the same as nothing. A step's place
    outside the workings is work that wasn't in the scope: use `extra_cost`. `found` holds the net areas (m²) that were
    found to be others than estimated. Raises CostFault for a step, an area or a material that the job doesn't have.
    """
    lines = []
    nets = {area.name: area.net for area in workings.areas}
    prices = {figure.material: figure.unit_price for figure in workings.materials}
    for area, net in (found or {}).items():
        if area not in nets or not net > 0:
            raise CostFault(f"“{area}” is no area of this job, or has no size.")
    with localcontext(CONTEXT):
        for (place, area, thing), amount in used.items():
            if not 0 <= place < len(workings.steps) or area not in workings.steps[place].areas:
                raise CostFault(f"This job has no such step on “{area}”.")
            step = workings.steps[place]
            grown = (found or {}).get(area, nets[area]) / nets[area]
            if thing == LABOUR:
                estimated, again = _labour(step, area, grown)
                price = workings.scope.crew.hourly_cost
            elif thing in prices:
                estimated, again = _material(step, area, thing, grown)
                price = prices[thing]
            else:
                raise CostFault(f"This job has no material “{thing}”.")
            lines.append(_difference(step.step, area, thing, estimated, again, amount, price, workings.scope.currency))
    return JobCost(lines=tuple(lines))


def extra_cost(step: str, area: str, thing: str, amount: Decimal, price: Decimal, currency: str) -> Difference:
    """A line for work that wasn't in the scope at all: all of it is extra."""
    return _difference(step, area, thing, _NONE, _NONE, Used(amount=amount, extra=amount), price, currency)


def outside_cost(words: str, amount: Decimal, currency: str) -> Difference:
    """A line for a sum that was paid for nothing in the scope (a hire, a further trip, damage): all of it is extra."""
    return extra_cost(words, "", OUTSIDE, Decimal(1), amount, currency)


def _labour(step: StepFigure, area: str, grown: Decimal) -> tuple[Decimal, Decimal]:
    """The hours of a step on one area as estimated, and with the area as found: set-up and hours given don't grow."""
    hours = hours_of(step.of.labour, step.ground)
    if not hours.weight:
        return _NONE, _NONE
    share = hours.weights[step.areas.index(area)] / hours.weight
    labour = step.of.labour
    by_area = labour is not None and labour.rate is not None and labour.rate.dimension is Dimension.AREA_PER_TIME
    setup = labour.setup.magnitude if labour is not None and labour.setup is not None else _NONE
    estimated = step.person_hours * share
    return estimated, (estimated - setup * share) * grown + setup * share if by_area else estimated


def _material(step: StepFigure, area: str, thing: str, grown: Decimal) -> tuple[Decimal, Decimal]:
    """The need of a material in a step on one area as estimated, and with the area as found."""
    estimated = again = _NONE
    for use in step.materials:
        if use.material == thing and use.weight:
            share = use.need * use.weights[step.areas.index(area)] / use.weight
            estimated += share
            # A length, a crack or a count that was given outright doesn't grow with the area.
            again += share * (grown if use.coats or _by_joint(use.use) else 1)
    return estimated, again


def _by_joint(use: object) -> bool:
    return isinstance(use, JointUse)


def _difference(
    step: str,
    area: str,
    thing: str,
    estimated: Decimal,
    again: Decimal,
    used: Used,
    price: Decimal,
    currency: str,
) -> Difference:
    rest = Cause.HOURS if thing == LABOUR else Cause.COVERAGE
    whole = (_exact(estimated), _exact(used.amount))
    parts = {
        Cause.AREA: _exact(again - estimated),
        Cause.WEATHER: _exact(used.weather),
        Cause.EXTRA: _exact(used.extra),
    }
    sums = {cause: round_money(part * price, currency) for cause, part in parts.items()}
    money = tuple(round_money(part * price, currency) for part in whole)
    return Difference(
        step=step,
        area=area,
        of=thing,
        estimated=whole[0],
        used=whole[1],
        estimated_sum=money[0],
        used_sum=money[1],
        causes={**parts, rest: whole[1] - whole[0] - sum(parts.values(), _NONE)},
        cause_sums={**sums, rest: money[1] - money[0] - sum(sums.values(), _NONE)},
    )


def _exact(amount: Decimal) -> Decimal:
    return round_half_up(amount, PLACES)
