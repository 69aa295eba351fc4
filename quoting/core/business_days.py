"""Days that count towards a deadline, and the federal holidays of the United States by their rules.

Holidays: 5 U.S.C. 6103(a); observed days: 5 U.S.C. 6103(b) and E.O. 11582, section 3(a). Which calendar a law counts by
is the law's own matter: for cancelling a sale at home Saturday is a business day, Sundays and federal holidays are not,
and only a holiday's own date is left out, not the day on which it is observed (12 CFR 1026.2(a)(6) and comment 2 for
loans; 16 CFR 429.0(f) for sales, from memory).
"""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

SUNDAY, SATURDAY, MONDAY, THURSDAY = 6, 5, 0, 3
_DAY = timedelta(days=1)

JUNETEENTH_SINCE = 2021
"""Public Law 117-17 of 17 June 2021 (from memory)."""

MOST_DAYS = 400
"""A period of more days is a slip of the pen."""


class DaysFault(ValueError):
    """The number of days can't be counted; the sentence says why."""


class Calendar(StrEnum):
    """Which days count."""

    SALES = "sales"
    """All but Sundays and the dates of federal holidays; Saturday counts."""

    OFFICE = "office"
    """Monday to Friday, but not the days on which federal holidays are observed."""

    EVERY = "every"
    """Every day."""

    @property
    def words(self) -> str:
        """What a period of such days is called, after its number."""
        return "days" if self is Calendar.EVERY else "business days"


@dataclass(frozen=True, slots=True, kw_only=True)
class Holiday:
    """A federal holiday: its name, its own day, and the day on which offices keep it."""

    name: str
    day: date
    observed: date


def federal_holidays(year: int) -> tuple[Holiday, ...]:
    """The federal holidays whose dates lie in the year, in order. One may be observed on 31 December before it."""
    dates = [
        ("New Year's Day", date(year, 1, 1)),
        ("Birthday of Martin Luther King, Jr.", _nth(year, 1, MONDAY, 3)),
        ("Washington's Birthday", _nth(year, 2, MONDAY, 3)),
        ("Memorial Day", _last_monday_of_may(year)),
        ("Juneteenth National Independence Day", date(year, 6, 19)),
        ("Independence Day", date(year, 7, 4)),
        ("Labor Day", _nth(year, 9, MONDAY, 1)),
        ("Columbus Day", _nth(year, 10, MONDAY, 2)),
        ("Veterans Day", date(year, 11, 11)),
        ("Thanksgiving Day", _nth(year, 11, THURSDAY, 4)),
        ("Christmas Day", date(year, 12, 25)),
    ]
    return tuple(
        Holiday(name=name, day=day, observed=_observed(day))
        for name, day in dates
        if year >= JUNETEENTH_SINCE or day != date(year, 6, 19)
    )


def counts(day: date, calendar: Calendar) -> bool:
    """Whether the day counts in this calendar."""
    match calendar:
        case Calendar.EVERY:
            return True
        case Calendar.SALES:
            return day.weekday() != SUNDAY and day not in {each.day for each in federal_holidays(day.year)}
        case Calendar.OFFICE:
            # New Year's Day of the next year may be kept on the last day of this one.
            kept = {each.observed for year in (day.year, day.year + 1) for each in federal_holidays(year)}
            return day.weekday() < SATURDAY and day not in kept


def cancel_until(signed: date, days: int, calendar: Calendar) -> date:
    """The day at whose midnight the period ends: the so-manieth day that counts after the day of signing.

    Raises DaysFault for no days, or more than MOST_DAYS.
    """
    if not 0 < days <= MOST_DAYS:
        raise DaysFault(f"A period has from 1 to {MOST_DAYS} days, not {days}.")
    day = signed
    while days:
        day += _DAY
        days -= counts(day, calendar)
    return day


def _observed(day: date) -> date:
    if day.weekday() == SATURDAY:
        return day - _DAY
    return day + _DAY if day.weekday() == SUNDAY else day


def _nth(year: int, month: int, weekday: int, number: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (number - 1))


def _last_monday_of_may(year: int) -> date:
    last = date(year, 5, 31)
    return last - timedelta(days=last.weekday())
