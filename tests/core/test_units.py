"""Reading numbers and quantities that a person typed."""

import time
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.units import (
    BareNumber,
    Dimension,
    NumberFault,
    Quantity,
    QuantityFault,
    SizeFault,
    TapeFault,
    UnitFault,
    WrongDimension,
    format_length,
    format_number,
    parse_length,
    parse_number,
    parse_quantity,
)

ARABIC_12 = "\u0661\u0662"


@pytest.mark.parametrize(
    ("text", "number"), [("5", "5"), ("-3.25", "-3.25"), (" 0.05 ", "0.05"), ("999999999.999999", "999999999.999999")]
)
def test_a_plain_number_is_read(text: str, number: str):
    assert parse_number(text) == Decimal(number)


def test_minus_nothing_is_nothing():
    assert str(parse_number("-0.0")) == "0.0"


@pytest.mark.parametrize(
    "text",
    [
        "", " ",
        "1e5", "1E999999", "NaN", "nan", "Infinity", "-inf", "1_000", "1,000", "1 000", "+5", ".5", "5.", "--5", "0x10",
        "1234567890", "0.1234567", ARABIC_12, "５", "½", "1/2", "5\n6", "9**9**9", "5%", "$5", "1" * 10_000, "five",
    ],
)  # fmt: skip
def test_what_is_no_plain_number_is_refused(text: str):
    with pytest.raises(NumberFault):
        parse_number(text)


def test_commas_are_named_as_the_reason():
    with pytest.raises(NumberFault, match="“1,000” without commas"):
        parse_number("1,000")


def test_a_quantity_keeps_its_text_and_is_carried_in_the_canonical_unit():
    # 5 × 0.003785411784 m³
    assert parse_quantity(" 5  gal ", Dimension.VOLUME) == Quantity(
        Decimal("0.018927058920"), Dimension.VOLUME, "5 gal"
    )


def test_ounces_of_a_dry_material_are_mass():
    # 6 ÷ 16 × 0.45359237
    assert parse_quantity("6 oz", Dimension.MASS).magnitude == Decimal("0.170097138750")


def test_ounces_of_a_liquid_are_fluid_ounces():
    # 6 ÷ 128 gal
    assert parse_quantity("6 oz", Dimension.VOLUME, oz="fluid").magnitude == Decimal("0.000177441177375")


def test_ounces_of_mass_are_refused_for_a_volume_with_the_way_out():
    with pytest.raises(WrongDimension, match=r"“6 oz” is a mass; here it must be a volume.*“fl oz”"):
        parse_quantity("6 oz", Dimension.VOLUME)


def test_a_strength_in_fluid_ounces_measures_nothing():
    with pytest.raises(UnitFault, match="a volume per volume measures nothing here"):
        parse_quantity("6 oz/gal", Dimension.MASS_PER_VOLUME, oz="fluid")


def test_one_place_may_take_several_kinds():
    rates = (Dimension.AREA_PER_TIME, Dimension.LENGTH_PER_TIME, Dimension.COUNT_PER_TIME)
    assert parse_quantity("80 ft/hour", *rates) == Quantity(Decimal("24.3840"), Dimension.LENGTH_PER_TIME, "80 ft/hour")


def test_a_length_may_be_called_out_where_a_quantity_is_read():
    assert parse_quantity("1/4 in", Dimension.LENGTH).magnitude == Decimal("0.006350")


@pytest.mark.parametrize(
    "text", ["12’ 6½”", "12′ 6½″", "12' 6 1/2''", "12\u202fft\u202f6½\u00a0in", "12´ 6 1⁄2″", "12'‑6½\""]
)
def test_printed_marks_and_thin_blanks_are_read_as_typed_ones(text: str):
    assert parse_length(text).magnitude == Decimal("3.8227")  # 150.5 × 0.0254


def test_the_cleaned_text_reads_back_to_the_same():
    first = parse_length("12′ 6½″")
    assert parse_length(first.text) == first


def test_metres_are_read_too():
    assert parse_length("3.81 m").magnitude == Decimal("3.81")


def test_a_bare_number_is_refused_with_the_way_out():
    with pytest.raises(BareNumber, match=r"“32” has no unit: add one, such as “32 ft”\."):
        parse_length("32")


