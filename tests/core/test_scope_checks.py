"""What no field of a scope file alone can tell."""

from typing import Any

import pytest

from quoting.core.scope_file import ScopeFaults, read_scope, scope_from_data, write_scope
from tests.sample_scopes import everything, pool_deck


def faults(data: Any) -> list[str]:
    """What is wrong with the data, one line a fault."""
    with pytest.raises(ScopeFaults) as caught:
        scope_from_data(data)
    return [str(fault) for fault in caught.value.faults]


def test_two_areas_of_one_name_are_refused() -> None:
    data = pool_deck()
    data["areas"] *= 2
    assert faults(data) == ["areas: 2 areas are called “Pool deck”; each needs a name of its own."]


def test_sides_that_can_not_close_are_refused() -> None:
    data = pool_deck()
    data["areas"][0]["parts"].append({"shape": "triangle", "a": "1 ft", "b": "2 ft", "c": "4 ft"})
    assert [fault.partition(": ")[0] for fault in faults(data)] == ["areas[0].parts[1]"]


def test_an_edge_that_is_not_known_is_refused() -> None:
    data = pool_deck()
    data["areas"][0]["parts"] = [{"shape": "trapezoid", "a": "18 ft", "b": "10 ft", "height": "24 ft"}]
    data["work"][0]["labour"] = {"rate": "80 ft/hour"}
    assert faults(data) == [
        "work[0].labour.length: the edge of “Pool deck” is not known from its shapes: give a length."
    ]


def test_mass_against_volume_is_refused_without_a_density() -> None:
    data = pool_deck()
    data["materials"]["base-tone"]["packs"] = [{"size": "1 gal", "price": "40"}]
    data["materials"]["base-tone"]["on_hand"] = "0 gal"
    assert faults(data) == [
        "work[0].materials[0].use: the use gives a mass, but the packs are sold as “1 gal”, a volume: "
        "give a “density” to join them."
    ]
    data["materials"]["base-tone"]["density"] = "9 lb/gal"
    assert scope_from_data(data).materials[0].key == "base-tone"


def test_an_area_is_worked_on_once_a_step() -> None:
    data = pool_deck()
    data["work"][0]["areas"] *= 2
    assert faults(data) == ["work[0].areas[1]: “Pool deck” is there already."]


def test_stock_and_scoops_are_measured_as_the_packs_are() -> None:
    data = pool_deck()
    data["materials"]["base-tone"] |= {"on_hand": "1 gal", "scoop": "2 fl oz"}
    assert faults(data) == [
        "materials.base-tone.on_hand: “1 gal” is a volume, and the packs are a mass.",
        "materials.base-tone.scoop: “2 fl oz” is a volume, and the packs are a mass.",
    ]


@pytest.mark.parametrize(
    ("labour", "line"),
    [
        ({"rate": "6 each/hour"}, "work[0].labour.count: is missing: the rate is by count."),
        ({"rate": "6 ft/hour", "count": 2}, "work[0].labour.count: belongs to a rate by count, such as “6 each/hour”."),
        (
            {"hours": "2 hour", "passes": 2},
            "work[0].labour: “hours” are the hours outright: leave out “passes”, “setup” and",
        ),
        ({}, "work[0].labour: must have either “rate” or “hours”."),
    ],
)
def test_labour_that_contradicts_itself(labour: dict[str, Any], line: str) -> None:
    data = pool_deck()
    data["work"][0]["labour"] = labour
    assert [fault[: len(line)] for fault in faults(data)] == [line]


@pytest.mark.parametrize(
    ("step", "use", "line"),
    [
        (5, {"by": "coverage"}, "work[5].materials[0].use: must have either “coverage” or “rates”."),
        (
            5,
            {"by": "coverage", "rates": ["200 ft**2/gal"], "coats": 2},
            "work[5].materials[0].use.coats: is 2, but “rates” gives 1, one a coat.",
        ),
        (1, {"by": "each"}, "work[1].materials[0].use: must have either “count” or “per_area”."),
        (
            1,
            {"by": "length", "length": "edge", "per_length": "1 lb/ft"},
            "work[1].materials[0].use: the use gives a mass, but the packs are sold as “1 each”, a count.",
        ),
    ],
)
def test_uses_that_contradict_themselves(step: int, use: dict[str, Any], line: str) -> None:
    data = everything()
    data["work"][step]["materials"][0]["use"] = use
    assert faults(data) == [line]


def test_a_slip_elsewhere_hides_no_unknown_name() -> None:
    data = pool_deck()
    data["areas"][0]["texture"] = "flat"
    data["work"][0]["areas"] = ["Pool deck", "Patio"]
    assert [fault.partition(":")[0] for fault in faults(data)] == ["areas[0].texture", "work[0].areas[1]"]


@pytest.mark.parametrize("more", [{}, {"amount": "95.00", "share": "0.1"}])
def test_a_charge_has_an_amount_or_a_share(more: dict[str, str]) -> None:
    data = pool_deck()
    data["charges"] = [{"name": "Travel", "category": "equipment", **more}]
    assert faults(data) == ["charges[0]: must have either “amount” or “share”."]


def test_a_share_is_written_as_it_was_read() -> None:
    data = pool_deck()
    data["charges"] = [{"name": "Contingency", "category": "other", "share": "0.2"}]
    scope = scope_from_data(data)
    assert read_scope(write_scope(scope)) == scope
