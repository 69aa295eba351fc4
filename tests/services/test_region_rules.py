"""The region rules that a firm starts from."""

import pytest

from quoting.core.region_rules import RuleKind
from quoting.services.region_rules import STARTING_POINT, starter_rules

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
