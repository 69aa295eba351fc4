"""The value types of a scope."""

from dataclasses import FrozenInstanceError
from decimal import Decimal

import pytest

from quoting.core.scope import Part, Scope
from quoting.core.scope_file import scope_from_data
from quoting.core.units import parse_length
from tests.sample_scopes import everything


def test_a_scope_does_not_change() -> None:
    scope = scope_from_data(everything())
    with pytest.raises(FrozenInstanceError):
        scope.title = "Another"  # type: ignore[misc]


def test_equal_scopes_hash_the_same() -> None:
    assert len({scope_from_data(everything()), scope_from_data(everything())}) == 1


def test_materials_are_put_in_the_order_of_their_keys() -> None:
    scope = scope_from_data(everything())
    values = {name: getattr(scope, name) for name in Scope.__slots__}
    assert Scope(**values | {"materials": scope.materials[::-1]}) == scope


def test_a_part_gives_a_size_by_name() -> None:
    part = Part(shape="circle", sizes=(("diameter", parse_length("6 ft")),))
    assert (part.size("diameter").magnitude, part.size("length")) == (Decimal("1.8288"), None)
