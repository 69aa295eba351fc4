"""Learning from jobs: what was observed by surface, condition and step, drawn towards what the price book says.

What adds up is averaged: gallons an area and hours an area, the inverse of a coverage or a production rate. The price
book's figure counts as so many jobs; with every job that is observed it weighs less.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from quoting.core.rounding import CONTEXT

PRIOR_JOBS = Decimal(4)
"""What the price book's figure counts for: a starting value, no published source."""


class LearningFault(ValueError):
    """Nothing can be learned from these figures; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """What one job showed: a coverage (m²/m³, m²/kg) or a production rate (m²/h, m/h), on a surface in a condition.

    `of` is the material's key and its coat, or the labour task's key.
    """

    surface: str
    condition: str
    step: str
    of: str
    rate: Decimal

    def __post_init__(self) -> None:
        if not self.rate > 0:
            raise LearningFault("A rate is more than nothing.")

    @property
    def about(self) -> tuple[str, str, str, str]:
        """What it can be averaged with."""
        return self.surface, self.condition, self.step, self.of


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """The rate to estimate with: the book's, drawn towards the jobs'. `jobs` is how many were observed.

    `observed` is the jobs' own; `share` is how much of the result is theirs, 0 to 1.
    """

    rate: Decimal
    book: Decimal
    observed: Decimal | None
    jobs: int
    share: Decimal


def learn(book: Decimal, observed: Sequence[Observation], weight: Decimal = PRIOR_JOBS) -> Learned:
    """The book's rate after these observations of the same thing. Raises LearningFault."""
    if not book > 0 or not weight > 0:
        raise LearningFault("The price book’s figure, and what it counts for, must be more than nothing.")
    if len({each.about for each in observed}) > 1:
        raise LearningFault("These are observations of different things.")
    jobs = len(observed)
    if not jobs:
        return Learned(rate=book, book=book, observed=None, jobs=0, share=Decimal(0))
    with localcontext(CONTEXT):
        mean = sum((1 / each.rate for each in observed), Decimal(0)) / jobs
        drawn = shrunk_mean(1 / book, weight, mean, jobs)
        return Learned(rate=1 / drawn, book=book, observed=1 / mean, jobs=jobs, share=jobs / (weight + jobs))


def grouped(observed: Iterable[Observation]) -> dict[tuple[str, str, str, str], tuple[Observation, ...]]:
    """Observations by what they are about, in the order in which each first comes."""
    groups: dict[tuple[str, str, str, str], list[Observation]] = defaultdict(list)
    for each in observed:
        groups[each.about].append(each)
    return {about: tuple(those) for about, those in groups.items()}


def shrunk_mean(prior: Decimal, weight: Decimal, mean: Decimal, count: int) -> Decimal:
    """The mean of a normal after `count` observations: (weight × prior + count × mean) ÷ (weight + count).

    Hoff, A First Course in Bayesian Statistical Methods (2009), chapter 5.
    """
    with localcontext(CONTEXT):
        return (weight * prior + count * mean) / (weight + count)


@dataclass(frozen=True, slots=True, kw_only=True)
class NormalPrior:
    """A mean that counts as `weight` observations, and a variance that counts as `freedom` of them."""

    mean: Decimal
    weight: Decimal
    variance: Decimal
    freedom: Decimal = Decimal(1)


def shrunk_variance(prior: NormalPrior, mean: Decimal, variance: Decimal, count: int) -> Decimal:
    """The variance after `count` observations with this sample mean and variance. Hoff (2009), chapter 5.

    (ν₀σ₀² + (n − 1)s² + κ₀n ÷ (κ₀ + n) × (mean − prior)²) ÷ (ν₀ + n)
    """
    with localcontext(CONTEXT):
        apart = prior.weight * count / (prior.weight + count) * (mean - prior.mean) ** 2
        return (prior.freedom * prior.variance + (count - 1) * variance + apart) / (prior.freedom + count)


def shrunk_towards(grand: Decimal, factor: Decimal, own: Decimal) -> Decimal:
    """grand + factor × (own − grand): Efron and Morris, Scientific American, May 1977."""
    with localcontext(CONTEXT):
        return grand + factor * (own - grand)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreePoint:
    """A time or an amount at best, most likely and at worst: US Navy Special Projects Office, 1958."""

    best: Decimal
    likely: Decimal
    worst: Decimal

    def __post_init__(self) -> None:
        if not self.best <= self.likely <= self.worst:
            raise LearningFault("The likely figure lies between the best and the worst.")

    @property
    def mean(self) -> Decimal:
        """(a + 4m + b) ÷ 6."""
        return CONTEXT.divide(self.best + 4 * self.likely + self.worst, Decimal(6))

    @property
    def deviation(self) -> Decimal:
        """(b − a) ÷ 6."""
        return CONTEXT.divide(self.worst - self.best, Decimal(6))

    @property
    def beta(self) -> tuple[Decimal, Decimal]:
        """The two parameters of the beta distribution. Raises LearningFault where best and worst are the same."""
        if self.best == self.worst:
            raise LearningFault("Best and worst are the same.")
        span = self.worst - self.best
        with localcontext(CONTEXT):
            return 1 + 4 * (self.likely - self.best) / span, 1 + 4 * (self.worst - self.likely) / span


def path_deviation(path: Iterable[ThreePoint]) -> Decimal:
    """Of a chain of tasks, one after the other: the root of the sum of their variances."""
    with localcontext(CONTEXT):
        return sum((each.deviation**2 for each in path), Decimal(0)).sqrt()
