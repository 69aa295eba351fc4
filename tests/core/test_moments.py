"""Times of a crew's day."""

from datetime import date, time
from decimal import Decimal

import pytest

from quoting.core.moments import Moment

D = Decimal
FRIDAY = date(2026, 5, 1)


def test_drying_goes_on_overnight():
    assert Moment(FRIDAY, D(16)).later(D(36)) == Moment(date(2026, 5, 3), D(4))


def test_hours_between_two_moments():
    assert Moment(FRIDAY, D(16)).hours_until(Moment(date(2026, 5, 3), D(4))) == 36


def test_earlier_comes_first():
    assert Moment(FRIDAY, D(16)) < Moment(date(2026, 5, 2), D(8))


@pytest.mark.parametrize(
    ("hour", "shown"), [("8", time(8)), ("10.1666666666", time(10, 10)), ("23.9999", time(23, 59))]
)
def test_as_a_clock_shows_it(hour: str, shown: time):
    assert Moment(FRIDAY, D(hour)).clock == shown


@pytest.mark.parametrize(
    ("hour", "shown"),
    [
        # 10 h 37 min are 637 minutes: 42 quarters are 630, 43 are 645, which is 10:45
        ("10.6166666666", time(10, 45)),
        ("10.5000000001", time(10, 30)),  # to the minute first: 10:30 is a quarter already
        ("8", time(8)),
        ("23.8", time(23, 59)),  # 23:48: the next quarter is the next day
    ],
)
def test_as_a_day_is_planned(hour: str, shown: time):
    assert Moment(FRIDAY, D(hour)).clock_up(15) == shown
