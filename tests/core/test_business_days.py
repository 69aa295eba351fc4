"""Days that count."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.business_days import Calendar, DaysFault, cancel_until, counts, federal_holidays

DATES = st.dates(date(2000, 1, 1), date(2100, 12, 31))


def test_juneteenth_is_a_holiday_since_2021() -> None:
    """Public Law 117-17, from memory."""
    assert [len(federal_holidays(year)) for year in (2020, 2021)] == [10, 11]


def test_new_years_day_may_be_kept_in_the_year_before() -> None:
    """1 January 2028 is a Saturday."""
    assert federal_holidays(2028)[0].observed == date(2027, 12, 31)
    assert not counts(date(2027, 12, 31), Calendar.OFFICE)
    assert counts(date(2027, 12, 31), Calendar.SALES)


def test_every_day_counts_in_a_plain_period() -> None:
    assert cancel_until(date(2025, 12, 20), 14, Calendar.EVERY) == date(2026, 1, 3)


def test_office_days_leave_weekends_and_observed_holidays_out() -> None:
    """Thursday 2 July 2026; the 3rd keeps the 4th, which is a Saturday; so Mon 6, Tue 7, Wed 8."""
    assert cancel_until(date(2026, 7, 2), 3, Calendar.OFFICE) == date(2026, 7, 8)
    assert cancel_until(date(2026, 7, 2), 3, Calendar.SALES) == date(2026, 7, 7)


@pytest.mark.parametrize("days", [0, -3, 401])
def test_a_period_without_days_is_refused(days: int) -> None:
    with pytest.raises(DaysFault, match="A period has from 1 to 400 days"):
        cancel_until(date(2025, 8, 1), days, Calendar.SALES)


@given(DATES, st.integers(1, 30), st.sampled_from(Calendar))
def test_a_period_ends_on_a_day_that_counts_after_just_so_many(signed: date, days: int, calendar: Calendar) -> None:
    until = cancel_until(signed, days, calendar)
    passed = [signed + timedelta(days=i) for i in range(1, (until - signed).days + 1)]
    assert sum(counts(day, calendar) for day in passed) == days
    assert counts(until, calendar)


@given(DATES, st.integers(1, 10))
def test_what_does_not_count_lengthens_a_period(signed: date, days: int) -> None:
    assert cancel_until(signed, days, Calendar.EVERY) <= cancel_until(signed, days, Calendar.SALES)
