"""What is bought and what it costs, worked by hand for packs of 1 gal at 58.00 and 5 gal at 228.00."""

from decimal import Decimal
from typing import Any

import pytest

from quoting.core.purchases import Purchase, purchase
from quoting.core.scope import Charging, Material, Pack
from quoting.core.units import Dimension, Quantity

D = Decimal


def gallons(amount: str) -> Quantity:
    """Sizes in gallons: what the canonical unit is makes no difference here."""
    return Quantity(D(amount), Dimension.VOLUME, f"{amount} gal")


def bought(need: str, **material: Any) -> Purchase:
    packs = (Pack(size=gallons("1"), price=D(58)), Pack(size=gallons("5"), price=D(228)))
    return purchase(Material(key="sealer", name="Sealer", packs=packs, **material), D(need), "USD")


def test_packs_are_charged_whole() -> None:
    assert bought("4.55") == Purchase(
        taken=D(0), counts=(0, 1), size=D(5), left_over=D("0.45"), cost=D("228.00"), unit_price=D("45.6")
    )


def test_stock_is_used_first_and_charged_at_the_lowest_price() -> None:
    # 5.55 − 1 = 4.55: one of 5 gal at 228.00, and 1 gal of stock at 228 ÷ 5 = 45.60
    found = bought("5.55", on_hand=gallons("1"))
    assert (found.taken, found.counts, found.left_over, found.cost) == (D(1), (0, 1), D("0.45"), D("273.60"))


def test_what_is_used_is_charged_at_the_price_of_the_set() -> None:
    # 6 gal as 1 + 5: 286 ÷ 6 a gallon, × 5.55 used = 264.55
    found = bought("5.55", charge=Charging.USED)
    assert (found.counts, found.cost) == ((1, 1), D("264.55"))


def test_what_is_used_from_stock_alone_is_charged_at_the_lowest_price() -> None:
    found = bought("2", charge=Charging.USED, on_hand=gallons("3"))
    assert (found.counts, found.taken, found.left_over, found.cost) == ((0, 0), D(2), D(1), D("91.20"))


@pytest.mark.parametrize("charge", Charging)
def test_nothing_needed_costs_nothing(charge: Charging) -> None:
    found = bought("0", charge=charge, on_hand=gallons("3"))
    assert (found.cost, found.left_over) == (D("0.00"), D(3))
