"""The accent colour is readable, and as near to the firm's own as it can be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.documents.accent import NotAColour, contrast, readable_accent

COLOURS = st.integers(min_value=0, max_value=0xFFFFFF).map(lambda number: f"#{number:06x}")


def test_black_on_white_is_21_to_1():
    # WCAG 2.2: (1 + 0.05) / (0 + 0.05) = 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def test_a_colour_against_itself_is_1_to_1():
    assert contrast("#8a2b17", "#8a2b17") == 1


def test_the_well_known_limit_of_grey_on_white():
    # WebAIM and others: #767676 is the lightest grey that passes 4.5 : 1 on white (4.54); #777777 fails (4.48).
    assert (round(contrast("#767676", "#fff"), 2), round(contrast("#777777", "#fff"), 2)) == (4.54, 4.48)


def test_a_grey_just_too_light_is_darkened_by_one_step():
    assert readable_accent("#777777") == "#767676"


def test_a_readable_colour_is_left_alone():
    assert readable_accent("#8A2B17") == "#8a2b17"


def test_three_digits_mean_each_digit_twice():
    assert readable_accent("#a00") == "#aa0000"


def test_yellow_keeps_its_hue():
    # Mixing with black scales red and green alike and leaves blue at nought.
    darkened = readable_accent("#ffff00")
    level = darkened[1:3]
    assert (darkened, level > "00") == (f"#{level}{level}00", True)


def test_on_a_dark_ground_the_colour_is_lightened():
    assert contrast(readable_accent("#8a2b17", ground="#16191b"), "#16191b") >= 4.5


@given(COLOURS)
def test_every_colour_becomes_readable_on_white(colour):
    assert contrast(readable_accent(colour), "#ffffff") >= 4.5


@given(COLOURS, st.sampled_from(["#ffffff", "#f3f4f2", "#16191b", "#767676"]))
def test_every_colour_becomes_readable_on_any_ground(colour, ground):
    assert contrast(readable_accent(colour, ground), ground) >= 4.5


@given(COLOURS)
def test_readable_once_is_readable_for_good(colour):
    assert readable_accent(readable_accent(colour)) == readable_accent(colour)


@pytest.mark.parametrize("text", ["", "red", "#12345", "#1234567", "#ggg", "#٣٣٣", "url(x)", "#fff;}"])
def test_what_is_no_colour_is_named(text):
    with pytest.raises(NotAColour, match="is not a colour"):
        readable_accent(text)
