"""The kinds of single values in a scope file."""

from decimal import Decimal
from typing import Any

import pytest

from quoting.core.scope import EDGE, Units
from quoting.core.scope_kinds import Choice, CurrencyCode, Measure, Number, Text, Whole, decimals, plain
from quoting.core.scope_reading import BAD, Reading, UnreadNumber
from quoting.core.units import Dimension

LENGTH = Measure((Dimension.LENGTH,), edge=True)


def read(kind: Any, value: Any, **reading: Any) -> Any:
    """What the kind makes of the value; a fault where it is BAD, and only there."""
    now = Reading(**reading)
    found = kind.read(value, "here", now)
    assert (found is BAD) == bool(now.faults)
    return found


@pytest.mark.parametrize(
    ("value", "number"), [("0.05", "0.05"), (5, "5"), ("-0", "0"), ("999999999.999999", "999999999.999999")]
)
def test_numbers_are_texts_or_short_whole_numbers(value: Any, number: str) -> None:
    assert str(read(Number(), value)) == number


@pytest.mark.parametrize(
    "value", [0.05, "5e2", "1_000", "٣", "1,5", " 5", "5\n", "", True, None, 10**10, UnreadNumber("0.05"), "NaN"]
)
def test_no_other_numbers_are_read(value: Any) -> None:
    assert read(Number(), value) is BAD


def test_bounds_hold() -> None:
    kind = Number(least=Decimal(0), below=Decimal(1))
    assert [read(kind, value) is BAD for value in ("-0.1", "0", "0.99", "1")] == [True, False, False, True]
    kind = Number(above=Decimal(0), most=Decimal(1))
    assert [read(kind, value) is BAD for value in ("0", "0.1", "1", "1.1")] == [True, False, False, True]


def test_exact_sums_are_no_finer_than_the_currency() -> None:
    kind = Number(money=True, exact=True)
    assert [read(kind, "1.50", places=places) is BAD for places in (0, 1, 2)] == [True, False, False]


@pytest.mark.parametrize(("value", "text"), [("21.5", "21.50"), ("21.000000", "21.00"), ("0.0088", "0.0088")])
def test_sums_are_written_with_the_currencys_decimals(value: str, text: str) -> None:
    assert Number(money=True).write(Decimal(value), 2) == text


def test_whole_numbers() -> None:
    kind = Whole(1, 20)
    assert [read(kind, value) for value in (3, "3")] == [3, 3]
    assert all(read(kind, value) is BAD for value in (0, 21, "-1", "1.0", 1.0, True, None, "3\n"))


def test_texts_are_short_printable_and_not_blank() -> None:
    assert read(Text(), "Pool deck") == "Pool deck"
    assert all(read(Text(), value) is BAD for value in ("", " ", "a\tb", "x" * 201, 5, None, "\u202e"))
    assert read(Text(blank=True), "") == ""


def test_a_measure_keeps_the_text_that_was_called_out() -> None:
    quantity = read(LENGTH, " 14′ 6½″ ")
    assert (quantity.text, quantity.magnitude) == ("14′ 6½″", Decimal("4.4323"))
    assert (read(LENGTH, "edge"), LENGTH.write(EDGE, 2)) == (EDGE, EDGE)


def test_coordinates_may_be_negative() -> None:
    assert read(Measure((Dimension.LENGTH,), negative=True), "-2 ft").magnitude == Decimal("-0.6096")
    assert read(LENGTH, "-2 ft") is BAD


def test_oz_is_of_the_material_but_always_of_mass_in_a_strength() -> None:
    size = Measure((Dimension.VOLUME, Dimension.MASS))
    assert read(size, "8 oz", oz="fluid").dimension is Dimension.VOLUME
    assert read(size, "8 oz", oz="mass").dimension is Dimension.MASS
    assert read(Measure((Dimension.MASS_PER_VOLUME,)), "6 oz/gal", oz="fluid").dimension is Dimension.MASS_PER_VOLUME


def test_choices_and_currencies() -> None:
    assert read(Choice(Units), "us") is Units.US
    assert read(Choice(Units), "imperial") is BAD
    assert read(CurrencyCode(), "USD") == "USD"
    assert all(read(CurrencyCode(), value) is BAD for value in ("usd", "XYZ", "", 5, "USD\n"))


def test_a_currency_says_how_fine_its_sums_are() -> None:
    reading = Reading()
    CurrencyCode().read("JPY", "currency", reading)
    assert reading.places == 0


@pytest.mark.parametrize(
    ("number", "text", "places"),
    [("1.50", "1.5", 1), ("100", "100", 0), ("0.000001", "0.000001", 6), ("1E+3", "1000", 0)],
)
def test_numbers_are_written_plainly(number: str, text: str, places: int) -> None:
    assert (plain(Decimal(number)), decimals(Decimal(number))) == (text, places)
