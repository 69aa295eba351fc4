"""Parts side by side, deducts in their place, and what is cut."""

from decimal import Decimal

import pytest

from quoting.core.shapes import Circle, Rectangle
from quoting.documents.plan import PlanArea, PlanPart
from quoting.documents.plan_parts import place_parts

D = Decimal


def rectangle(length: int, width: int, **given: object) -> PlanPart:
    return PlanPart(name="", shape=Rectangle(length=D(length), width=D(width)), **given)


def boxes(*parts: PlanPart, highlight: int | None = None) -> list[tuple[float, ...]]:
    area = PlanArea(letter="A", name="", surface="", parts=parts, net=D(1))
    return [tuple(round(value, 6) + 0.0 for value in one.box) for one in place_parts(area, highlight=highlight)]


@pytest.mark.parametrize(
    ("place", "box"),
    [("right", (10, 1, 14, 3)), ("left", (-4, 1, 0, 3)), ("above", (3, 4, 7, 6)), ("below", (3, -2, 7, 0))],
)
def test_a_part_lies_against_the_middle_of_the_one_before(place: str, box: tuple[int, ...]) -> None:
    # 4 by 2 against 10 by 4: (4 − 2) ÷ 2 = 1 up, or (10 − 4) ÷ 2 = 3 along.
    assert boxes(rectangle(10, 4), rectangle(4, 2, place=place)) == [(0, 0, 10, 4), box]


def test_a_part_that_would_cover_another_moves_on() -> None:
    # Right of the first, then left of that: the first is there, so it goes to the left of the first.
    assert boxes(rectangle(4, 2), rectangle(3, 2), rectangle(1, 2, place="left")) == [
        (0, 0, 4, 2),
        (4, 0, 7, 2),
        (-1, 0, 0, 2),
    ]


def test_a_round_deduct_is_placed_by_its_middle_and_any_other_by_its_corner() -> None:
    planter = PlanPart(name="", kind="deduct", shape=Circle(diameter=D(2)), x=D(7), y=D(3))
    drain = rectangle(1, 1, kind="deduct", x=D(2), y=D(1))
    assert boxes(rectangle(10, 6), planter, drain)[1:] == [(6, 2, 8, 4), (2, 1, 3, 2)]


def test_deducts_without_a_place_spread_along_the_first_part() -> None:
    # Two on 9 m: middles at 3 m and 6 m, half way up.
    loose = rectangle(1, 1, kind="deduct")
    assert boxes(rectangle(9, 3), loose, loose)[1:] == [(2.5, 1, 3.5, 2), (5.5, 1, 6.5, 2)]


def test_a_part_much_longer_than_its_neighbour_is_cut() -> None:
    # 100 by 2 beside 4 by 4: over 4 × 4 and over 20 × 2, so it is drawn 2 × 10 = 20 long.
    assert boxes(rectangle(100, 2), rectangle(4, 4)) == [(0, 0, 20, 2), (20, -1, 24, 3)]


def test_a_part_of_like_size_is_not_cut() -> None:
    assert boxes(rectangle(15, 2), rectangle(4, 4))[0] == (0, 0, 15, 2)


def test_a_part_with_something_taken_out_is_not_cut() -> None:
    assert boxes(rectangle(100, 2), rectangle(1, 1, kind="deduct"))[0] == (0, 0, 100, 2)


def test_neighbours_are_cut_against_the_part_being_measured() -> None:
    # 12 by 2 beside 4 by 4: over 1.5 × 4, so it is drawn as long as the part being measured.
    assert boxes(rectangle(12, 2), rectangle(4, 4), highlight=1)[0] == (0, 0, 4, 2)
