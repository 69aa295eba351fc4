"""Interest on late payment by two rules: simple by days, or compounding by whole months with simple days after them.

The rules are those of the federal Prompt Payment regulation, 5 CFR 1315.17, which is public and has worked examples. A
firm's own contract and the law of its place say whether, from when and at what rate interest may be asked for.
"""

from __future__ import annotations

import calendar
from datetime import date
from decimal import Decimal

from quoting.core.rounding import round_money

YEAR_OF_BANKS = 360
MONTHS = 12


class InterestFault(ValueError):
    """These figures give no interest; the sentence says why."""


def simple_interest(
    principal: Decimal, rate: Decimal, days: int, currency: str, *, year_days: int = YEAR_OF_BANKS
) -> Decimal:
    """Principal × rate × days ÷ days of the year, half up once at the end; the rate is never rounded."""
    _check(principal, rate, days, year_days)
    return round_money(principal * rate * days / year_days, currency)


def compound_interest(
    principal: Decimal, rate: Decimal, months: int, days: int, currency: str, *, year_days: int = YEAR_OF_BANKS
) -> Decimal:
    """Principal × (1 + rate ÷ 12)^months × (1 + rate × days ÷ days of the year) − principal, half up once."""
    _check(principal, rate, min(months, days), year_days)
    grown = principal * (1 + rate / MONTHS) ** months * (1 + rate * days / year_days)
    return round_money(grown - principal, currency)


def months_and_days(due_on: date, paid_on: date) -> tuple[int, int]:
    """Whole months, and the days after them, from the day due to the day paid: 31 January to 1 March is 1 and 1."""
    if paid_on <= due_on:
        return 0, 0
    months = (paid_on.year - due_on.year) * MONTHS + paid_on.month - due_on.month
    if _months_on(due_on, months) > paid_on:
        months -= 1
    return months, (paid_on - _months_on(due_on, months)).days


def late_interest(
    principal: Decimal, rate: Decimal, due_on: date, paid_on: date, currency: str, *, compounding: bool = False,
    year_days: int = YEAR_OF_BANKS,
) -> Decimal:  # fmt: skip
    """What is asked for a sum paid after its day. The day it was due does not count, the day it is paid does.

    Compounding begins with the second month; up to 30 days both rules are the simple one.
    """
    days = max((paid_on - due_on).days, 0)
    if not compounding or days <= 30:
        return simple_interest(principal, rate, days, currency, year_days=year_days)
    months, rest = months_and_days(due_on, paid_on)
    return compound_interest(principal, rate, months, rest, currency, year_days=year_days)


def _months_on(day: date, months: int) -> date:
    """The same day so many months on; the last day of a month that is too short."""
    year, month = divmod(day.year * MONTHS + day.month - 1 + months, MONTHS)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _check(principal: Decimal, rate: Decimal, least: int, year_days: int) -> None:
    if principal < 0 or rate < 0 or least < 0 or year_days <= 0:
        raise InterestFault("Interest needs a sum, a rate and days that are not below nothing.")
