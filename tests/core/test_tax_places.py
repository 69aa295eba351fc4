"""Where a tax holds."""

from dataclasses import dataclass

import pytest

from quoting.core.tax_places import differ_by_place, holds_at, places_in


@dataclass
class At:
    region: str = ""
    town: str = ""
    postcode: str = ""


@dataclass
class Rule:
    region: str = ""
    places: str = ""


@pytest.mark.parametrize("place", [At(), At("Massachusetts", "Larkmere", "02740")])
def test_without_a_place_a_tax_holds_everywhere(place):
    assert holds_at(Rule(), place) is True


@pytest.mark.parametrize(("region", "holds"), [(" massachusetts ", True), ("Rhode Island", False), ("", None)])
def test_a_region_decides_capitals_or_not_and_none_can_t_tell(region, holds):
    assert holds_at(Rule("Massachusetts"), At(region)) is holds


@pytest.mark.parametrize(
    ("place", "holds"),
    [
        (At("Bristol", "LARKMERE"), True),
        (At("Bristol", "Ashby", "02740-1234"), True),
        (At("Bristol", "Ashby", "02741"), False),
        (At("Bristol", "Ashby"), None),
        (At("Bristol", "", "02741"), None),
        (At("Kent", "Larkmere"), False),
        (At("", "Larkmere"), None),
    ],
)
def test_towns_and_postcodes_of_a_region_decide(place, holds):
    assert holds_at(Rule("Bristol", "Larkmere, 02740"), place) is holds


def test_a_postcode_holds_by_its_beginning_without_its_spaces():
    assert holds_at(Rule(places="t2p"), At(postcode="T2P 1A1")) is True


def test_a_list_is_parted_by_commas_semicolons_and_lines():
    assert places_in("North  Larkmere, 02740;\r\nAshby\n ,") == ("North Larkmere", "02740", "Ashby")


def test_rules_differ_by_place_when_one_names_a_region_or_a_town():
    assert [differ_by_place(each) for each in ([], [Rule()], [Rule(), Rule("Kent")], [Rule(places="Ashby")])] == [
        False,
        False,
        True,
        True,
    ]
