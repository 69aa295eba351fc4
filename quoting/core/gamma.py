"""How often something happens a job, learned from counts: a gamma distribution over the rate of a Poisson count.

For call-backs and visits lost to rain. Source: Hoff, A First Course in Bayesian Statistical Methods (2009), chapter 3.
The incomplete gamma function is summed in Decimal, so that it is the same on every machine.
"""

from dataclasses import dataclass
from decimal import Decimal, localcontext

from quoting.core.rounding import CONTEXT, WIDE

LARGEST = Decimal(10_000)
"""A larger shape or rate is no count of jobs, and would be slow to sum."""

_HALF_LN_TWO_PI = Decimal("0.918938533204672741780329736406")
_STIRLING = tuple(Decimal(1) / Decimal(n) for n in (12, -360, 1260, -1680, 1188))
_SHIFTED = Decimal(40)
_CLOSE = Decimal("1e-12")


class GammaFault(ValueError):
    """No rate follows from these counts; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gamma:
    """A distribution of shape and rate: as if `shape` events had been counted in `rate` jobs."""

    shape: Decimal
    rate: Decimal

    def __post_init__(self) -> None:
        if not (0 < self.shape <= LARGEST and 0 < self.rate <= LARGEST):
            raise GammaFault("Shape and rate are more than nothing, and at most 10,000.")

    def after(self, events: int, jobs: int) -> "Gamma":
        """What is known after so many events in so many jobs: (shape + events, rate + jobs). Raises GammaFault."""
        if events < 0 or jobs < 0:
            raise GammaFault("Events and jobs are counted.")
        return Gamma(shape=self.shape + events, rate=self.rate + jobs)

    @property
    def mean(self) -> Decimal:
        """Events a job to reckon with."""
        return CONTEXT.divide(self.shape, self.rate)

    @property
    def mode(self) -> Decimal:
        """The likeliest number of events a job; 0 for a shape of 1 or less."""
        return CONTEXT.divide(max(Decimal(0), self.shape - 1), self.rate)

    def quantile(self, share: Decimal) -> Decimal:
        """The rate that is not passed with this probability, to twelve places. Raises GammaFault outside 0 to 1."""
        if not 0 < share < 1:
            raise GammaFault("A probability lies between 0 and 1.")
        with localcontext(CONTEXT):
            low, high, log = Decimal(0), self.shape + 1, log_gamma(self.shape + 1)
            while _below(self.shape, high, log) < share:
                low, high = high, high * 2
            while high - low > _CLOSE * max(Decimal(1), self.rate):
                middle = (low + high) / 2
                low, high = (middle, high) if _below(self.shape, middle, log) < share else (low, middle)
            return (low + high) / (2 * self.rate)

    def interval(self, share: Decimal) -> tuple[Decimal, Decimal]:
        """The middle interval that holds the rate with this probability, such as 0.95."""
        tail = (1 - share) / 2
        return self.quantile(tail), self.quantile(1 - tail)


def _below(shape: Decimal, x: Decimal, log: Decimal) -> Decimal:
    """The share of a gamma of this shape, and rate 1, below x: x^a e^−x ÷ Γ(a + 1) × Σ xⁿ ÷ ((a + 1) … (a + n)).

    `log` is the logarithm of Γ(a + 1).
    """
    if x <= 0:
        return Decimal(0)
    term = total = Decimal(1)
    n = 0
    while term > total * Decimal("1e-24"):
        n += 1
        term *= x / (shape + n)
        total += term
    return (shape * x.ln() - x - log + total.ln()).exp()


def log_gamma(a: Decimal) -> Decimal:
    """The logarithm of Γ(a), for a more than 0, to about sixteen digits: Stirling's series above 40."""
    with localcontext(WIDE):
        down = Decimal(0)
        while a < _SHIFTED:
            down += a.ln()
            a += 1
        series = sum((part / a ** (2 * i + 1) for i, part in enumerate(_STIRLING)), Decimal(0))
        return (a - Decimal("0.5")) * a.ln() - a + _HALF_LN_TWO_PI + series - down
