"""Lengths as a tape is called out."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.tape import TapeFault, format_length_us, read_tape, reads_on_tape


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("12' 6\"", "150"),  # 12 × 12 + 6
        ("12 ft 6 in", "150"),
        ("12 feet 6 inches", "150"),
        ("12'-6\"", "150"),
        ("12'6 1/2\"", "150.5"),
        ("12' 6-1/2\"", "150.5"),
        ("12' 6", "150"),
        ("5'", "60"),
        ("2 1/2 ft", "30"),
        ("12.5 ft", "150"),
        ("7 1/4 in", "7.25"),
        ('38-1/2"', "38.5"),
        ("1/2 in", "0.5"),
        ("0' 7 3/16\"", "7.1875"),  # 3 ÷ 16 = 0.1875
        ("5 FT 11 IN", "71"),
        ("5' 0.125\"", "60.125"),
    ],
)
def test_feet_and_inches_are_read(text: str, inches: str):
    assert read_tape(text) == Decimal(inches) * Decimal("0.0254")


@pytest.mark.parametrize("text", ["3.81 m", "12", "5 gal", "ft", ""])
def test_what_is_no_tape_reading_is_left_to_others(text: str):
    assert read_tape(text) is None


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("12' 14\"", "the inches after feet must be under 12"),
        ("12' 12\"", "the inches after feet must be under 12"),
        ("12.5' 6\"", "the feet before inches must be a whole number"),
        ("1/2' 6\"", "the feet before inches must be a whole number"),
        ("6 9/8 in", "9/8 is not a fraction of one"),
        ("6 1/0 in", "1/0 is not a fraction of one"),
        ('61/2"', "61/2 is not a fraction of one"),
        ("6.5 1/2 in", "has a point and a fraction"),
        ("6' 2'", "does not read as feet and inches"),
        ("6\" 2'", "does not read as feet and inches"),
        ("'", "does not read as feet and inches"),
        ('5\' -6" -3"', "does not read as feet and inches"),
    ],
)
def test_what_no_tape_reads_is_refused_with_the_reason(text: str, why: str):
    with pytest.raises(TapeFault, match=why):
        read_tape(text)


@pytest.mark.parametrize(
    ("inches", "written"),
    [
        ("150.5", "12′ 6½″"),
        ("174", "14′ 6″"),
        ("384", "32′ 0″"),
        ("6.5", "6½″"),
        ("0.5", "½″"),
        ("0", "0″"),
        ("12", "1′ 0″"),
        ("66.375", "5′ 6⅜″"),
        ("11.99", "1′ 0″"),  # nearer to 12 than to 11⅞
        ("-18", "−1′ 6″"),
    ],
)
def test_a_length_is_written_in_feet_inches_and_eighths(inches: str, written: str):
    assert format_length_us(Decimal(inches) * Decimal("0.0254")) == written


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12.500 ft", "3.81000"),  # 12.5 × 0.3048, with the places of the two and no zeros of the text
        ("012'", "3.6576"),
        ("10.000 feet", "3.0480"),
        ("7.25 in", "0.184150"),
        ('0.000"', "0.0000"),
    ],
)
def test_decimal_feet_or_inches_are_read_to_their_last_digit(text: str, metres: str):
    assert str(read_tape(text)) == metres


def test_half_an_eighth_goes_up():
    # 1/16 in lies halfway between 0 and 1/8
    assert format_length_us(Decimal("0.0625") * Decimal("0.0254")) == "⅛″"


def test_sixteenths_are_written_out():
    assert format_length_us(Decimal("7.1875") * Decimal("0.0254"), "1/16") == "7 3/16″"


def test_a_length_can_stay_in_inches():
    assert format_length_us(Decimal("0.3048"), inches_only=True) == "12″"


def test_a_third_of_an_inch_is_not_on_the_tape():
    assert reads_on_tape(Decimal("0.0254") * 5 / 8) is True
    assert reads_on_tape(Decimal("0.0254") / 3) is False


@given(st.integers(min_value=1, max_value=100_000))
def test_what_is_written_reads_back(eighths: int):
    metres = Decimal(eighths) * Decimal("0.003175")  # 0.0254 ÷ 8
    written = format_length_us(metres).translate({ord("′"): "'", ord("″"): '"'})
    for glyph, fraction in {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}.items():
        written = written.replace(glyph, f" {fraction}").replace("  ", " ")
    assert read_tape(written.strip()) == metres
