"""Lines of long-hand sums, and how figures show in them."""

from decimal import Decimal

import pytest

from quoting.core.scope import Units
from quoting.core.units import Dimension, from_unit
from quoting.core.working_lines import (
    SHOWN,
    LongHand,
    WorkingLine,
    given,
    is_heavy,
    one_line,
    sign_of,
    spoken,
    started,
    worked,
)
from tests.calculator import DoesNotAddUp, work_through


def test_the_calculator_finds_a_wrong_sum() -> None:
    with pytest.raises(DoesNotAddUp, match="the calculator shows 6"):
        work_through([WorkingLine("", "2", "ft"), WorkingLine("×", "3", "ft"), WorkingLine("=", "6.02", "ft²")])


@pytest.mark.parametrize(
    ("value", "text"),
    [("0", "0.00"), ("1234.5", "1,234.50"), ("0.045194", "0.04519"), ("0.5", "0.5000"), ("2.725", "2.73")],
)
def test_a_worked_figure_has_two_decimals_or_four_digits(value: str, text: str) -> None:
    assert worked(Decimal(value)) == text


@pytest.mark.parametrize(
    ("value", "text"), [("200.0000000000001", "200"), ("1.12", "1.12"), ("0.0208333333", "0.0208333")]
)
def test_a_given_figure_shows_as_it_was_given(value: str, text: str) -> None:
    assert given(Decimal(value)) == text


@pytest.mark.parametrize(
    ("value", "text"), [("435.7257", "435.73"), ("6.592738", "6.5927"), ("0.5", "0.50000"), ("0", "0.00")]
)
def test_a_figure_that_a_sum_starts_from_has_five_digits(value: str, text: str) -> None:
    assert started(Decimal(value)) == text


def test_a_long_hand_sum_reads_in_one_line() -> None:
    hand = LongHand(Units.US)
    hand.start(from_unit(Decimal(464), "ft**2"), "ft**2")
    hand.factor("×", Decimal("1.12"), "texture")
    hand.factor("×", 1, "coats")
    hand.given("÷", from_unit(Decimal(200), "ft**2/gal"), "ft**2/gal")
    hand.worked("=", from_unit(Decimal("2.5984"), "gal"), "gal")
    assert one_line(hand.done()) == "464.00 ft² × 1.12 texture ÷ 200 ft²/gal = 2.60 gal"


def test_signs_of_a_calculator_become_words_in_a_label() -> None:
    assert spoken("2 × 3 − 1 → x") == "2 by 3 less 1 to x"


def test_units_of_ratios() -> None:
    assert SHOWN[Units.US].unit(Dimension.AREA_PER_VOLUME) == "ft**2/gal"
    assert SHOWN[Units.METRIC].unit(Dimension.LENGTH_PER_TIME) == "m/hour"
    assert sign_of("ft**2/hour") == "ft²/h"


def test_ten_pounds_are_heavy() -> None:
    assert [is_heavy(from_unit(Decimal(pounds), "lb")) for pounds in (9, 10)] == [False, True]
