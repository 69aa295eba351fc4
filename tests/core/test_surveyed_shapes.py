"""Shapes of many readings, in metres."""

from decimal import Decimal, localcontext
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import Polygon as ShapelyPolygon

from quoting.core.rounding import sig20
from quoting.core.shape_rules import CrossesItself, NotPositive, ShapeFault, TooFewOffsets, TooFewPoints, TooManyPoints
from quoting.core.surveyed_shapes import Measured, Offsets, Polygon, Steps
from quoting.core.units import parse_length, to_unit

coordinates = st.integers(min_value=-50, max_value=50)
outlines = st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=8)


def polygon(*points: tuple[object, object]) -> Polygon:
    return Polygon(points=tuple((Decimal(str(x)), Decimal(str(y))) for x, y in points))


def offsets(spacing: str, *readings: str) -> Offsets:
    return Offsets(spacing=Decimal(spacing), offsets=tuple(map(Decimal, readings)))


def test_a_polygon_by_coordinates():
    # an L: 10 × 10 less 6 × 6 = 64; round it 40
    part = polygon((0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10))
    assert (part.area(), part.edge()) == (64, 40)
    # Σ x·y′ = 0 + 40 + 40 + 40 + 40 + 0 = 160; Σ y·x′ = 0 + 0 + 16 + 16 + 0 + 0 = 32; half of 128
    assert part.working("metric") == "6 corners by coordinates, |160.00 − 32.00| ÷ 2"


def test_two_corners_are_no_polygon():
    with pytest.raises(TooFewPoints, match="at least three corners"):
        polygon((0, 0), (1, 1))


def test_an_outline_that_crosses_itself_is_refused_with_its_sides():
    with pytest.raises(CrossesItself, match="from corner 1 to 2 meets 3 to 4"):
        polygon((0, 0), (10, 10), (10, 0), (0, 10))


def test_an_outline_that_touches_itself_is_refused():
    with pytest.raises(CrossesItself, match="touches or crosses itself"):
        polygon((0, 0), (10, 0), (10, 10), (5, 0), (0, 10))


def test_a_corner_given_twice_is_refused_by_its_number():
    with pytest.raises(CrossesItself, match="Corner 4 repeats corner 1: give each corner once"):
        polygon((0, 0), (10, 0), (10, 10), ("0.0", 0))


def test_corners_in_one_line_are_no_area():
    with pytest.raises(CrossesItself):
        polygon((0, 0), (5, 0), (10, 0))


def test_a_corner_that_is_no_number_is_refused():
    with pytest.raises(NotPositive):
        polygon((0, 0), (10, 0), (10, "NaN"))


def test_200_corners_are_the_most():
    comb = [(x, x % 2) for x in range(199)]
    assert len(polygon(*comb, (99, 500)).points) == 200
    with pytest.raises(TooManyPoints, match="200 corners at most"):
        polygon(*comb, (150, 400), (99, 500))


def test_a_side_across_a_corner_of_another_counts_however_far_the_survey_lies_off():
    with pytest.raises(CrossesItself):
        polygon((9000, 9000), (9010, 9010), (9010, 9000), (9000, 9010))


@given(outlines)
def test_polygons_agree_with_shapely(points: list[tuple[int, int]]):
    other = ShapelyPolygon(points)
    if not (other.is_valid and other.area > 0 and len(set(points)) == len(points)):
        assume(other.is_valid is False)
        with pytest.raises(ShapeFault):
            polygon(*points)
        return
    part = polygon(*points)
    assert part.area() == Decimal(str(other.area))
    assert abs(part.edge() - Decimal(other.length)) < Decimal("1e-9")


@given(outlines, st.integers(min_value=0, max_value=7))
def test_neither_direction_nor_first_corner_changes_a_polygon(points: list[tuple[int, int]], start: int):
    assume(len(set(points)) == len(points) and ShapelyPolygon(points).is_valid)
    part = polygon(*points)
    turned = polygon(*points[start % len(points) :], *points[: start % len(points)])
    back = polygon(*reversed(points))
    assert part.area() == turned.area() == back.area()
    assert sig20(part.edge()) == sig20(turned.edge()) == sig20(back.edge())


@given(outlines, st.integers(min_value=-9000, max_value=9000))
def test_a_polygon_may_lie_anywhere(points: list[tuple[int, int]], away: int):
    assume(len(set(points)) == len(points) and ShapelyPolygon(points).is_valid)
    assert polygon(*points).area() == polygon(*((x + away, y - away) for x, y in points)).area()


