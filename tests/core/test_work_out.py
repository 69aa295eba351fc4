"""The whole calculation: one scope worked by hand, and what must hold for any."""

from copy import deepcopy
from decimal import Decimal, getcontext, localcontext
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.scope import Category
from quoting.core.scope_file import ScopeFaults, read_scope, scope_from_data, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings_file import write_workings
from tests.sample_scopes import everything, pool_deck

D = Decimal


def test_the_pool_deck_by_hand() -> None:
    """464 − 9π = 435.7257 ft²; ÷ 220 + 0.5 = 2.48057 h × 39.00 = 96.74; 488.0127 ÷ 150 × 1.05 = 3.416 → 3.5 gal → 21
    oz.

    Two 1 lb packs at 21.50 = 43.00. Direct 43.00 + 96.74 + 95.00 = 234.74; × 0.15 = 35.21; cost 269.95; ÷ 0.7 =
    385.64; minimum 650.00. Materials 43.00 ÷ 234.74 of 650.00 = 119.07, × 0.0625 = 7.44.
    """
    price = work_out(scope_from_data(pool_deck())).price.of
    assert (price.direct, price.overhead, price.cost) == (D("234.74"), D("35.21"), D("269.95"))
    assert (price.computed, price.price) == (D("385.64"), D("650.00"))
    assert price.shares[Category.MATERIALS] == D("119.07")
    assert price.total == D("657.44")


def test_a_material_of_several_steps_is_bought_once() -> None:
    workings = work_out(scope_from_data(everything()))
    tape = next(material for material in workings.materials if material.material == "tape")
    parts = [use.need for step in workings.steps for use in step.materials if use.material == "tape"]
    assert len(parts) == 2
    assert tape.need == sum(parts)
    assert [(bought.pack.size.text, bought.count) for bought in tape.bought] == [("6 each", 3)]


def test_a_shared_material_falls_on_the_areas_by_need() -> None:
    """Two areas of 100 and 300 ft², one 1 gal pack at 58.00 for both: a quarter and three quarters of the price."""
    data = pool_deck()
    data["areas"] = [
        {"name": name, "parts": [{"shape": "rectangle", "length": "10 ft", "width": width}]}
        for name, width in (("Small", "10 ft"), ("Large", "30 ft"))
    ]
    data["materials"] = {"sealer": {"name": "Sealer", "packs": [{"size": "1 gal", "price": "58.00"}]}}
    use = {"by": "coverage", "coverage": "400 ft**2/gal"}
    data["work"] = [{"step": "Seal", "areas": ["Small", "Large"], "materials": [{"material": "sealer", "use": use}]}]
    data["charges"], data["pricing"] = [], {"profit": {"markup": "0"}}
    assert work_out(scope_from_data(data)).price.by_area == (("Small", D("14.50")), ("Large", D("43.50")))


def test_a_price_without_work_falls_on_the_areas_by_size() -> None:
    data = pool_deck()
    data["areas"] = [
        {"name": name, "parts": [{"shape": "measured", "area": area}]}
        for name, area in (("Small", "100 ft^2"), ("Large", "300 ft^2"))
    ]
    data["work"] = []
    assert work_out(scope_from_data(data)).price.by_area == (("Small", D("162.50")), ("Large", D("487.50")))


def test_price_per_square_foot() -> None:
    workings = work_out(scope_from_data(pool_deck()))
    assert round(workings.price_per_area, 4) == D("1.4918")  # 650 ÷ 435.7257


@pytest.mark.parametrize("data", [pool_deck(), everything()])
def test_shares_add_up_to_the_price(data: dict[str, Any]) -> None:
    price = work_out(scope_from_data(data)).price
    assert sum(price.of.shares.values()) == price.of.price
    assert sum(amount for _area, amount in price.by_area) == price.of.price
    assert price.of.total == price.of.price + sum(tax.amount for tax in price.of.taxes)


def test_units_change_how_figures_are_shown_and_nothing_else() -> None:
    us, metric = (work_out(scope_from_data(everything() | {"units": units})) for units in ("us", "metric"))
    assert us.price.of == metric.price.of
    assert [area.net for area in us.areas] == [area.net for area in metric.areas]


def test_a_frozen_scope_gives_the_same_workings_to_the_last_digit() -> None:
    scope = scope_from_data(everything())
    assert write_workings(work_out(read_scope(write_scope(scope)))) == write_workings(work_out(scope))


def test_the_callers_decimal_context_is_of_no_account() -> None:
    scope = scope_from_data(everything())
    expected = write_workings(work_out(scope))
    with localcontext() as context:
        context.prec = 6
        assert write_workings(work_out(scope)) == expected
    assert getcontext().prec == 28


def test_pack_sizes_that_can_not_be_solved_are_a_fault_with_its_place() -> None:
    data = pool_deck()
    sizes = [1 + Decimal(n * n + 1) / 1_000_000 for n in range(1, 9)]
    packs = [{"size": f"{size} L", "price": str(size)} for size in sizes]
    data["materials"] = {"odd": {"name": "Odd", "packs": packs}}
    use = {"by": "coverage", "coverage": "0.02 m**2/L"}
    data["work"][0]["materials"] = [{"material": "odd", "use": use}]
    with pytest.raises(ScopeFaults) as caught:
        work_out(scope_from_data(data))
    assert [fault.place for fault in caught.value.faults] == ["materials.odd.packs"]


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 400), st.integers(1, 400), st.integers(1, 100))
def test_more_area_never_costs_less(tenths: int, more: int, width: int) -> None:
    def price(length: int) -> Decimal:
        data = everything()
        data["areas"][0]["parts"][0] |= {"length": f"{Decimal(length) / 10} ft", "width": f"{width} ft"}
        data["pricing"]["discount"] = "0"
        return work_out(scope_from_data(data)).price.of.price

    assert price(tenths) <= price(tenths + more)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 100), st.integers(1, 60), st.sampled_from(["0.000001", "0.5", "999999999"]))
def test_absurd_figures_give_workings_or_a_fault(length: int, strength: int, number: str) -> None:
    """From a film of a thousandth of a mil to a pond: nothing raises but ScopeFaults."""
    data = everything()
    data["areas"][0]["parts"][0]["length"] = f"{length * 300} ft"
    for step in data["work"]:
        for each in step["materials"]:
            use = each["use"]
            if "coverage" in use:
                unit = use["coverage"].split(" ")[1]
                each["use"] = use | {"coverage": f"{number} {unit}"}
            if "strength" in use:
                each["use"] |= {"strength": f"{strength * 999999} lb/gal", "batch_step": "0.000001 mL"}
    data["crew"]["hourly_cost"] = "999999999.999999"
    try:
        price = work_out(scope_from_data(deepcopy(data))).price.of.price
    except ScopeFaults:
        return
    assert price >= 0
