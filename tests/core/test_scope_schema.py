"""The JSON Schema that ships is the one that the reader enforces."""

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import quoting.core.scope_schema
from quoting.core.scope_file import ScopeFaults, schema, scope_data, scope_from_data
from tests.sample_scopes import everything, pool_deck

VALIDATOR = jsonschema.Draft202012Validator(schema())


def test_the_schema_that_ships_is_that_of_the_field_tables() -> None:
    shipped = Path(quoting.core.scope_schema.__file__).with_name("scope.schema.json")
    assert json.loads(shipped.read_text(encoding="utf-8")) == schema()


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("data", [pool_deck(), everything()])
def test_samples_and_their_canonical_forms_are_valid(data: dict[str, Any]) -> None:
    VALIDATOR.validate(data)
    VALIDATOR.validate(scope_data(scope_from_data(data)))


def test_every_key_says_what_it_means() -> None:
    silent = []

    def walk(node: Any, place: str) -> None:
        if isinstance(node, dict):
            for key, each in node.get("properties", {}).items():
                if "const" not in each and not each.get("description"):
                    silent.append(f"{place}.{key}")
            for key, each in node.items():
                walk(each, f"{place}.{key}")
        elif isinstance(node, list):
            for each in node:
                walk(each, place)

    walk(schema(), "")
    assert silent == []


def places(node: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every value in the data."""
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    return [way, *(place for key, each in inner for place in places(each, (*way, key)))]


PLACES = [place for place in places(everything()) if place]
ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 10**10),
    st.sampled_from([0.5, -1.25]),
    st.sampled_from(
        ["", " ", "edge", "1", "0.05", "-1", "1e3", "5 gal", "12 ft", "x" * 61, "x" * 201, "٣", "us", "USD"]
    ),
    st.sampled_from([[], {}, [1], {"amount": "5.00"}, {"by": "each", "count": 1}, {"shape": "circle"}]),
)
CHANGES = st.lists(
    st.tuples(st.sampled_from(PLACES), st.sampled_from(["replace", "remove", "add", "double"]), ODD),
    min_size=1,
    max_size=3,
)


def changed(data: Any, way: tuple[Any, ...], how: str, odd: Any) -> None:
    """Change the data at a place, if it is still there."""
    *outer, last = way
    for key in outer:
        try:
            data = data[key]
        except (KeyError, IndexError, TypeError):
            return
    keys = data.keys() if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ()
    if last not in keys:
        return
    if how == "replace":
        data[last] = deepcopy(odd)
    elif how == "remove":
        del data[last]
    elif how == "add" and isinstance(data[last], dict):
        data[last]["surprise"] = deepcopy(odd)
    elif how == "double" and isinstance(data[last], list):
        data[last] = data[last] * 2


@settings(max_examples=400, deadline=None)
@given(CHANGES)
def test_reader_and_schema_agree_on_structure(changes: list[tuple[tuple[Any, ...], str, Any]]) -> None:
    data = everything()
    for change in changes:
        changed(data, *change)
    try:
        scope_from_data(data)
        refused = False
    except ScopeFaults as faults:
        refused = any(fault.structural for fault in faults.faults)
    assert refused is not VALIDATOR.is_valid(data)
