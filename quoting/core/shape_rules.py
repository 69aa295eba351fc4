"""What all shapes share: their faults, π, Heron's formula, and the digits that they are worked out with."""

from collections.abc import Callable
from decimal import Decimal, localcontext
from functools import wraps
from typing import ClassVar, Protocol, TypeVar

from quoting.core.rounding import WIDE, carried
from quoting.core.units import format_number, to_unit

PI = Decimal("3.141592653589793238462643383279502884197")
"""π to 40 digits."""

MOST_POINTS = 200
"""Corners or offsets of one part."""


class ShapeFault(ValueError):
    """The sizes of a shape can't be right; the sentence says why."""


class SizeMissing(ShapeFault):
    """A size that the shape needs was not given, or one was given that it doesn't have."""


class NotPositive(ShapeFault):
    """A size is negative, zero or no number."""


class CannotClose(ShapeFault):
    """Three sides that no triangle has: one is longer than the other two together."""


class CrossesItself(ShapeFault):
    """An outline that touches or crosses itself."""


class TooFewPoints(ShapeFault):
    """Fewer than three corners."""


class TooFewOffsets(ShapeFault):
    """Fewer than two offsets."""


class TooManyPoints(ShapeFault):
    """More corners or offsets than one part may have."""


class Shape(Protocol):
    """What every shape answers."""

    kind: ClassVar[str]

    def area(self) -> Decimal:
        """The plan area in m²."""

    def edge(self) -> Decimal | None:
        """The length round it in metres, or None where the sizes don't tell it."""

    def working(self, units: str) -> str:
        """The sum that gives the area, without its result, in the units "us" or "metric"."""


S = TypeVar("S")


def in_wide(formula: Callable[[S], Decimal]) -> Callable[[S], Decimal]:
    """Work the formula out with 60 digits, whatever context the caller is in, and carry 28."""

    @wraps(formula)
    def exactly(shape: S) -> Decimal:
        with localcontext(WIDE):
            value = formula(shape)
        return carried(value)

    return exactly


def need_positive(**sizes: Decimal | None) -> None:
    for name, size in sizes.items():
        if size is not None and not (size.is_finite() and size > 0):
            raise NotPositive(f"The {name.replace('_', ' ')} must be more than zero.")


def need_triangle(a: Decimal, b: Decimal, c: Decimal, names: str) -> None:
    longest = max(a, b, c)
    with localcontext(WIDE):
        short = longest > a + b + c - longest
    if short:
        raise CannotClose(f"The sides {names} can't close: one is longer than the other two together. Measure again.")


def heron(a: Decimal, b: Decimal, c: Decimal) -> Decimal:
    half = (a + b + c) / 2
    return max(Decimal(0), half * (half - a) * (half - b) * (half - c)).sqrt()


def format_area(square_metres: Decimal, units: str, decimals: int = 2) -> str:
    """The area for a working: `464.00 ft²`, or in m² when `units` is "metric"."""
    if units == "metric":
        return f"{format_number(square_metres, decimals)} m²"
    return f"{format_number(to_unit(square_metres, 'ft**2'), decimals)} ft²"


def plain_number(metres: Decimal, units: str, decimals: int = 2) -> str:
    """A length as a bare figure in ft or m, for sums of many."""
    return format_number(metres if units == "metric" else to_unit(metres, "ft"), decimals)
