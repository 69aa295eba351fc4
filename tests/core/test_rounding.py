"""The only place that rounds."""

from decimal import Decimal, localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.rounding import (
    CONTEXT,
    CurrencyFault,
    StepFault,
    carried,
    ceil_count,
    ceil_to,
    floor_money,
    minor_places,
    round_half_up,
    round_money,
    sig20,
)

amounts = st.decimals(min_value=-(10**9), max_value=10**9, places=6, allow_nan=False)


def test_figures_are_carried_with_28_digits():
    # 2/3 to 28 significant digits
    with localcontext(CONTEXT):
        assert Decimal(2) / 3 == Decimal("0.6666666666666666666666666667")


def test_carrying_cuts_a_longer_figure_to_28_digits():
    assert carried(Decimal("1.00000000000000000000000000049")) == Decimal("1.000000000000000000000000000")


def test_carrying_ignores_the_context_of_the_caller():
    with localcontext() as context:
        context.prec = 3
        assert carried(Decimal("1.23456")) == Decimal("1.23456")


def test_the_guard_keeps_20_digits():
    assert sig20(Decimal("5.000000000000000000000000001")) == Decimal("5")


def test_a_half_goes_away_from_zero():
    assert round_half_up(Decimal("2.5"), 0) == Decimal(3)
    assert round_half_up(Decimal("-2.5"), 0) == Decimal(-3)


def test_no_negative_zero_is_shown():
    assert str(round_half_up(Decimal("-0.004"), 2)) == "0.00"


def test_many_digits_before_the_point_are_no_obstacle():
    assert round_half_up(Decimal("123456789012345678901234567890.125"), 2) == Decimal(
        "123456789012345678901234567890.13"
    )


@pytest.mark.parametrize(("code", "places"), [("USD", 2), ("JPY", 0), ("BHD", 3)])
def test_a_currency_has_its_own_decimals(code: str, places: int):
    # ISO 4217: the minor unit of each
    assert minor_places(code) == places


def test_money_has_exactly_the_decimals_of_its_currency():
    assert str(round_money(Decimal(84), "USD")) == "84.00"
    assert str(round_money(Decimal("84.5"), "JPY")) == "85"


def test_an_unknown_currency_is_refused_by_name():
    with pytest.raises(CurrencyFault, match=r"“XQZ” is not a currency code, such as USD\."):
        round_money(Decimal(1), "XQZ")


def test_a_cap_is_rounded_down():
    # 2,000 ÷ 3 = 666.666…: half up would be a cent over the cap
    assert floor_money(Decimal(2000) / 3, "USD") == Decimal("666.66")


def test_a_cap_that_is_a_whole_cent_stays():
    assert floor_money(Decimal("0.9999999999999999999999999999"), "USD") == Decimal("1.00")


def test_one_part_in_ten_to_the_27_buys_no_sixth_pack():
    assert ceil_count(Decimal("5.000000000000000000000000001")) == 5


def test_a_real_excess_buys_the_next_pack():
    assert ceil_count(Decimal("5.0000001")) == 6


def test_144_square_inches_are_one_square_foot_and_no_more():
    # 144 in² in m², by a reciprocal that no decimal holds
    square_feet = CONTEXT.multiply(Decimal(144) * Decimal("0.00064516"), CONTEXT.divide(1, Decimal("0.09290304")))
    assert ceil_count(square_feet) == 1


def test_rounding_up_to_a_step():
    # 2.731 gal in quarter gallons: 10.924 quarters, so 11 = 2.75
    assert ceil_to(Decimal("2.731"), Decimal("0.25")) == Decimal("2.75")


def test_a_multiple_of_the_step_stays():
    assert ceil_to(Decimal("2500.00"), Decimal("5.00")) == Decimal("2500.00")


def test_thirds_of_a_step_do_not_buy_one_more():
    # three times a third of a gallon, each cut to 28 digits, is short of a whole by the 28th
    third = CONTEXT.divide(1, 3)
    assert ceil_to(Decimal(1), third) == CONTEXT.multiply(3, third)


@pytest.mark.parametrize("step", [Decimal(0), Decimal(-5)])
def test_a_step_of_nothing_is_refused(step: Decimal):
    with pytest.raises(StepFault, match="must be more than zero"):
        ceil_to(Decimal(1), step)


@given(amounts)
def test_rounding_moves_an_amount_by_half_a_cent_at_most(amount: Decimal):
    assert abs(round_money(amount, "USD") - amount) <= Decimal("0.005")


@given(amounts)
def test_rounding_treats_a_refund_as_it_treats_a_charge(amount: Decimal):
    assert round_money(-amount, "USD") == -round_money(amount, "USD")


@given(amounts, st.decimals(min_value="0.01", max_value=1000, places=2))
def test_rounding_up_covers_the_need_with_the_fewest_steps(need: Decimal, step: Decimal):
    covered = ceil_to(need, step)
    assert need <= covered < need + step
