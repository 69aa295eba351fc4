"""Man-days and what a crew can do against outside sources."""

from decimal import Decimal

from quoting.core.man_days import EFFICIENCY, capability, day_equivalent, delay_factor, man_days
from quoting.core.rounding import round_half_up

D = Decimal


def test_worked_man_days():
    # NAVEDTRA 14045, Builder Advanced, chapter 2: 16,000 ft², 33 man-hours per 1,000 ft²: 66 × delay factor
    assert man_days(D(16000), D(1000), D(33)) == 66


def test_man_days_with_delay():
    # the same: 66 × 1.06 = 69.96, planned as 70
    assert man_days(D(16000), D(1000), D(33), D("1.06")) == D("69.96")


def test_the_delay_factor_of_66_to_70():
    # worked out from the same: 70 ÷ 66 = 1.0606
    assert round_half_up(delay_factor(D(66), D(70)), 2) == D("1.06")


def test_a_day_with_seven_and_a_half_productive_hours():
    # the same, from memory: lunch 1 h, travel 1 h, breaks 0.5 h of a 10-h day leave 7.5; 7.5 ÷ 8 = 0.9375
    assert day_equivalent(D(10) - 1 - 1 - D("0.5")) == D("0.9375")


def test_a_nine_hour_day():
    # NAVEDTRA 14233, chapter 2: 9 ÷ 8 = 1.125
    assert day_equivalent(D(9)) == D("1.125")


def test_the_capability_of_twelve_for_nine_days():
    # NAVEDTRA 14045, p. 2-28: 12 × 9 × 0.9375 × 0.75 = 75.9, enough for 70
    assert round_half_up(capability(D(12), D(9), D("0.9375"), D("0.75")), 1) == D("75.9")


def test_the_efficiency_to_plan_with():
    # NAVEDTRA 14045, table 2-4
    assert D("0.67") == EFFICIENCY
