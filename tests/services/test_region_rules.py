"""The region rules that a firm starts from, and what is done with its own: loading, keeping, switching, removing."""

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.region_rules import OfferTerms, RuleKind, check_offer
from quoting.models import ChangedMeanwhile, Event, RegionRule
from quoting.services import region_rules as acts
from quoting.services.region_rules import STARTING_POINT, starter_rules
from tests.factories import FirmFactory, OwnerFactory
from tests.rule_factories import RegionRuleFactory

ROWS = starter_rules()
FIELDS = {"key", "region", "kind", "name", "figures", "text", "source", "as_of", "on"}


def test_no_rule_is_on_by_itself() -> None:
    assert {row["on"] for row in ROWS} == {False}


def test_each_has_a_key_of_its_own_and_every_field() -> None:
    assert len({row["key"] for row in ROWS}) == len(ROWS)
    assert {frozenset(row) for row in ROWS} == {frozenset(FIELDS)}


def test_the_regions_to_start_from() -> None:
    regions = {"United States", "California", "Massachusetts", "Maryland", "Maine", "Vermont", "New York"}
    assert {row["region"] for row in ROWS} == regions


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["key"])
def test_each_is_marked_as_a_starting_point_with_its_source(row: dict[str, object]) -> None:
    assert str(row["text"]).startswith(STARTING_POINT)
    assert RuleKind(str(row["kind"]))
    assert row["source"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["key"])
def test_figures_are_texts(row: dict[str, dict[str, object]]) -> None:
    assert all(isinstance(value, str) for value in row["figures"].values())


@pytest.fixture
def ines(db):
    FirmFactory()
    return OwnerFactory()


def test_a_regions_rules_come_switched_off_and_unconfirmed(ines):
    assert acts.load_rules(region="California", by=ines) == 5
    rows = RegionRule.objects.values_list("key", "on", "confirmed_on")
    assert list(rows) == [
        ("ca-deposit", False, None),
        ("ca-progress", False, None),
        ("ca-written-form", False, None),
        ("ca-cancel", False, None),
        ("ca-preliminary-notice", False, None),
    ]


def test_loading_again_leaves_the_firms_own_words(ines):
    acts.load_rules(region="Maryland", by=ines)
    rule = RegionRule.objects.get()
    acts.keep_rule(rule=rule, version=1, by=ines, text="A third at most.")
    assert acts.load_rules(region="Maryland", by=ines) == 0
    assert RegionRule.objects.get().text == "A third at most."


def test_every_starting_rule_has_figures_that_the_core_can_use(ines):
    for region in acts.starter_regions():
        acts.load_rules(region=region, by=ines)
    rules = [rule.core for rule in RegionRule.objects.all()]
    assert len(rules) == len(acts.starter_rules())
    check_offer(rules, OfferTerms(total=Decimal(1_000_000), currency="USD"))


def test_what_is_left_to_load_is_counted_by_region(ines):
    acts.load_rules(region="Maine", by=ines)
    have = dict.fromkeys(RegionRule.objects.values_list("key", flat=True))
    left = dict(acts.regions_to_load(have))
    assert "Maine" not in left
    assert left["New York"] == 3


def test_only_rules_that_are_on_are_held_against_offers(ines):
    rule = RegionRuleFactory()
    RegionRuleFactory(key="other")
    acts.switch_rule(rule=rule, version=1, on=True, by=ines)
    assert [each.key for each in acts.rules_on()] == [rule.key]


def test_the_trail_tells_what_changed_in_a_rule(ines):
    rule = RegionRuleFactory(key="cap")
    acts.keep_rule(rule=rule, version=1, by=ines, on=True, confirmed_on=date(2026, 6, 1), text="Words.")
    event = Event.objects.latest("position")
    assert event.kind == "region rule changed"
    assert event.data == '{"changed":{"confirmed_on":["","2026-06-01"],"state":["off","on"]},"rule":"cap"}'


def test_nothing_is_overwritten_by_an_older_version(ines):
    rule = RegionRuleFactory()
    acts.keep_rule(rule=rule, version=1, by=ines, name="First")
    with pytest.raises(ChangedMeanwhile):
        acts.keep_rule(rule=rule, version=1, by=ines, name="Second")
    assert RegionRule.objects.get().name == "First"


def test_a_rule_that_is_on_cannot_be_removed(ines):
    rule = RegionRuleFactory(on=True)
    with pytest.raises(acts.StillOn):
        acts.remove_rule(rule=rule, version=1, by=ines)
    assert RegionRule.objects.count() == 1


def test_a_rule_that_is_off_can(ines):
    acts.remove_rule(rule=RegionRuleFactory(), version=1, by=ines)
    assert RegionRule.objects.count() == 0


def test_two_rules_of_one_name_have_two_keys(ines):
    facts = {"kind": "notice", "name": "Lien notice", "region": "Here", "source": "x", "figures": {}, "text": "x"}
    assert [acts.add_rule(by=ines, **facts).key for _ in range(2)] == ["lien-notice", "lien-notice-2"]