def test_a_bare_number_takes_the_default_unit():
    assert parse_length("32", default_unit="ft") == Quantity(Decimal("9.7536"), Dimension.LENGTH, "32 ft")


def test_a_bare_fraction_takes_the_default_unit():
    assert parse_length("7 1/4", default_unit="in") == parse_length("7 1/4 in")


@pytest.mark.parametrize("text", ["0 ft", "0' 0\"", "-5 ft", "-12' 6\"", "−3 m"])
def test_a_length_must_be_more_than_zero(text: str):
    with pytest.raises(SizeFault, match="must be more than zero"):
        parse_length(text)


def test_zero_is_read_where_it_is_allowed():
    assert parse_length("0 ft", zero=True).magnitude == 0
    assert parse_quantity("0 lb", Dimension.MASS, zero=True).magnitude == 0


def test_a_coordinate_may_be_negative():
    assert parse_length("-12' 6\"", negative=True).magnitude == Decimal("-3.81")


def test_ten_kilometres_are_the_longest_length():
    assert parse_length("10000 m").magnitude == 10000
    with pytest.raises(SizeFault, match="longer than 10 km"):
        parse_length("10000.01 m")


def test_one_square_kilometre_is_the_largest_area():
    assert parse_quantity("1000000 m²", Dimension.AREA).magnitude == 1_000_000
    with pytest.raises(SizeFault, match="larger than 1 km²"):
        parse_quantity("1000000.1 m²", Dimension.AREA)


def test_inches_of_12_and_more_after_feet_are_refused():
    with pytest.raises(TapeFault, match="must be under 12"):
        parse_length("12' 14\"")


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9", "9**9**9 ft", "1e999999", "1e999999 ft",
        "__import__('os').system('true')", "ft" * 100_000, "1" * 100_000,
        f"{ARABIC_12} ft", "NaN",
        "NaN ft", "inf m", "(" * 50, "5' 6\" 7\"", "5 ft * 6 ft", "5 ft + 6 in", "12 ft\x00",
        "1/2/3 in", "- - 5 ft", "5 ft" + "²" * 50,
        "’" * 59, "1 " * 30, "5..5 ft", "0.0000001 m", "1234567890 ft", "½½ in",
        "5 ft/", "lambda: 0", "{}", "%s", "12 ft 6 in 3", "1 000 ft", "5 m\u202e", "٣' 6\"",
    ],
)  # fmt: skip
def test_hostile_text_is_refused_with_a_sentence(text: str):
    with pytest.raises(QuantityFault) as caught:
        parse_length(text)
    sentence = str(caught.value)
    assert sentence.endswith(".")
    assert len(sentence) < 250
    assert sentence.isprintable()


def test_a_thousand_hostile_texts_take_no_time():
    texts = ["9**9**9", "1 " * 30, "1/" * 30, "'" * 60, "1' " * 20, "ft" * 50_000, "1-1-1-1-1-1-1-1-1-1-1-1-1-1"]
    began = time.perf_counter()
    for place in range(1000):
        with pytest.raises(QuantityFault):
            parse_length(texts[place % len(texts)] + " x")
    assert time.perf_counter() - began < 2  # some 20 µs each; a pattern that backtracks takes minutes


@given(st.text(max_size=80))
def test_any_text_is_either_read_or_refused(text: str):
    try:
        answer = parse_length(text).text
    except QuantityFault as fault:
        answer = str(fault)
    assert answer.isprintable()


def test_figures_are_written_half_up_with_thousands_parted():
    assert format_number(Decimal("1234.565"), 2) == "1,234.57"
    assert format_number(Decimal("-3.25"), 1) == "−3.3"


@pytest.mark.parametrize(
    ("metres", "units", "written"),
    [
        ("4.4196", "us", "14′ 6″"),
        ("3.13944", "us", "10.30 ft"),  # 10.3 × 0.3048 lies between two eighths
        ("4.4196", "metric", "4.42 m"),
        ("3.8125", "metric", "3.813 m"),
    ],
)
def test_a_length_is_written_for_a_working(metres: str, units: str, written: str):
    assert format_length(Decimal(metres), units) == written
