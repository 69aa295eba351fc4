"""Shapes of a few readings. Sizes are plain metres unless a helper says feet."""

from decimal import Decimal, localcontext

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.plane_shapes import Circle, Ellipse, Quadrilateral, Rectangle, Sector, Trapezoid, Triangle
from quoting.core.rounding import round_half_up, sig20
from quoting.core.shape_rules import CannotClose, NotPositive, ShapeFault
from quoting.core.units import parse_length, to_unit

lengths = st.decimals(min_value="0.01", max_value=1000, places=4)


def tape(text: str) -> Decimal:
    return parse_length(text).magnitude


def landing(**other: Decimal) -> Quadrilateral:
    """The mocks' landing: six readings, of which q is checked by the other five."""
    sizes = {
        "a": tape("6' 2\""),
        "b": tape("5' 8\""),
        "c": tape("6' 4\""),
        "d": tape("5' 6 1/2\""),
        "p": tape("8' 5\""),
    }
    return Quadrilateral(**(sizes | other))


def test_a_rectangle():
    # 32 ft × 14.5 ft = 464 ft²; 2 × 46.5 = 93 ft
    deck = Rectangle(length=tape("32 ft"), width=tape("14' 6\""))
    assert (to_unit(deck.area(), "ft**2"), to_unit(deck.edge(), "ft")) == (464, 93)
    assert deck.working("us") == "32′ 0″ × 14′ 6″"


def test_a_triangle_by_heron():
    # 13, 14, 15: 84, and round it 42
    part = Triangle(a=Decimal(13), b=Decimal(14), c=Decimal(15))
    assert (part.area(), part.edge()) == (84, 42)
    assert part.working("metric") == "a 13.00 m, b 14.00 m, c 15.00 m, s 21.00 m, √(s(s−a)(s−b)(s−c))"


def test_a_triangle_that_cannot_close_is_refused():
    with pytest.raises(CannotClose):
        Triangle(a=Decimal(1), b=Decimal(2), c=Decimal(4))


def test_a_quadrilateral_is_two_triangles():
    # a 3-4-5 and a 5-12-13 triangle on a common side of 5: 6 + 30
    part = Quadrilateral(a=Decimal(3), b=Decimal(4), c=Decimal(12), d=Decimal(13), p=Decimal(5))
    assert (part.area(), part.edge()) == (36, 32)


def test_the_second_diagonal_of_a_square():
    # side 1, p √2: q must be √2 as well
    root = Decimal(2).sqrt()
    square = Quadrilateral(a=Decimal(1), b=Decimal(1), c=Decimal(1), d=Decimal(1), p=root)
    assert sig20(square.computed_q()) == sig20(root)


def test_the_second_diagonal_of_a_rectangle():
    # 3 by 4, p 5: q 5
    assert Quadrilateral(**dict(zip("abcdp", map(Decimal, (3, 4, 3, 4, 5)), strict=True))).computed_q() == 5


def test_the_second_diagonal_of_a_kite():
    # p is the axis: (0,0) to (5,0) with corners at (1.8, ±2.4), from a 3-4-5 triangle on its longest side: q 4.8
    assert Quadrilateral(**dict(zip("abcdp", map(Decimal, (3, 4, 4, 3, 5)), strict=True))).computed_q() == Decimal(
        "4.8"
    )


def test_the_misclosure_is_measured_minus_computed():
    rectangle = dict(zip("abcdpq", map(Decimal, ("3", "4", "3", "4", "5", "4.97")), strict=True))
    assert Quadrilateral(**rectangle).misclosure() == Decimal("-0.03")


def test_without_a_second_diagonal_there_is_no_misclosure():
    assert landing().misclosure() is None
    assert landing().closes() is True


@pytest.mark.parametrize(("q", "closes"), [("5.0508", True), ("4.9492", True), ("5.0509", False), ("4.9491", False)])
def test_a_small_part_closes_within_two_inches(q: str, closes: bool):
    # 1 % of 5 m is 5 cm; 2 in = 5.08 cm is larger
    sides = dict(zip("abcdp", map(Decimal, (3, 4, 3, 4, 5)), strict=True))
    assert Quadrilateral(**sides, q=Decimal(q)).closes() is closes


@pytest.mark.parametrize(("q", "closes"), [("50.5", True), ("49.5", True), ("50.51", False), ("49.49", False)])
def test_a_large_part_closes_within_one_per_cent(q: str, closes: bool):
    sides = dict(zip("abcdp", map(Decimal, (30, 40, 30, 40, 50)), strict=True))
    assert Quadrilateral(**sides, q=Decimal(q)).closes() is closes


def test_a_landing_that_does_not_close():
    # the other five say 8′ 4½″, within half an eighth
    part = landing(q=tape("8' 9 1/2\""))
    assert part.closes() is False
    assert abs(part.computed_q() - tape("8' 4 1/2\"")) < tape("1/16 in")
    assert part.working("us") == "a 6′ 2″, b 5′ 8″, c 6′ 4″, d 5′ 6½″, p 8′ 5″: two triangles 17.47 ft² + 17.55 ft²"


