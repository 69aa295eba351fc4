"""Changing what is agreed: taken out, added, shared, and what the difference comes to. Worked by hand."""

import json
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from quoting.core.change_orders import (
    ChangeFault,
    Stages,
    agreed_price,
    by_itself,
    change_of,
    charges_for,
    given_outright,
    outright,
    shared_between,
    visits_in,
    with_prices_of,
    with_work_of,
    without,
)
from quoting.core.contracts import Agreed, AreaLine, TaxShare
from quoting.core.scope import Category, Charge, Scope
from quoting.core.scope_file import read_scope, write_scope
from quoting.core.work_out import work_out

SEALER = {"name": "Sealer", "packs": [{"size": "1 gal", "price": "60.00"}]}
TRAVEL = {"name": "Travel, 2 visits", "category": "equipment", "amount": "80.00"}


def step(name: str, areas: list[str], visit: int, setup: str = "0.5 hour") -> dict[str, Any]:
    """A hundred square feet an hour, and a gallon of sealer on two hundred."""
    return {
        "step": name,
        "areas": areas,
        "visit": visit,
        "labour": {"rate": "100 ft**2/hour", "setup": setup},
        "materials": [{"material": "sealer", "use": {"by": "coverage", "coverage": "200 ft**2/gal", "coats": 1}}],
    }


def scope(areas: dict[str, int], work: list[dict[str, Any]], charges: list[dict[str, Any]], **pricing: Any) -> Scope:
    """A job at cost, 40.00 an hour, taxed 10 % on the price unless said otherwise."""
    data = {
        "format": 1,
        "title": "Reseal",
        "currency": "USD",
        "units": "us",
        "areas": [
            {"name": name, "parts": [{"shape": "rectangle", "length": f"{size} ft", "width": "1 ft"}]}
            for name, size in areas.items()
        ],
        "materials": {"sealer": SEALER},
        "work": work,
        "crew": {"size": 2, "hourly_cost": "40.00"},
        "charges": charges,
        "pricing": {
            "profit": {"markup": "0"},
            "tax": [{"name": "State", "rate": "0.1", "on": "price"}],
            **pricing,
        },
    }
    return read_scope(json.dumps(data))


DECK = scope({"Deck": 300, "Steps": 100}, [step("Seal", ["Deck", "Steps"], 1), step("Top", ["Deck"], 2)], [TRAVEL])
WALK = scope({"Walk": 100}, [step("Seal", ["Walk"], 1)], [TRAVEL | {"name": "Travel", "amount": "40.00"}])


def test_an_area_taken_out_takes_its_work_with_it() -> None:
    left = without(DECK, ["Steps"], [])
    assert left is not None
    assert ([area.name for area in left.areas], [each.areas for each in left.work]) == (
        ["Deck"],
        [("Deck",), ("Deck",)],
    )


def test_a_step_taken_out_takes_its_visit_and_its_travel() -> None:
    """One visit is left of two: 40.00 of 80.00."""
    left = without(DECK, [], [1])
    assert left is not None
    assert ([each.step for each in left.work], left.charges) == (
        ["Seal"],
        (Charge(name="Travel", category=Category.EQUIPMENT, amount=Decimal(40)),),
    )


def test_nothing_is_left_when_every_area_goes() -> None:
    assert without(DECK, ["Deck", "Steps"], []) is None


@pytest.mark.parametrize(("areas", "steps"), [(["Walk"], []), ([], [2]), ([], [-1])])
def test_what_is_not_agreed_can_not_be_taken_out(areas: list[str], steps: list[int]) -> None:
    with pytest.raises(ChangeFault, match="is not part of what is agreed"):
        without(DECK, areas, steps)


def test_hours_given_outright_are_named_because_they_stay() -> None:
    by_hours = step("Mask", ["Deck", "Steps"], 1) | {"labour": {"hours": "3 hour"}}
    assert given_outright(scope({"Deck": 300, "Steps": 100}, [by_hours], []), ["Steps"]) == ("Mask",)
    assert given_outright(DECK, ["Steps"]) == ()


def test_the_same_step_on_the_same_visit_is_set_up_once() -> None:
    joined = with_work_of(DECK, WALK)
    assert [(each.step, *each.areas) for each in joined.work] == [("Seal", "Deck", "Steps", "Walk"), ("Top", "Deck")]
    assert joined.charges == DECK.charges


def test_another_visit_is_charged_where_the_added_work_brings_it() -> None:
    later = scope({"Walk": 100}, [step("Seal", ["Walk"], 3)], [])
    joined = with_work_of(DECK, later)
    assert (len(joined.work), [(each.name, each.amount) for each in joined.charges]) == (
        3,
        [("Travel, 3 visits", Decimal(120))],
    )


def test_a_charge_of_one_visit_is_known_by_its_name() -> None:
    one = (Charge(name="Travel", category=Category.EQUIPMENT, amount=Decimal(40)),)
    assert charges_for(one, 1, 2) == one
    assert charges_for(one, 1, 2, {"Travel"})[0] == replace(one[0], name="Travel, 2 visits", amount=Decimal(80))
    assert charges_for(one, 1, 0, {"Travel"}) == ()


def test_what_was_measured_anew_is_not_added_twice() -> None:
    wider = scope({"Deck": 310}, [step("Grit", ["Deck"], 2)], [])
    with pytest.raises(ChangeFault, match="measured anew"):
        with_work_of(DECK, wider)


def test_a_joined_scope_is_one_that_the_reader_accepts() -> None:
    joined = with_work_of(DECK, WALK)
    assert read_scope(write_scope(joined)) == joined


