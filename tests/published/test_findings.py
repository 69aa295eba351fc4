"""Tests of a slab against what is published about them."""

from decimal import Decimal

import pytest

from quoting.core.findings import Standing, read_test
from quoting.core.plain_tests import Exposure, crack_guide, rinse_is_neutral, sheets_needed
from quoting.core.units import from_unit, to_unit

D = Decimal


@pytest.mark.parametrize(
    ("exposure", "inches", "millimetres"),
    [
        (Exposure.DRY, "0.016", "0.41"),
        (Exposure.MOIST, "0.012", "0.30"),
        (Exposure.DE_ICED, "0.007", "0.18"),
        (Exposure.SEA, "0.006", "0.15"),
        (Exposure.WATERTIGHT, "0.004", "0.10"),
    ],
)
def test_crack_widths_that_are_designed_for(exposure: Exposure, inches: str, millimetres: str) -> None:
    """ACI 224R, Table 4.1: a guide for design, not a limit."""
    width = crack_guide(exposure)
    assert to_unit(width, "in") == D(inches)
    assert abs(to_unit(width, "mm") - D(millimetres)) <= D("0.005")


@pytest.mark.parametrize(("rinse", "word"), [("7.0", "neutral"), ("9.0", "neutral"), ("9.1", "off"), ("6.9", "off")])
def test_rinse_water_within_one_unit_of_fresh_water(rinse: str, word: str) -> None:
    """MIL-HDBK-1110 (1996), 6.7.2.1, after ASTM D4262; fresh water of pH 8.0."""
    reading = read_test("rinse-ph", {"rinse": rinse, "fresh": "8.0"})
    assert (reading.word, reading.standing) == (word, Standing.STANDARD)
    assert rinse_is_neutral(D(rinse), D("8.0")) == (word == "neutral")


@pytest.mark.parametrize(("hours", "word"), [("15.9", "too-soon"), ("16", "no-sign")])
def test_a_plastic_sheet_lies_for_16_hours(hours: str, word: str) -> None:
    """ASTM D4263-24: at least 16 h. (MIL-HDBK-1110, 9.6.7.5 says 24 h.)"""
    assert read_test("plastic-sheet", {"result": "nothing", "waited": hours}).word == word


def test_a_dry_sheet_does_not_prove_a_dry_slab() -> None:
    """After commentary on ASTM D4263: no automatic pass."""
    reading = read_test("plastic-sheet", {"result": "nothing", "waited": "24"})
    assert reading.sentence == "Nothing showed under the sheet. That does not prove the slab dry."


def test_drops_count_however_short_the_sheet_lay() -> None:
    """ASTM D4263-24."""
    reading = read_test("plastic-sheet", {"result": "drops", "waited": "4"})
    assert (reading.word, reading.source) == ("wet", "ASTM D4263-24")


@pytest.mark.parametrize(("square_feet", "sheets"), [("500", 1), ("501", 2)])
def test_one_sheet_to_500_square_feet_or_part(square_feet: str, sheets: int) -> None:
    """ASTM D4263, from memory."""
    assert sheets_needed(from_unit(D(square_feet), "ft**2")) == sheets