def test_offsets_by_simpson():
    # 2 ÷ 3 × (0 + 4 × 3 + 0) = 8
    part = offsets("2", "0", "3", "0")
    assert (part.area(), part.edge()) == (8, None)
    assert part.working("metric") == "3 offsets at 2.00 m, Simpson: 2.00 m ÷ 3 × (0.00 + 4 × 3.00 + 2 × 0.00 + 0.00)"


def test_an_odd_number_of_strips_ends_with_a_trapezoid():
    # 2 ÷ 3 × (0 + 4 × 3 + 6) = 12, and 2 ÷ 2 × (6 + 4) = 10
    part = offsets("2", "0", "3", "6", "4")
    assert part.area() == 22
    assert part.working("metric").endswith("2 × 0.00 + 6.00) + 2.00 m ÷ 2 × (6.00 + 4.00)")


def test_two_offsets_are_one_trapezoid():
    # 2 ÷ 2 × (1 + 3) = 4
    assert offsets("2", "1", "3").area() == 4
    assert offsets("2", "1", "3").working("metric") == "2 offsets at 2.00 m: 2.00 m ÷ 2 × (1.00 + 3.00)"


def test_simpson_is_exact_on_a_parabola():
    # y = x(6 − x) at 0 … 6: the area under it is 6³ ÷ 6 = 36
    assert offsets("1", *(str(x * (6 - x)) for x in range(7))).area() == 36


def test_one_offset_is_too_few():
    with pytest.raises(TooFewOffsets, match="at least two offsets"):
        offsets("2", "1")


def test_a_negative_offset_is_refused_by_its_number():
    with pytest.raises(NotPositive, match="Offset 2 must not be negative"):
        offsets("2", "1", "-1", "1")


def test_offsets_that_are_all_nothing_are_refused():
    with pytest.raises(NotPositive, match="At least one offset"):
        offsets("2", "0", "0")


def test_201_offsets_are_too_many():
    with pytest.raises(TooManyPoints):
        offsets("1", *["1"] * 201)


@given(st.lists(st.decimals(min_value=0, max_value=100, places=3), min_size=2, max_size=12), st.integers(0, 11))
def test_a_longer_offset_is_never_less_area(readings: list[Decimal], place: int):
    assume(any(readings))
    longer = [reading + (index == place % len(readings)) for index, reading in enumerate(readings)]
    spacing = Decimal(3)
    assert (
        Offsets(spacing=spacing, offsets=tuple(longer)).area()
        > Offsets(spacing=spacing, offsets=tuple(readings)).area()
    )


@given(st.lists(st.decimals(min_value="0.001", max_value=100, places=3), min_size=2, max_size=12))
def test_level_offsets_are_a_rectangle(readings: list[Decimal]):
    level = (readings[0],) * len(readings)
    strips = len(list(pairwise(readings)))
    assert sig20(Offsets(spacing=Decimal(3), offsets=level).area()) == sig20(readings[0] * 3 * strips)


def test_a_flight_of_steps():
    # 3 × 5 ft × (12 in + 7 in) = 23.75 ft²; nosings 15 ft
    flight = Steps(
        count=3,
        width=parse_length("5 ft").magnitude,
        tread=parse_length("12 in").magnitude,
        riser=parse_length("7 in").magnitude,
    )
    assert (to_unit(flight.area(), "ft**2"), to_unit(flight.edge(), "ft")) == (Decimal("23.75"), 15)
    assert flight.working("us") == "3 × 5′ 0″ × (12″ + 7″)"


@pytest.mark.parametrize("count", [0, -1, 201])
def test_no_flight_has_so_many_steps(count: int):
    with pytest.raises(ShapeFault, match="between 1 and 200"):
        Steps(count=count, width=Decimal(1), tread=Decimal(1), riser=Decimal(1))


def test_a_measured_area_is_as_given():
    assert (Measured(size=Decimal(30)).area(), Measured(size=Decimal(30)).edge()) == (30, None)
    assert Measured(size=Decimal(30), around=Decimal(22)).edge() == 22


def test_the_context_of_the_caller_changes_no_digit():
    part = offsets("0.3048", "1.2345678", "2.3456789", "3.4567891")
    whole = part.area()
    with localcontext() as context:
        context.prec = 3
        assert part.area() == whole
