"""Units against outside sources: exact factors are equalities, the others agree to the digits printed."""

from decimal import Decimal

import pytest

from quoting.core.units import UnitFault, from_unit, parse_number, parse_quantity, to_unit


def in_unit(amount: str, one: str, other: str) -> Decimal:
    return to_unit(from_unit(Decimal(amount), one), other)


def test_a_gallon_is_231_cubic_inches():
    # NIST Handbook 44, Appendix C, Sec. 5, "Units of Capacity or Volume": exact
    assert in_unit("1", "gal", "in**3") == 231


def test_a_gallon_in_litres():
    # after the definition 231 in³ with 1 in = 2.54 cm: 231 × 2.54³ ÷ 1000, exact
    assert in_unit("1", "gal", "L") == Decimal("3.785411784")


@pytest.mark.parametrize(
    ("unit", "canonical", "printed"),
    [
        ("gal", "m**3", "3.785412E-03"),
        ("fl oz", "m**3", "2.957353E-05"),
        ("oz", "kg", "2.834952E-02"),
        ("lb", "kg", "4.535924E-01"),
        ("qt", "m**3", "9.463529E-04"),
        ("mil", "m", "2.54E-05"),
    ],
)
def test_seven_digit_factors(unit: str, canonical: str, printed: str):
    # NIST SP 811 (2008), Appendix B.8
    factor = in_unit("1", unit, canonical)
    assert abs(factor / Decimal(printed) - 1) < Decimal("2e-7")


def test_fluid_ounces_of_a_gallon():
    # NIST SP 811 (2008), B.8: exact 29.5735295625 mL, 128 to the gallon
    assert in_unit("1", "fl oz", "mL") == Decimal("29.5735295625")
    assert in_unit("128", "fl oz", "gal") == 1


def test_the_ounce_of_mass():
    # from memory: exact 28.349523125 g
    assert in_unit("1", "oz", "g") == Decimal("28.349523125")


def test_the_pound():
    # from memory: exact 0.45359237 kg
    assert in_unit("1", "lb", "kg") == Decimal("0.45359237")
    assert in_unit("16", "oz", "lb") == 1


def test_the_foot():
    # 85 FR 62698 (5 Oct 2020), FR Doc 2020-21902: exact
    assert in_unit("1", "ft", "m") == Decimal("0.3048")


def test_the_survey_foot_is_not_used():
    # 85 FR 62698: withdrawn after 2022; 1,000 of its squares would be 1,000.004 ft² (4 ppm)
    assert in_unit("1000", "sq ft", "m**2") == Decimal("92.90304")


def test_a_square_foot_and_a_square_metre():
    # square of the foot, exact; the inverse 10.764 as printed in a conversion chart
    assert in_unit("1", "ft**2", "m**2") == Decimal("0.09290304")
    assert abs(in_unit("1", "m**2", "ft**2") - Decimal("10.764")) < Decimal("0.0005")


def test_a_mil_is_a_thousandth_of_an_inch():
    # NIST SP 811, B.8, "mil (0.001 in)": exact
    assert in_unit("1000", "mil", "in") == 1


def test_a_cubic_foot_in_gallons():
    # NIST Handbook 44, Appendix C: 7.481 printed; 1728 ÷ 231
    assert abs(in_unit("1", "ft**3", "gal") - Decimal("7.481")) < Decimal("0.0005")


def test_a_cubic_yard():
    # NIST Handbook 44, Appendix C
    assert in_unit("1", "yd**3", "ft**3") == 27
    assert abs(in_unit("1", "yd**3", "m**3") - Decimal("0.765")) < Decimal("0.0005")
    assert abs(in_unit("1", "m**3", "yd**3") - Decimal("1.308")) < Decimal("0.0005")


@pytest.mark.parametrize(
    ("us", "metric"), [("200", "4.908"), ("300", "7.363"), ("203.73", "5.0"), ("301.52", "7.4"), ("305.59", "7.5")]
)
def test_soft_pairs_of_coverage_are_converted_exactly(us: str, metric: str):
    # factor 0.09290304 ÷ 3.785411784, from the foot and the gallon above. 200 ft²/gal is printed beside 5.0 m²/L
    # (after ASTM C1315), which it is not.
    assert abs(in_unit(us, "ft**2/gal", "m**2/L") - Decimal(metric)) < Decimal("0.005")


@pytest.mark.parametrize(
    "words", ["troy oz", "oz t", "sft", "imp gal", "imperial gallon", "dry qt", "dry quart", "tsp", "cup"]
)
def test_look_alikes_that_differ_are_refused(words: str):
    # NIST SP 811, B.8: the troy ounce is 9.7 % heavier, the imperial gallon 20.1 % larger, the dry quart 16 % larger;
    # the teaspoon of nutrition labels is 5 mL and not 4.93
    with pytest.raises(UnitFault):
        parse_quantity(f"1 {words}")


def test_water_weighs_less_than_its_printed_pounds_by_no_more_than_a_rounding():
    # after an engineering table: 8.345 lb a gallon and 62.425 lb a cubic foot at its densest
    per_gallon = parse_quantity("8.345 lb/gal").magnitude
    per_cubic_foot = parse_quantity("62.425 lb/ft**3").magnitude
    assert abs(to_unit(per_gallon, "lb/ft**3") - to_unit(per_cubic_foot, "lb/ft**3")) < Decimal("0.005")


def test_a_mileage_rate_keeps_its_third_decimal():
    # IRS business mileage 2023: 65.5 cents a mile; one site prints 0.65
    assert parse_number("0.655") * 1000 == 655
