"""Margin against markup, worked by hand. Published pairs stand in tests/published."""

from decimal import Decimal

import pytest

from quoting.core.profit import ProfitFault, margin_of_markup, markup_of_margin
from quoting.core.rounding import round_half_up


def test_a_margin_of_thirty_is_a_markup_of_42_86_per_cent():
    # cost 70, price 100: profit 30; 30 ÷ 70 = 0.428571…
    assert round_half_up(markup_of_margin(Decimal("0.30")), 4) == Decimal("0.4286")


def test_a_markup_of_thirty_is_a_margin_of_23_08_per_cent():
    # cost 100, price 130: profit 30; 30 ÷ 130 = 0.230769…
    assert round_half_up(margin_of_markup(Decimal("0.30")), 4) == Decimal("0.2308")


def test_half_the_price_is_the_whole_cost():
    assert markup_of_margin(Decimal("0.5")) == 1  # cost 50, price 100
    assert margin_of_markup(Decimal(1)) == Decimal("0.5")


def test_nothing_is_nothing_both_ways():
    assert (markup_of_margin(Decimal(0)), margin_of_markup(Decimal(0))) == (0, 0)


def test_no_price_leaves_the_whole_of_itself():
    with pytest.raises(ProfitFault, match="without end"):
        markup_of_margin(Decimal(1))
    with pytest.raises(ProfitFault, match="nothing to pay"):
        margin_of_markup(Decimal(-1))
