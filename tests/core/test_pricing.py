"""Cost to price to taxes, in order, each rounding where it stands."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.pricing import Price, price_of, split_exactly
from quoting.core.scope import Category, Charge, Discount, Pricing, Profit, Tax, TaxBase

D = Decimal


def priced(currency: str = "USD", costs: dict[Category, str] | None = None, **pricing: Any) -> Price:
    """A price of 600 for materials and 400 for labour, at a margin of 30 % unless said otherwise."""
    direct = costs if costs is not None else {Category.MATERIALS: "600.00", Category.LABOUR: "400.00"}
    rules = {"profit": Profit(margin=D("0.3"))} | pricing
    return price_of({category: D(cost) for category, cost in direct.items()}, Pricing(**rules), currency)


def test_overhead_is_a_cost() -> None:
    price = priced(overhead=D("0.15"))
    assert (price.direct, price.overhead, price.cost) == (D(1000), D("150.00"), D(1150))


def test_a_margin_is_in_the_price() -> None:
    price = priced(profit=Profit(margin=D("0.2")))
    assert (price.price, price.profit, price.margin, price.markup) == (D(1250), D(250), D("0.2"), D("0.25"))


def test_a_markup_is_on_the_cost() -> None:
    price = priced(profit=Profit(markup=D("0.2")))
    assert (price.price, price.profit, price.markup) == (D(1200), D(200), D("0.2"))


def test_the_minimum_comes_before_rounding_up() -> None:
    price = priced(minimum=D("1502.00"), round_to=D("5.00"))
    assert (price.computed, price.raised, price.rounded) == (D("1428.57"), D("1502.00"), D("1505.00"))


def test_a_price_that_is_a_multiple_already_stays() -> None:
    assert priced(profit=Profit(margin=D("0.2")), round_to=D("5.00")).price == D("1250.00")


def test_the_discount_comes_off_the_rounded_price() -> None:
    price = priced(round_to=D("5.00"), discount=Discount(rate=D("0.05")))
    assert (price.rounded, price.discount, price.price) == (D("1430.00"), D("71.50"), D("1358.50"))


def test_a_discount_is_never_more_than_the_price() -> None:
    price = priced(discount=Discount(amount=D("9999.00")))
    assert (price.price, price.total, price.margin) == (D(0), D(0), None)


def test_taxes_are_rounded_one_by_one_on_their_own_bases() -> None:
    # price 1250.00, of which materials 750.00 and labour 500.00; 750 × 0.0625 = 46.875
    taxes = tuple(
        Tax(name=name, rate=D(rate), on=on)
        for name, rate, on in [
            ("State", "0.0625", TaxBase.MATERIALS),
            ("City", "0.01", TaxBase.LABOUR),
            ("County", "0.0015", TaxBase.PRICE),
            ("Exempt", "0.05", TaxBase.NONE),
        ]
    )
    price = priced(profit=Profit(margin=D("0.2")), tax=taxes)
    assert [(tax.base, tax.amount) for tax in price.taxes] == [
        (D("750.00"), D("46.88")),
        (D("500.00"), D("5.00")),
        (D("1250.00"), D("1.88")),
        (D("0.00"), D("0.00")),
    ]
    assert price.total == D("1303.76")


def test_a_currency_without_minor_units_has_none() -> None:
    price = priced("JPY", overhead=D("0.155"))
    assert [str(amount) for amount in (price.overhead, price.price)] == ["155", "1650"]


def test_a_bare_minimum_is_no_category_but_other() -> None:
    price = priced(costs={}, minimum=D("650.00"))
    assert (price.shares[Category.OTHER], price.markup) == (D("650.00"), None)


def test_shares_go_by_largest_remainder() -> None:
    # 100.00 by 1:1:1 is 33.33 each with a cent left, which goes to the first of equal remainders
    assert split_exactly(D("100.00"), [D(1)] * 3, "USD") == (D("33.34"), D("33.33"), D("33.33"))
    # 10.00 by 1:2:4 is 1.428…, 2.857…, 5.714…: two cents are left, for .857 and .714 of one
    assert split_exactly(D("10.00"), [D(1), D(2), D(4)], "USD") == (D("1.43"), D("2.86"), D("5.71"))


def test_nothing_never_gets_a_cent() -> None:
    assert split_exactly(D("0.05"), [D(0), D(1), D(1), D(0)], "USD") == (D("0.00"), D("0.03"), D("0.02"), D("0.00"))


@given(
    st.decimals(0, 10**7, places=2),
    st.lists(st.decimals(0, 10**6, places=4), min_size=1, max_size=30).filter(any),
)
def test_shares_always_add_up_and_lie_within_a_cent(total: Decimal, weights: list[Decimal]) -> None:
    parts = split_exactly(total, weights, "USD")
    assert sum(parts) == total
    whole = sum(weights)
    assert all(abs(part - total * weight / whole) < D("0.01") for part, weight in zip(parts, weights, strict=True))


@pytest.mark.parametrize("step", ["0.05", "5.00", "7.00"])
@given(cents=st.integers(0, 10**8))
def test_rounding_up_never_goes_down_and_never_a_whole_step(step: str, cents: int) -> None:
    price = priced(costs={Category.OTHER: str(D(cents) / 100)}, profit=Profit(markup=D(0)), round_to=D(step))
    assert 0 <= price.rounded - price.computed < D(step)
    assert price.rounded % D(step) == 0


def test_a_share_of_direct_cost_is_a_cost_of_its_category() -> None:
    costs = {Category.MATERIALS: D("600.00"), Category.LABOUR: D("400.05")}
    charges = (
        Charge(name="Contingency", category=Category.OTHER, share=D("0.2")),
        Charge(name="Small tools", category=Category.EQUIPMENT, share=D("0.01")),
        Charge(name="Travel", category=Category.EQUIPMENT, amount=D("95.00")),  # in the costs already
    )
    price = price_of(costs, Pricing(profit=Profit(markup=D(0))), "USD", charges)
    # 1,000.05 × 0.2 = 200.01; 1,000.05 × 0.01 = 10.0005 → 10.00; neither is reckoned on the other
    assert [(each.base, each.amount) for each in price.shared] == [
        (D("1000.05"), D("200.01")),
        (D("1000.05"), D("10.00")),
    ]
    assert (price.direct_by_category[Category.OTHER], price.direct_by_category[Category.EQUIPMENT]) == (
        D("200.01"),
        D("10.00"),
    )
    assert (price.direct, price.before_shares, price.price) == (D("1210.06"), D("1000.05"), D("1210.06"))
