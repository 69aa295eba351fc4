"""Man-days."""

from decimal import Decimal

import pytest

from quoting.core.man_days import ManDaysFault, delay_factor, man_days

D = Decimal


def test_a_small_patio_in_man_days():
    # 800 ft² ÷ 100 ft² × 2 h ÷ 8 h × 1.25 = 2.5
    assert man_days(D(800), D(100), D(2), D("1.25")) == D("2.5")


def test_hours_for_nothing_are_refused():
    with pytest.raises(ManDaysFault, match="unit of more than nothing"):
        man_days(D(1), D(0), D(1))


def test_a_delay_of_nothing_is_refused():
    with pytest.raises(ManDaysFault, match="more than no man-days"):
        delay_factor(D(0), D(1))
