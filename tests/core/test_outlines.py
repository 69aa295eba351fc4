"""Closed outlines in exact integers."""

from decimal import Decimal
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from quoting.core import outlines
from quoting.core.outlines import cross_sums, first_contact, to_integers

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]


def test_points_become_integers_without_loss():
    assert to_integers([(Decimal("0.3048"), Decimal(-2)), (Decimal("1E+2"), Decimal("0.5"))]) == (
        [(3048, -20000), (1000000, 5000)],
        10000,
    )


def test_cross_sums_of_a_square():
    # 0·0 + 10·10 + 10·10 + 0·0 = 200, and 0·10 + 0·10 + 10·0 + 10·0 = 0
    assert cross_sums(SQUARE) == (200, 0)


def test_a_plain_outline_has_no_contact():
    assert first_contact(SQUARE) is None


def test_a_bow_tie_crosses():
    assert first_contact([(0, 0), (10, 10), (10, 0), (0, 10)]) == (0, 2)


def test_a_corner_on_another_side_touches():
    # the fourth corner (5, 0) lies on the first side
    assert first_contact([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)]) == (0, 2)


def test_a_corner_on_another_corner_touches():
    assert first_contact([(0, 0), (5, 5), (10, 0), (10, 10), (5, 5), (0, 10)]) is not None


def test_a_side_that_folds_back_touches():
    assert first_contact([(0, 0), (10, 0), (5, 0), (5, 5)]) == (0, 1)


def test_the_last_side_may_not_fold_back_over_the_first():
    assert first_contact([(0, 0), (10, 0), (10, 10), (20, 0)]) is not None


def test_sides_in_one_line_that_overlap_touch():
    assert first_contact([(0, 0), (10, 0), (10, 5), (6, 5), (6, 0), (4, 0), (4, -5), (0, -5)]) is not None


def test_a_corner_without_a_turn_is_plain():
    assert first_contact([(0, 0), (5, 0), (10, 0), (10, 10), (0, 10)]) is None


def test_sides_in_one_line_that_stay_apart_are_plain():
    # two teeth of a comb stand on one line
    assert first_contact([(0, 0), (2, 0), (2, 5), (4, 5), (4, 0), (6, 0), (6, 9), (0, 9)]) is None


def test_a_miss_by_the_last_digit_is_a_miss():
    far = 10**27
    assert first_contact([(0, 0), (far, 0), (far, far), (far // 2, 1), (0, far)]) is None
    assert first_contact([(0, 0), (far, 0), (far, far), (far // 2, 0), (0, far)]) == (0, 2)


def test_the_first_contact_is_named_however_the_outline_lies():
    # Two bites into the right side of a comb: sides 2 and 4 cross side 0 only in the second outline, from the far end.
    outline = [(0, 0), (100, 0), (100, 10), (50, -5), (40, 10), (30, -5), (0, 10)]
    assert first_contact(outline) == (0, 2)
    assert first_contact([(-x, y) for x, y in outline]) == (0, 2)
    assert first_contact([(y, x) for x, y in outline]) == (0, 2)


def test_a_hundred_digits_are_kept():
    assert to_integers([(Decimal("1." + "1" * 60), Decimal(0))]) == ([(int("1" * 61), 0)], 10**60)


@given(st.lists(st.tuples(st.integers(-6, 6), st.integers(-6, 6)), min_size=3, max_size=12, unique=True))
def test_the_sweep_finds_what_comparing_every_pair_finds(corners):
    count = len(corners)
    sides = [(corners[place], corners[(place + 1) % count]) for place in range(count)]
    pairs = combinations(range(count), 2)
    assert first_contact(corners) == next((pair for pair in pairs if touch(sides, *pair)), None)


def touch(sides, one, other) -> bool:
    """By the boxes and turns alone, without a sweep."""
    first, second = outlines._box(sides[one]), outlines._box(sides[other])
    apart = first[0] > second[2] or second[0] > first[2] or first[1] > second[3] or second[1] > first[3]
    return not apart and outlines._touch(sides, one, other)
