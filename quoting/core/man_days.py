"""Man-days of eight hours, and what a crew can do in a time: to check a plan of days against.

Source: NAVEDTRA 14045, Builder Advanced, chapter 2 (after NAVFAC P-405); availability after NAVEDTRA 14233.
"""

from decimal import Decimal

from quoting.core.rounding import CONTEXT, WIDE

HOURS = Decimal(8)
"""A man-day always has eight hours, however long the day is."""

EFFICIENCY = Decimal("0.67")
"""Average production to plan with. NAVEDTRA 14045, table 2-4."""


class ManDaysFault(ValueError):
    """Man-days can't be worked out from these figures; the sentence says why."""


def man_days(quantity: Decimal, unit: Decimal, hours: Decimal, delay: Decimal = Decimal(1)) -> Decimal:
    """quantity ÷ unit × hours a unit ÷ 8 × delay factor. Raises ManDaysFault."""
    if not unit > 0:
        raise ManDaysFault("The hours are for a unit of more than nothing.")
    return CONTEXT.divide(WIDE.multiply(WIDE.multiply(quantity, hours), delay), WIDE.multiply(unit, HOURS))


def day_equivalent(productive_hours: Decimal) -> Decimal:
    """What a day with so many productive hours is in man-days."""
    return CONTEXT.divide(productive_hours, HOURS)


def delay_factor(ideal: Decimal, planned: Decimal) -> Decimal:
    """The factor by which planned man-days are over the ideal ones. Raises ManDaysFault."""
    if not ideal > 0:
        raise ManDaysFault("The ideal must be more than no man-days.")
    return CONTEXT.divide(planned, ideal)


def capability(workers: Decimal, workdays: Decimal, equivalent: Decimal, availability: Decimal) -> Decimal:
    """The man-days that a crew has: workers × workdays × man-day equivalent × availability."""
    return CONTEXT.multiply(WIDE.multiply(workers, workdays), WIDE.multiply(equivalent, availability))
