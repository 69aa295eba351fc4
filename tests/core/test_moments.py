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
