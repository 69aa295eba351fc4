"""Days of work, and those on which nobody comes."""

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.visits import DayRules, PlanFault, next_days, working_day

FRIDAY = date(2026, 5, 1)
WEEK = DayRules(weekdays_off=frozenset({5, 6}), off=frozenset({date(2026, 5, 4)}))


def test_the_hours_of_a_day_leave_out_setting_up():
    assert DayRules(arriving=Decimal("0.5")).window == Decimal("7.5")


def test_a_day_off_is_passed_over():
    # Saturday and Sunday, then a holiday on Monday the 4th
    assert working_day(date(2026, 5, 2), WEEK) == date(2026, 5, 5)


def test_the_next_working_days():
    assert next_days(FRIDAY, 2, WEEK) == [date(2026, 5, 5), date(2026, 5, 6)]


def test_a_year_without_work_is_refused():
    never = DayRules(weekdays_off=frozenset(range(7)))
    with pytest.raises(PlanFault, match="no day of work"):
        working_day(FRIDAY, never)
