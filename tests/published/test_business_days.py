"""Deadlines and holidays against the rules that are published; tests of the arithmetic, never advice."""

from datetime import date

import pytest

from quoting.core.business_days import Calendar, cancel_until, counts, federal_holidays


@pytest.mark.parametrize(
    ("signed", "until"),
    [
        (date(2025, 8, 1), date(2025, 8, 5)),  # Fri 1 Aug: Sat 2, Mon 4, Tue 5
        (date(2025, 11, 26), date(2025, 12, 1)),  # Wed; Thu 27 is Thanksgiving: Fri 28, Sat 29, Mon 1 Dec
        (date(2025, 12, 23), date(2025, 12, 27)),  # Tue: Wed 24, Fri 26, Sat 27; Thu 25 is Christmas Day
    ],
)
def test_midnight_of_the_third_business_day(signed: date, until: date) -> None:
    """16 CFR 429.1(a); that Saturday counts, and Sundays and federal holidays do not: 16 CFR 429.0(f), from memory."""
    assert cancel_until(signed, 3, Calendar.SALES) == until


@pytest.mark.parametrize("day", [date(2026, 7, 3), date(2020, 7, 3), date(2022, 6, 20)])
def test_the_day_on_which_a_holiday_is_kept_is_a_business_day(day: date) -> None:
    """After 12 CFR 1026.2(a)(6) and comment 2: only the calendar date of the holiday is left out."""
    assert counts(day, Calendar.SALES)
    assert not counts(day, Calendar.OFFICE)


def test_the_holidays_of_2025_by_their_rules() -> None:
    """5 U.S.C. 6103(a)."""
    assert [each.day for each in federal_holidays(2025)] == [
        date(2025, 1, 1),
        date(2025, 1, 20),  # third Monday of January
        date(2025, 2, 17),  # third Monday of February
        date(2025, 5, 26),  # last Monday of May
        date(2025, 6, 19),
        date(2025, 7, 4),
        date(2025, 9, 1),  # first Monday of September
        date(2025, 10, 13),  # second Monday of October
        date(2025, 11, 11),
        date(2025, 11, 27),  # fourth Thursday of November
        date(2025, 12, 25),
    ]


def test_a_holiday_at_the_weekend_is_kept_beside_it() -> None:
    """5 U.S.C. 6103(b) and E.O. 11582, section 3(a): Saturday on the Friday before, Sunday on the Monday after."""
    kept = {each.day: each.observed for each in (*federal_holidays(2026), *federal_holidays(2022))}
    assert kept[date(2026, 7, 4)] == date(2026, 7, 3)
    assert kept[date(2022, 6, 19)] == date(2022, 6, 20)
    assert kept[date(2022, 12, 25)] == date(2022, 12, 26)
