"""How many tests an area needs."""

from decimal import Decimal

import pytest

from quoting.core.plain_tests import probes_needed, sheets_needed
from quoting.core.units import from_unit

D = Decimal


@pytest.mark.parametrize(("square_feet", "sheets"), [("1", 1), ("500", 1), ("500.01", 2), ("1500", 3), ("1863", 4)])
def test_sheets_by_area(square_feet: str, sheets: int) -> None:
    assert sheets_needed(from_unit(D(square_feet), "ft**2")) == sheets


@pytest.mark.parametrize(("square_feet", "probes"), [("0", 0), ("200", 3), ("1000", 3), ("1001", 4), ("3000", 5)])
def test_probes_by_area(square_feet: str, probes: int) -> None:
    assert probes_needed(from_unit(D(square_feet), "ft**2")) == probes
