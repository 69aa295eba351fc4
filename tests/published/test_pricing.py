"""Prices, taxes and roundings against published figures. EN 16931 means the official examples and unit tests of its
rules.
"""

from decimal import Decimal

import pytest

from quoting.core.pricing import price_of
from quoting.core.rounding import round_money
from quoting.core.scope import Category, Discount, Pricing, Profit, Tax, TaxBase

D = Decimal


def taxed(*lines: tuple[str, str]) -> tuple[Decimal, Decimal]:
    """Net and gross of sums at rates, each group's tax rounded by itself."""
    amounts = []
    for base, rate in lines:
        tax = Tax(name="Tax", rate=D(rate), on=TaxBase.PRICE)
        price = price_of({Category.OTHER: D(base)}, Pricing(profit=Profit(markup=D(0)), tax=(tax,)), "USD")
        amounts.append((price.price, price.total))
    return sum(net for net, _gross in amounts), sum(gross for _net, gross in amounts)


def test_a_markup_of_half_is_a_margin_of_a_third() -> None:
    """Identity: margin = markup ÷ (1 + markup). Cost 100, markup 50 %: price 150, margin 33.33 %."""
    price = price_of({Category.OTHER: D(100)}, Pricing(profit=Profit(markup=D("0.5"))), "USD")
    assert price.price == D("150.00")
    assert abs(price.margin - D("0.3333")) < D("0.00005")


def test_a_margin_of_forty_is_a_markup_of_two_thirds() -> None:
    """Identity. Cost 100, margin 40 %: price 166.67, markup 66.67 %; taking 40 % for a markup would lose 26.67."""
    price = price_of({Category.OTHER: D(100)}, Pricing(profit=Profit(margin=D("0.4"))), "USD")
    assert price.price == D("166.67")
    assert abs(price.markup - D("0.6667")) < D("0.00005")


@pytest.mark.parametrize(
    ("base", "rate", "tax"),
    [
        ("1460.50", "0.25", "365.13"),  # EN 16931 example 2: 365.125; half even would give 365.12
        ("2141.19", "0.021", "44.96"),  # BR-CO-17 test 5: 44.96499; rounding twice would give 44.97
        ("25.00", "0", "0.00"),  # BR-CO-17 test 4, its sum without the sign
    ],
)
def test_tax_rounds_half_up_once(base: str, rate: str, tax: str) -> None:
    net, gross = taxed((base, rate))
    assert gross - net == D(tax)


@pytest.mark.parametrize(("base", "rate", "wrong"), [("1000", "0.25", "251"), ("2141.19", "0.021", "43.91")])
def test_published_taxes_that_are_wrong(base: str, rate: str, wrong: str) -> None:
    """EN 16931, BR-CO-17 tests 9 and 10: sums that must be rejected."""
    net, gross = taxed((base, rate))
    assert gross - net != D(wrong)


def test_a_negative_tax_rounds_away_from_zero() -> None:
    """EN 16931, BR-CO-17 test 2: −6,491.34 × 25 % = −1,622.835 → −1,622.84."""
    assert round_money(D("-6491.34") * D("0.25"), "USD") == D("-1622.84")


def test_tax_on_sums_at_two_rates() -> None:
    """EN 16931 example 1: 183.23 at 6 % and 46.37 at 21 %: 10.99 + 9.74; net 229.60, gross 250.33."""
    assert taxed(("183.23", "0.06"), ("46.37", "0.21")) == (D("229.60"), D("250.33"))


def test_a_chain_with_allowance_charge_and_prepayment() -> None:
    """EN 16931 example 2: lines 1,436.50, allowance 100, charge 100; taxes 365.28; gross 1,801.78; paid 1,000, due
    801.78.
    """
    costs = {Category.MATERIALS: D("1436.50"), Category.OTHER: D("100.00")}
    rules = Pricing(profit=Profit(markup=D(0)), discount=Discount(amount=D("100.00")))
    net = price_of(costs, rules, "USD").price
    # its bases: 1,460.50 at 25 %, 1.00 at 15 %, −25.00 at 0 %
    parts = [
        round_money(D(base) * D(rate), "USD") for base, rate in (("1460.50", "0.25"), ("1.00", "0.15"), ("-25", "0"))
    ]
    assert (net, parts) == (D("1436.50"), [D("365.13"), D("0.15"), D("0.00")])
    assert (net + sum(parts), net + sum(parts) - 1000) == (D("1801.78"), D("801.78"))


@pytest.mark.parametrize(
    ("quantity", "price", "base", "amount"),
    [
        ("132", "15.24", "12", "167.64"),
        ("16000", "0.00880", "1", "140.80"),
        ("16000", "0.00101", "1", "16.16"),
        ("1", "441.00", "12", "36.75"),
        ("1", "678.00", "12", "56.50"),
    ],
)
def test_prices_a_base_quantity(quantity: str, price: str, base: str, amount: str) -> None:
    """EN 16931 example 8: unit prices with up to five decimals, and prices a dozen or a year."""
    assert round_money(D(quantity) * D(price) / D(base), "USD") == D(amount)


@pytest.mark.parametrize(
    ("gross", "paid", "rounding", "due"),
    [("1200.78", "1000", "0.22", "201"), ("1200.22", "0", "-0.22", "1200"), ("12829.69", "12829.69", "0", "0")],
)
def test_what_is_due(gross: str, paid: str, rounding: str, due: str) -> None:
    """EN 16931, BR-CO-16 tests: due = gross − paid + rounding."""
    assert round_money(D(gross) - D(paid) + D(rounding), "USD") == D(due)


def test_sums_with_a_negative_line() -> None:
    """EN 16931, BR-CO-10 tests: 110.00 − 90.00 = 20; −110.00 + 90.00 = −20; 200.01 for 110 + 90 is an error."""
    assert round_money(D("110.00") - D("90.00"), "USD") == D("20.00")
    assert round_money(D("-110.00") + D("90.00"), "USD") == D("-20.00")
    assert price_of(
        {Category.MATERIALS: D("110.00"), Category.OTHER: D("90.00")}, Pricing(profit=Profit(markup=D(0))), "USD"
    ).price != D("200.01")
