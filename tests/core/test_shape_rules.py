"""What all shapes share."""

from decimal import Decimal

import pytest

from quoting.core.shape_rules import PI, CannotClose, NotPositive, format_area, heron, need_positive, need_triangle


def test_pi_has_40_digits():
    # from memory: 3.14159 26535 89793 23846 26433 83279 50288 4197
    assert str(PI) == "3.141592653589793238462643383279502884197"


def test_heron_of_the_classical_triangle():
    # s = 21; √(21 × 8 × 7 × 6) = √7056 = 84
    assert heron(Decimal(13), Decimal(14), Decimal(15)) == 84


@pytest.mark.parametrize("size", ["0", "-1", "NaN", "Infinity"])
def test_a_size_that_is_none_is_refused_by_name(size: str):
    with pytest.raises(NotPositive, match=r"The length must be more than zero\."):
        need_positive(length=Decimal(size))


def test_one_side_longer_than_the_others_together_cannot_close():
    with pytest.raises(CannotClose, match="The sides a, b and c can't close"):
        need_triangle(Decimal(1), Decimal(2), Decimal(4), "a, b and c")


def test_the_last_digit_decides_whether_a_triangle_closes():
    short = Decimal("0.0000000000000000000000000000000001")
    need_triangle(Decimal(1), Decimal(1), Decimal(2), "a, b and c")
    with pytest.raises(CannotClose):
        need_triangle(Decimal(1), Decimal(1), Decimal(2) + short * 10**7, "a, b and c")


def test_an_area_is_written_in_the_chosen_units():
    # 10 ÷ 0.09290304 = 107.639…
    assert format_area(Decimal(10), "us") == "107.64 ft²"
    assert format_area(Decimal(10), "metric") == "10.00 m²"
