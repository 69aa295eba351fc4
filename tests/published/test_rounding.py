"""Half-up rounding against outside sources."""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from quoting.core.rounding import floor_money, round_half_up, round_money


def tax(base: str, rate: str) -> Decimal:
    return round_money(Decimal(base) * Decimal(rate), "EUR")


def test_half_up_and_not_half_even():
    # EN 16931 example 2: 1,460.50 × 25 % = 365.125
    assert tax("1460.50", "0.25") == Decimal("365.13")
    assert Decimal("365.125").quantize(Decimal("0.01"), ROUND_HALF_EVEN) == Decimal("365.12")


def test_half_up_on_a_negative_goes_away_from_zero():
    # EN 16931, BR-CO-17 unit test 2: −6,491.34 × 25 % = −1,622.835
    assert tax("-6491.34", "0.25") == Decimal("-1622.84")


def test_rounding_happens_once():
    # EN 16931, BR-CO-17 unit test 5: 2,141.19 × 2.1 % = 44.96499; over 44.965 it would come to 44.97
    assert tax("2141.19", "0.021") == Decimal("44.96")
    assert round_half_up(round_half_up(Decimal("44.96499"), 3), 2) == Decimal("44.97")


@pytest.mark.parametrize(("base", "rate", "wrong"), [("1000", "0.25", "251"), ("2141.19", "0.021", "43.91")])
def test_taxes_that_the_rule_rejects(base: str, rate: str, wrong: str):
    # EN 16931, BR-CO-17 unit tests 9 and 10
    assert tax(base, rate) != Decimal(wrong)


def test_a_zero_rate_is_no_tax_and_no_negative_zero():
    # EN 16931, BR-CO-17 unit tests 4, 6, 8: −25.00 at 0 %
    assert str(tax("-25.00", "0")) == "0.00"


def test_tax_on_two_rates():
    # EN 16931 example 1: 183.23 at 6 % and 46.37 at 21 %
    assert tax("183.23", "0.06") + tax("46.37", "0.21") == Decimal("20.73")


def test_tax_on_three_rates_with_a_negative():
    # EN 16931 example 2: 1,460.50 at 25 %, 1.00 at 15 %, −25.00 at 0 %
    assert tax("1460.50", "0.25") + tax("1.00", "0.15") + tax("-25.00", "0") == Decimal("365.28")


@pytest.mark.parametrize(
    ("value", "places", "rounded"),
    [
        ("1.2345", 2, "1.23"),
        ("1.2355", 2, "1.24"),
        ("9.9999", 2, "10.00"),
        ("0.009", 2, "0.01"),
        ("352364.506", 2, "352364.51"),
        ("-352364.506", 2, "-352364.51"),
        ("-0.5", 0, "-1"),
        ("7.8", 0, "8"),
        ("2.17", 1, "2.2"),
    ],
)
def test_half_up_vectors(value: str, places: int, rounded: str):
    # General Decimal Arithmetic testcases, quantize.decTest 2.56: quax093-099, 380, 384, 038, 365, 062
    assert str(round_half_up(Decimal(value), places)) == rounded


@pytest.mark.parametrize(
    ("value", "places", "even", "up"),
    [
        ("6.9749515", 2, "6.97", "6.97"),
        ("6.9749515", 4, "6.9750", "6.9750"),
        ("6.9749515", 6, "6.974952", "6.974952"),
        ("6.9749505", 6, "6.974950", "6.974951"),
    ],
)
def test_money_does_not_round_as_measurements_do(value: str, places: int, even: str, up: str):
    # NIST SP 811, Appendix B.7.1, rounds a measurement half to even; money parts from it in the last row
    assert str(Decimal(value).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)) == even
    assert str(round_half_up(Decimal(value), places)) == up


def test_late_interest_for_ten_days():
    # 5 CFR 1315.17: $1,500 at 6.5 % for 10 days of a 360-day year
    assert round_money(Decimal(1500) * Decimal("0.065") / 360 * 10, "USD") == Decimal("2.71")


def test_a_rate_is_not_rounded_on_the_way():
    # the Fiscal Service's page works with .066 and prints 2.75; 6.625 % gives 2.7604
    assert round_money(Decimal(1500) * Decimal("0.06625") / 360 * 10, "USD") == Decimal("2.76")


@pytest.mark.parametrize(("price", "cap"), [("1000.00", "333.33"), ("2000.00", "666.66")])
def test_a_third_at_most_is_rounded_down(price: str, cap: str):
    # Md. Bus. Reg. 8-617 and 10 M.R.S. 1487: at most a third; half up would be 666.67, over the cap
    assert floor_money(Decimal(price) / 3, "USD") == Decimal(cap)


@pytest.mark.parametrize(
    ("quantity", "price", "amount"),
    [("132", "15.24", "167.64"), ("1", "441.00", "36.75"), ("1", "678.00", "56.50")],
)
def test_a_price_for_a_dozen(quantity: str, price: str, amount: str):
    # EN 16931 example 8: 132 at 15.24 per 12; yearly prices for one month
    assert round_money(Decimal(quantity) * Decimal(price) / 12, "EUR") == Decimal(amount)


@pytest.mark.parametrize(("price", "amount"), [("0.00880", "140.80"), ("0.00101", "16.16")])
def test_a_unit_price_of_five_decimals(price: str, amount: str):
    # EN 16931 example 8: 16,000 units
    assert round_money(16000 * Decimal(price), "EUR") == Decimal(amount)
