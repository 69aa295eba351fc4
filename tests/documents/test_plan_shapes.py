"""Figures of the core's shapes: corners, curves and measures by hand, in metres."""

from decimal import Decimal

import pytest

from quoting.core.shapes import (
    Circle,
    Measured,
    Offsets,
    Polygon,
    Quadrilateral,
    Rectangle,
    Sector,
    Steps,
    Trapezoid,
    Triangle,
)
from quoting.documents.plan_figures import Figure
from quoting.documents.plan_shapes import figure_of

D = Decimal


def corners(figure: Figure) -> list[tuple[float, float]]:
    return [(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in figure.ring]


def keys(figure: Figure) -> list[str]:
    return [measure.key for measure in figure.measures]


def test_a_rectangle_lies_along_its_length() -> None:
    figure = figure_of(Rectangle(length=D(4), width=D(3)))
    assert corners(figure) == [(0, 0), (4, 0), (4, 3), (0, 3)]
    assert keys(figure) == ["length", "width"]


def test_a_triangle_stands_on_its_first_side() -> None:
    # 3-4-5: a 4 along the bottom, b 3 up its right end, c 5 back.
    assert corners(figure_of(Triangle(a=D(4), b=D(3), c=D(5)))) == [(0, 0), (4, 0), (4, 3)]


def test_a_four_sided_part_closes_by_its_diagonal() -> None:
    # a 4, b 3, p 5 and c 4, d 3, p 5: a rectangle of 4 by 3.
    shape = Quadrilateral(a=D(4), b=D(3), c=D(4), d=D(3), p=D(5))
    assert corners(figure_of(shape)) == [(0, 0), (4, 0), (4, 3), (0, 3)]
    assert keys(figure_of(shape)) == ["a", "b", "c", "d", "p"]


@pytest.mark.parametrize(("place", "side"), [("right", 3), ("left", 1), ("below", 2), ("above", 0)])
def test_a_four_sided_part_turns_the_side_that_adjoins(place: str, side: int) -> None:
    shape = Quadrilateral(a=D(4), b=D("3.5"), c=D("4.2"), d=D(3), p=D(5))
    ring = corners(figure_of(shape, place=place))
    (x0, y0), (x1, y1) = ring[side], ring[(side + 1) % 4]
    # The adjoining side runs down the left, up the right, along the top to the left, or along the bottom to the right.
    upright, positive = {"right": (True, False), "left": (True, True), "below": (False, False), "above": (False, True)}[
        place
    ]
    assert (abs(x1 - x0) if upright else abs(y1 - y0)) < 1e-5
    assert ((y1 > y0) if upright else (x1 > x0)) is positive


def test_a_trapezoid_without_sides_is_drawn_evenly() -> None:
    # a 6 below, b 2 above, 3 apart: (6 − 2) ÷ 2 = 2 on either side.
    assert corners(figure_of(Trapezoid(a=D(6), b=D(2), height=D(3)))) == [(0, 0), (6, 0), (4, 3), (2, 3)]


def test_a_circle_keeps_within_its_diameter() -> None:
    figure = figure_of(Circle(diameter=D(2)))
    assert [round(value, 6) for value in figure.box] == [0, 0, 2, 2]
    assert figure.round


def test_a_half_circle_lies_flat() -> None:
    # Radius 2, 180°: 4 wide and 2 high.
    assert [round(value, 6) for value in figure_of(Sector(radius=D(2), angle=D(180))).box] == [0, 0, 4, 2]


def test_a_polygon_taken_clockwise_is_turned_round() -> None:
    points = ((D(0), D(0)), (D(0), D(2)), (D(3), D(2)), (D(3), D(0)))
    assert corners(figure_of(Polygon(points=points))) == [(3, 0), (3, 2), (0, 2), (0, 0)]


def test_offsets_are_joined_by_the_parabola_that_simpson_integrates() -> None:
    # Ordinates 0, 2, 0 at 1 m: the control point of the parabola through them is at 2 × 2 − (0 + 0) ÷ 2 = 4.
    base, curve = figure_of(Offsets(spacing=D(1), offsets=(D(0), D(2), D(0)))).edges
    assert base.commands == (("L", ((2.0, 0.0),)),)
    assert (curve.start, curve.commands) == ((2.0, 0.0), (("Q", ((1.0, 4.0), (0.0, 0.0))),))


def test_the_strip_left_over_is_straight() -> None:
    # Three strips: one parabola over two, then a straight line to the last ordinate; drawn from right to left.
    *_, curve, fall = figure_of(Offsets(spacing=D(1), offsets=(D(1), D(1), D(1), D(2)))).edges
    assert [letter for letter, _ in curve.commands] == ["L", "Q"]
    assert curve.start == (3.0, 2.0)
    assert fall.commands == (("L", ((0.0, 0.0),)),)


def test_the_area_under_the_drawn_curve_is_simpsons() -> None:
    # Simpson: 2 ÷ 3 × (1 + 4 × 3 + 2) = 10 m² over two strips of 2 m.
    ring = figure_of(Offsets(spacing=D(2), offsets=(D(1), D(3), D(2)))).ring
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    traced = sum(p[0] * q[1] - q[0] * p[1] for p, q in pairs) / 2
    assert abs(traced - 10) < 0.05


@pytest.mark.parametrize(
    ("place", "base"),
    [("above", ((0, 0), (2, 0))), ("right", ((0, 2), (0, 0))), ("below", ((2, 1), (0, 1))), ("left", ((1, 0), (1, 2)))],
)
def test_offsets_stand_on_the_part_before_them(place: str, base: tuple[tuple[int, int], tuple[int, int]]) -> None:
    figure = figure_of(Offsets(spacing=D(2), offsets=(D(1), D(1))), place=place)
    assert figure.base is not None
    assert tuple((round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in figure.base) == base


def test_steps_show_a_line_between_treads() -> None:
    figure = figure_of(Steps(count=3, width=D(2), tread=D("0.3"), riser=D("0.2")))
    assert [round(value, 6) for value in figure.box] == [0, 0, 2, 0.9]
    assert [round(p[1], 6) for p, _ in figure.treads] == [0.3, 0.6]


def test_a_measured_area_keeps_its_area() -> None:
    # 6 m² as 3 by 2.
    figure = figure_of(Measured(size=D(6)))
    assert corners(figure) == [(0, 0), (3, 0), (3, 2), (0, 2)]
    assert figure.guess


def test_a_rectangle_is_cut_to_the_length_asked_for() -> None:
    figure = figure_of(Rectangle(length=D(30), width=D(1)), drawn=("x", 10.0))
    assert corners(figure) == [(0, 0), (10, 0), (10, 1), (0, 1)]
    assert figure.cut == ("x", (5.0, 0.5))
    assert figure.measures[0].value == D(30)
