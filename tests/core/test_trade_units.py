"""The closed list of units and their exact factors."""

from decimal import Decimal

import pytest

from quoting.core.trade_units import Dimension, UnitFault, find_unit, from_unit, to_unit


@pytest.mark.parametrize(
    "words", ["ft**2", "ft^2", "ft²", "ft2", "sq ft", "Sq. Ft.", "square feet", "sqft", "sf", "SQ FT"]
)
def test_a_square_foot_has_many_spellings(words: str):
    # 0.3048² = 0.09290304
    assert from_unit(Decimal(1), words) == Decimal("0.09290304")
    assert find_unit(words).dimension is Dimension.AREA


@pytest.mark.parametrize("words", ["fl oz", "fl. oz.", "fluid ounce", "fluid_ounce", "fluid ounces", "floz", "FL OZ"])
def test_the_fluid_ounce_is_always_a_volume(words: str):
    # 3.785411784 L ÷ 128 = 29.5735295625 mL
    assert from_unit(Decimal(1), words) == Decimal("0.0000295735295625")


def test_a_bare_ounce_is_a_mass():
    # 0.45359237 kg ÷ 16
    assert from_unit(Decimal(1), "oz") == Decimal("0.028349523125")


def test_a_bare_ounce_of_a_liquid_is_the_fluid_ounce():
    assert find_unit("oz", "fluid") == find_unit("fl oz")


@pytest.mark.parametrize(
    ("words", "dimension"),
    [
        ("ft**2/gal", Dimension.AREA_PER_VOLUME),
        ("sq ft per gallon", Dimension.AREA_PER_VOLUME),
        ("m²/L", Dimension.AREA_PER_VOLUME),
        ("ft²/lb", Dimension.AREA_PER_MASS),
        ("oz/gal", Dimension.MASS_PER_VOLUME),
        ("lb/ft**3", Dimension.MASS_PER_VOLUME),
        ("kg/m³", Dimension.MASS_PER_VOLUME),
        ("ft**2/hour", Dimension.AREA_PER_TIME),
        ("ft/hr", Dimension.LENGTH_PER_TIME),
        ("each/hour", Dimension.COUNT_PER_TIME),
        ("gal/ft", Dimension.VOLUME_PER_LENGTH),
        ("lb/ft", Dimension.MASS_PER_LENGTH),
        ("each/ft", Dimension.COUNT_PER_LENGTH),
        ("each/ft²", Dimension.COUNT_PER_AREA),
        ("ft²/each", Dimension.AREA_PER_COUNT),
    ],
)
def test_a_ratio_knows_what_it_measures(words: str, dimension: Dimension):
    assert find_unit(words).dimension is dimension


def test_a_cubic_yard_is_27_cubic_feet():
    assert from_unit(Decimal(1), "cu yd") == from_unit(Decimal(27), "ft**3")


def test_an_hour_is_60_minutes():
    assert from_unit(Decimal(90), "min") == Decimal("1.5")


def test_a_rate_comes_back_as_it_was_given():
    assert to_unit(from_unit(Decimal("220"), "ft**2/hour"), "ft**2/hour") == Decimal("220")


def test_five_gallons_come_back_as_five():
    assert to_unit(from_unit(Decimal(5), "gal"), "gal") == Decimal(5)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "/",
        "ft/",
        "/gal",
        "ft//gal",
        "ft/gal/min",
        "gal**2",
        "ft**4",
        "sq ft**2",
        "sq",
        "km",
        "ft**",
        "²",
        "ft gal",
        "oz/lb",
    ],
)
def test_what_is_no_unit_of_the_list_is_refused(words: str):
    with pytest.raises(UnitFault, match="is not a unit this program knows"):
        find_unit(words)


@pytest.mark.parametrize(
    "words", ["cup", "tbsp", "bag", "acre", "oz t", "imperial gallon", "sft", "dry qt", "degree", "psi"]
)
def test_units_that_are_traps_are_not_in_the_list(words: str):
    with pytest.raises(UnitFault):
        find_unit(words)


def test_a_flood_of_words_is_refused_unread():
    with pytest.raises(UnitFault, match="“ftftft"):
        find_unit("ft" * 100_000)