def test_now_and_later_by_hand() -> None:
    """Agreed: seal 400 ft² and top 300: hours 0.5 + 4 and 0.5 + 3, at 40: 320.00. Sealer 700/200 = 3.5 → 4 gal at 60:
    240.00. Travel 80.00. In all 640.00.
    With the walk: 5.5 + 3.5 = 9 h, 360.00; 800/200 = 4 gal, 240.00: no pack more; 80.00. In all 680.00: 40.00 more.
    The walk alone: 1.5 h, 60.00; half a gallon → 60.00; travel 40.00: 160.00.
    """
    before, after, alone = work_out(DECK), work_out(with_work_of(DECK, WALK)), work_out(by_itself(WALK))
    assert [each.price.of.price for each in (before, after, alone)] == [
        Decimal("640.00"),
        Decimal("680.00"),
        Decimal("160.00"),
    ]
    shared = shared_between(before, after, alone)
    assert [(each.name, each.now, each.alone) for each in shared.packs] == [
        ("Sealer", Decimal("0.00"), Decimal("60.00"))
    ]
    assert (shared.visits_now, shared.visits_alone, shared.setups, shared.raised) == (0, 1, ("Seal",), Decimal(0))


def test_alone_the_minimum_raises_it() -> None:
    dear = work_out(by_itself(replace(WALK, pricing=replace(WALK.pricing, minimum=Decimal("650.00")))))
    base = work_out(DECK)
    assert shared_between(base, work_out(with_work_of(DECK, WALK)), dear).raised == Decimal("490.00")


def test_the_change_is_the_true_difference_by_area_and_tax() -> None:
    """680.00 − 640.00 = 40.00, and a tenth of it."""
    before, after = (agreed_price(work_out(each).price) for each in (DECK, with_work_of(DECK, WALK)))
    change = change_of(Stages(before=before, base=before, after=after), before, Agreed())
    assert (change.price, change.total) == (Decimal("40.00"), Decimal("44.00"))
    assert [(tax.name, tax.base, tax.amount) for tax in change.taxes] == [("State", Decimal("40.00"), Decimal("4.00"))]
    assert next(line.amount for line in change.lines if line.area == "Walk") > 0


def test_what_is_taken_out_goes_at_what_was_agreed_and_what_is_added_at_todays_prices() -> None:
    """The step on the deck out, as agreed: 3.5 h at 40.00, 140.00; sealer 400/200 = 2 gal, 120.00 less; a visit's
    travel, 40.00: −300.00 and its tenth, −30.00.
    The walk at 50.00 an hour and taxed 20 %: base 4.5 h 225.00, 2 gal 120.00, 40.00: 385.00, tax 77.00; with it 5.5 h
    275.00, 500/200 → 3 gal 180.00, 40.00: 495.00, tax 99.00: 110.00 and 22.00 more.
    """
    kept = without(DECK, [], [1])
    assert kept is not None
    today = replace(
        WALK,
        crew=replace(WALK.crew, hourly_cost=Decimal("50.00")),
        pricing=replace(WALK.pricing, tax=(replace(WALK.pricing.tax[0], rate=Decimal("0.2")),)),
    )
    base = with_prices_of(kept, today)
    prices = [agreed_price(work_out(each).price) for each in (DECK, kept, base, with_work_of(base, today))]
    stages = Stages(before=prices[0], kept=prices[1], base=prices[2], after=prices[3])
    change = change_of(stages, prices[0], Agreed())
    assert change.price == Decimal("-190.00")
    assert [(tax.rate, tax.base, tax.amount) for tax in change.taxes] == [
        (Decimal("0.1"), Decimal("-300.00"), Decimal("-30.00")),
        (Decimal("0.2"), Decimal("110.00"), Decimal("22.00")),
    ]


NOW = Agreed(
    lines=(AreaLine(area="Deck", amount=Decimal("100.00")),),
    taxes=(
        TaxShare(name="State", rate=Decimal("0.1"), on="price", base=Decimal("100.00"), amount=Decimal("10.00")),
        TaxShare(name="Goods", rate=Decimal("0.05"), on="materials", base=Decimal("20.00"), amount=Decimal("1.00")),
    ),
)


def test_the_whole_job_out_takes_off_all_that_is_agreed() -> None:
    change = change_of(Stages(all_out=True), NOW, Agreed())
    assert (change.price, change.tax, change.total) == (Decimal("-100.00"), Decimal("-11.00"), Decimal("-111.00"))


def test_a_sum_outright_bears_the_taxes_on_the_price_alone() -> None:
    """10.05 × 0.1 = 1.005 → 1.01."""
    assert outright("Crack", Decimal("10.05"), NOW.taxes, "USD") == Agreed(
        lines=(AreaLine(area="Crack", amount=Decimal("10.05")),),
        taxes=(TaxShare(name="State", rate=Decimal("0.1"), on="price", base=Decimal("10.05"), amount=Decimal("1.01")),),
    )
    assert outright("Nothing", Decimal(0), NOW.taxes, "USD") == Agreed()


def test_more_than_there_is_can_not_be_taken_off() -> None:
    with pytest.raises(ChangeFault, match=r"takes off 100\.01 before tax; only 100\.00 is agreed"):
        change_of(Stages(), NOW, outright("Rebate", Decimal("-100.01"), NOW.taxes, "USD"))


def test_visits_are_counted_once() -> None:
    assert visits_in(DECK.work) == {1, 2}