@pytest.mark.parametrize("sizes", [(1, 1, 5, 5, 3), (5, 5, 1, 1, 3)])
def test_sides_that_cannot_close_on_the_diagonal_are_refused(sizes: tuple[int, ...]):
    with pytest.raises(CannotClose, match="the diagonal p"):
        Quadrilateral(**dict(zip("abcdp", map(Decimal, sizes), strict=True)))


def test_a_trapezoid_has_no_edge_without_its_slanted_sides():
    # (18 + 10) ÷ 2 × 24 = 336
    drive = Trapezoid(a=tape("18 ft"), b=tape("10 ft"), height=tape("24 ft"))
    assert (to_unit(drive.area(), "ft**2"), drive.edge()) == (336, None)
    assert drive.working("us") == "(18′ 0″ + 10′ 0″) ÷ 2 × 24′ 0″"


def test_a_trapezoid_with_its_slanted_sides_has_an_edge():
    part = Trapezoid(a=Decimal(10), b=Decimal(4), height=Decimal(4), c=Decimal(5), d=Decimal(5))
    assert part.edge() == 24


def test_a_slanted_side_shorter_than_the_height_is_refused():
    with pytest.raises(CannotClose, match="Side c can't be shorter than the height"):
        Trapezoid(a=Decimal(10), b=Decimal(4), height=Decimal(4), c=Decimal(3), d=Decimal(5))


def test_a_circle():
    # π × 36 ÷ 4 = 28.2743…; π × 6 = 18.8496
    planter = Circle(diameter=Decimal(6))
    assert (round_half_up(planter.area(), 4), round_half_up(planter.edge(), 4)) == (
        Decimal("28.2743"),
        Decimal("18.8496"),
    )
    assert Circle(diameter=tape("6 ft")).working("us") == "Ø 6′ 0″, π ÷ 4 × Ø²"


def test_an_ellipse_as_wide_as_long_is_a_circle():
    assert Ellipse(length=Decimal(6), width=Decimal(6)).edge() == Circle(diameter=Decimal(6)).edge()


def test_the_round_of_an_ellipse():
    # semi-axes 2 and 1: the complete elliptic integral gives 9.688448 (from memory)
    assert abs(Ellipse(length=Decimal(4), width=Decimal(2)).edge() - Decimal("9.688448")) < Decimal("0.00001")


def test_a_quarter_circle():
    # π × 100 × 90 ÷ 360 = 78.5398; 20 + π × 10 ÷ 2 = 35.7080
    part = Sector(radius=Decimal(10), angle=Decimal(90))
    assert (round_half_up(part.area(), 4), round_half_up(part.edge(), 4)) == (Decimal("78.5398"), Decimal("35.7080"))
    assert part.working("metric") == "r 10.00 m, π × r² × 90° ÷ 360°"


def test_more_than_a_whole_turn_is_refused():
    with pytest.raises(ShapeFault, match="360° or less"):
        Sector(radius=Decimal(1), angle=Decimal("360.1"))


@pytest.mark.parametrize("size", ["0", "-1", "NaN"])
def test_no_shape_takes_a_size_that_is_none(size: str):
    bad = Decimal(size)
    for make in (
        lambda: Rectangle(length=bad, width=Decimal(1)),
        lambda: Triangle(a=bad, b=Decimal(1), c=Decimal(1)),
        lambda: landing(q=bad),
        lambda: Trapezoid(a=Decimal(1), b=bad, height=Decimal(1)),
        lambda: Circle(diameter=bad),
        lambda: Ellipse(length=Decimal(1), width=bad),
        lambda: Sector(radius=Decimal(1), angle=bad),
    ):
        with pytest.raises(NotPositive):
            make()


def test_the_context_of_the_caller_changes_no_digit():
    whole = Circle(diameter=Decimal(6)).area()
    with localcontext() as context:
        context.prec = 4
        assert Circle(diameter=Decimal(6)).area() == whole


@given(lengths, lengths, lengths)
def test_a_longer_rectangle_is_never_smaller(length: Decimal, width: Decimal, more: Decimal):
    assert Rectangle(length=length + more, width=width).area() > Rectangle(length=length, width=width).area()


@given(lengths, lengths, lengths)
def test_the_order_of_the_sides_changes_no_triangle(x: Decimal, y: Decimal, z: Decimal):
    # sums of pairs always close
    a, b, c = x + y, y + z, z + x
    assert Triangle(a=a, b=b, c=c).area() == Triangle(a=c, b=a, c=b).area()


@given(lengths, lengths)
def test_a_rectangle_taped_as_a_quadrilateral_closes(length: Decimal, width: Decimal):
    diagonal = (length**2 + width**2).sqrt()
    # The diagonal is cut to 28 digits, which may leave a sliver of a misclosure.
    part = Quadrilateral(a=length, b=width, c=length, d=width, p=diagonal, q=diagonal)
    assert abs(part.misclosure()) < Decimal("1e-9")
    assert abs(part.area() - length * width) < Decimal("1e-9")


@given(lengths, st.decimals(min_value=1, max_value=359, places=2))
def test_a_sector_and_its_rest_make_the_circle(radius: Decimal, angle: Decimal):
    both = Sector(radius=radius, angle=angle).area() + Sector(radius=radius, angle=360 - angle).area()
    assert sig20(both) == sig20(Circle(diameter=2 * radius).area())
