"""What ticking comes to: the option and what each add-on truly adds."""

from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.offers import OfferFault, OfferLine, OfferTotal, added_by, offer_total, ticking_faults
from quoting.core.pricing import price_of
from quoting.core.scope import Category, Pricing, Profit, Tax, TaxBase
from quoting.core.workings import PriceFigure

D = Decimal
STATE = Tax(name="State", rate=D("0.0625"), on=TaxBase.MATERIALS)
COUNTY = Tax(name="County", rate=D("0.01"), on=TaxBase.PRICE)


def figure(
    materials: str, labour: str, *, minimum: str = "0", taxes: tuple[Tax, ...] = (STATE,), currency: str = "USD"
) -> PriceFigure:
    """A price of these costs with a markup of one half."""
    pricing = Pricing(profit=Profit(markup=D("0.5")), minimum=D(minimum), tax=taxes)
    price = price_of({Category.MATERIALS: D(materials), Category.LABOUR: D(labour)}, pricing, currency)
    return PriceFigure(of=price, pricing=pricing, currency=currency, by_area=())


def test_the_option_and_its_add_ons_by_hand() -> None:
    """Option: (200 + 400) × 1.5 = 900; materials' share 300, × 0.0625 = 18.75.

    With grit: (216 + 400) × 1.5 = 924; share 324, tax 20.25: 24.00 and 1.50 more.
    With steps: (230 + 480) × 1.5 = 1,065; share 345, tax 21.5625 → 21.56: 165.00 and 2.81 more.
    In all 900 + 24 + 165 = 1,089.00; tax 18.75 + 1.50 + 2.81 = 23.06; 1,112.06.
    """
    found = offer_total(figure("200.00", "400.00"), [figure("216.00", "400.00"), figure("230.00", "480.00")])
    assert found == OfferTotal(
        lines=(
            OfferLine(price=D("900.00"), taxes=(("State", D("18.75")),), total=D("918.75")),
            OfferLine(price=D("24.00"), taxes=(("State", D("1.50")),), total=D("25.50")),
            OfferLine(price=D("165.00"), taxes=(("State", D("2.81")),), total=D("167.81")),
        ),
        price=D("1089.00"),
        taxes=(("State", D("23.06")),),
        total=D("1112.06"),
    )


def test_nothing_ticked_is_the_option() -> None:
    option = figure("200.00", "400.00")
    found = offer_total(option, [])
    assert (found.price, found.total) == (option.of.price, option.of.total)


def test_an_add_on_under_the_minimum_adds_nothing_but_its_tax_moves() -> None:
    """Minimum 900. (100 + 100) and (100 + 200): 900 each; the materials' share goes from 450.00 to 300.00.

    Tax 28.125 → 28.13 and 18.75: a difference of −9.38, which is shown.
    """
    line = added_by(figure("100.00", "100.00", minimum="900"), figure("100.00", "200.00", minimum="900"))
    assert line == OfferLine(price=D("0.00"), taxes=(("State", D("-9.38")),), total=D("-9.38"))
    assert line.tax == D("-9.38")


def test_taxes_are_kept_apart_by_name() -> None:
    """(200 + 400) × 1.5 = 900, × 0.01 = 9.00; (216 + 400) × 1.5 = 924 → 9.24."""
    both = (STATE, COUNTY)
    found = offer_total(figure("200.00", "400.00", taxes=both), [figure("216.00", "400.00", taxes=both)])
    assert found.taxes == (("State", D("20.25")), ("County", D("9.24")))


def test_a_tax_below_nothing_is_refused_and_told_before_issuing() -> None:
    """28.13 − 4 × 9.38 = −9.39."""
    option, extra = figure("100.00", "100.00", minimum="900"), figure("100.00", "200.00", minimum="900")
    with pytest.raises(OfferFault, match=r"The tax “State” of some choice .* less than nothing: -9\.39"):
        offer_total(option, [extra] * 4)
    assert len(ticking_faults(option, [extra] * 4)) == 1
    assert ticking_faults(option, [extra] * 2) == ()


def test_what_raises_the_price_does_not_hide_a_choice_that_sinks_it() -> None:
    """600 × 1.5 = 900; two of 200 × 1.5 = 300 take 600 off each; one of 1,200 × 1.5 = 1,800 adds 900."""
    option, less, more = (figure("0", labour, taxes=()) for labour in ("600.00", "200.00", "1200.00"))
    assert offer_total(option, [less, less, more]).total == D("600.00")
    assert ticking_faults(option, [less, less, more]) == (
        "The price of some choice of add-ons would be less than nothing: -300.00.",
    )


def test_two_currencies_make_no_offer() -> None:
    with pytest.raises(OfferFault, match="The option is in USD, and an add-on in EUR"):
        offer_total(figure("1.00", "1.00"), [figure("2.00", "2.00", currency="EUR")])


COSTS = st.decimals(0, 5000, places=2)
FIGURES = st.builds(
    lambda materials, labour: figure(str(materials), str(labour), minimum="650", taxes=(STATE, COUNTY)), COSTS, COSTS
)


@given(FIGURES, st.lists(FIGURES, max_size=4))
def test_every_choice_adds_up_or_is_told_before_issuing(option: PriceFigure, together: list[PriceFigure]) -> None:
    if ticking_faults(option, together):
        return
    for size in range(len(together) + 1):
        for chosen in combinations(together, size):
            found = offer_total(option, chosen)
            assert found.total == sum(line.total for line in found.lines)
            assert found.total == found.price + sum(amount for _name, amount in found.taxes)
            assert found.total == option.of.total + sum(each.of.total - option.of.total for each in chosen)


@given(FIGURES, st.lists(FIGURES, min_size=1, max_size=4))
def test_what_is_told_before_issuing_can_happen(option: PriceFigure, together: list[PriceFigure]) -> None:
    def fails(chosen: tuple[PriceFigure, ...]) -> bool:
        try:
            offer_total(option, chosen)
        except OfferFault:
            return True
        return False

    choices = [chosen for size in range(len(together) + 1) for chosen in combinations(together, size)]
    assert bool(ticking_faults(option, together)) == any(fails(chosen) for chosen in choices)
