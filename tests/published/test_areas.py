"""Areas by coordinates, by offsets and by sides, and volumes, against outside sources."""

from decimal import Decimal

import pytest

from quoting.core.areas import Part, measure
from quoting.core.outlines import cross_sums, to_integers
from quoting.core.rounding import round_half_up
from quoting.core.shapes import (
    CannotClose,
    Circle,
    CrossesItself,
    Ellipse,
    Offsets,
    Polygon,
    Rectangle,
    Steps,
    Trapezoid,
    Triangle,
)
from quoting.core.units import parse_length, to_unit

# The traverse of J. Mahun, Traverse Computations, ch. G, example 1: northing and easting in feet.
TRAVERSE = (("500", "2000"), ("323.614", "1561.426"), ("526.996", "1488.321"), ("719.336", "1686.956"))


def feet(number: str) -> Decimal:
    return parse_length(f"{number} ft", negative=True).magnitude


def survey(*points: tuple[str, str]) -> Polygon:
    return Polygon(points=tuple((feet(north), feet(east)) for north, east in points))


def square_feet(part: Polygon | Trapezoid | Steps) -> Decimal:
    return to_unit(part.area(), "ft**2")


def offsets(spacing: int, readings: str) -> Offsets:
    return Offsets(spacing=Decimal(spacing), offsets=tuple(map(Decimal, readings.split())))


def trapezoids(part: Offsets) -> Decimal:
    """The trapezoidal rule, which the core does not use, as the pages print it beside Simpson's."""
    return part.spacing * (sum(part.offsets) - (part.offsets[0] + part.offsets[-1]) / 2)


def test_a_traverse_by_coordinates():
    # J. Mahun, Traverse Computations, ch. G, example 1: 102,935.7 ft²
    assert abs(square_feet(survey(*TRAVERSE)) - Decimal("102935.7")) < 1


def test_the_cross_sums_of_the_traverse():
    # the same: 3,384,174.1 and 3,590,045.6
    corners, scale = to_integers([(Decimal(north), Decimal(east)) for north, east in TRAVERSE])
    sums = sorted(round_half_up(Decimal(total) / scale**2, 1) for total in cross_sums(corners))
    assert sums == [Decimal("3384174.1"), Decimal("3590045.6")]


def test_a_rectangle_as_a_polygon_has_no_negative_area():
    # after an FE surveying study text, 8.4: 60,000 ft², exact, though the raw sum is negative
    assert square_feet(survey(("0", "0"), ("0", "300"), ("200", "300"), ("200", "0"))) == 60_000


def test_direction_and_first_corner_do_not_matter():
    # J. Mahun, Traverse Computations, ch. H
    area = survey(*TRAVERSE).area()
    assert survey(*reversed(TRAVERSE)).area() == area
    assert survey(*TRAVERSE[2:], *TRAVERSE[:2]).area() == area


def test_a_crossing_outline_is_rejected():
    # J. Mahun, Traverse Computations, ch. G and H: the formula holds for non-crossing outlines
    with pytest.raises(CrossesItself):
        survey(TRAVERSE[0], TRAVERSE[2], TRAVERSE[1], TRAVERSE[3])


def test_eleven_offsets_by_simpson():
    # after a worked surveying answer: 375.33 (and 378.0 by trapezoids)
    part = offsets(10, "2.5 3.5 5.0 4.6 3.2 2.4 5.6 6.2 3.8 1.8 0.9")
    assert round_half_up(part.area(), 2) == Decimal("375.33")
    assert abs(trapezoids(part) - 378) < Decimal("1.01")


def test_ten_offsets_end_with_a_trapezoid():
    # a surveying problem that states its method: Simpson on the first nine and one trapezoid, 807.375 (or 811.125)
    part = offsets(15, "3.50 4.30 6.15 5.25 7.50 8.80 7.90 6.40 4.40 3.25")
    assert part.area() == Decimal("807.375")
    assert trapezoids(part) == Decimal("811.125")


def test_a_wrong_published_answer_for_ten_offsets():
    # a machine-written answer prints 420 by trapezoids and 419.2 by Simpson; 8 × (50.1 − 1.1) = 392 is right
    part = offsets(8, "1.3 2.5 6.5 7.9 7.5 6.9 7.3 6.2 3.1 0.9")
    assert trapezoids(part) == 392
    assert abs(part.area() - 392) < 4
    assert abs(part.area() - Decimal("419.2")) > 20


@pytest.mark.parametrize(("sides", "area"), [((13, 14, 15), 84), ((3, 4, 5), 6), ((1, 2, 3), 0)])
def test_heron(sides: tuple[int, int, int], area: int):
    # classical, from memory
    a, b, c = map(Decimal, sides)
    assert Triangle(a=a, b=b, c=c).area() == area


def test_sides_that_make_no_triangle_are_rejected():
    # classical, from memory: 1, 2, 4
    with pytest.raises(CannotClose):
        Triangle(a=Decimal(1), b=Decimal(2), c=Decimal(4))


def test_an_ellipse():
    # π a b, from memory: semi-axes 12 and 8
    assert round_half_up(Ellipse(length=Decimal(24), width=Decimal(16)).area(), 2) == Decimal("301.59")


def test_a_circle():
    # π d² ÷ 4, from memory: diameter 9
    assert round_half_up(Circle(diameter=Decimal(9)).area(), 2) == Decimal("63.62")


def test_a_trapezoid_drive():
    # mean width times length, from memory: 24 ft long, 18 and 10 ft wide
    assert square_feet(Trapezoid(a=feet("18"), b=feet("10"), height=feet("24"))) == 336


def test_the_surface_of_steps():
    # an identity: 3 steps, 7 in rise, 12 in tread, 4 ft wide: 4 × 3 × 19 ÷ 12
    flight = Steps(
        count=3, width=feet("4"), tread=parse_length("12 in").magnitude, riser=parse_length("7 in").magnitude
    )
    assert square_feet(flight) == 19


def test_the_volume_of_a_slab():
    # after a home-improvement how-to: 720 ft² × 4 in; it prints 239.97 ft³ and 8.88 yd³, exact are 240 and 8.889
    slab = measure([Part(Rectangle(length=feet("40"), width=feet("18")))])
    volume = slab.net * parse_length("4 in").magnitude
    assert round_half_up(to_unit(volume, "ft**3"), 10) == 240
    assert round_half_up(to_unit(volume, "yd**3"), 3) == Decimal("8.889")
    assert round_half_up(to_unit(volume * Decimal("1.1"), "yd**3"), 2) == Decimal("9.78")


def test_a_how_to_s_pavers():
    # after a how-to: a 16 × 8 ft patio in 8 × 6 in pavers, 3 to the square foot, 384 in all
    patio = Rectangle(length=feet("16"), width=feet("8"))
    paver = Rectangle(length=parse_length("8 in").magnitude, width=parse_length("6 in").magnitude)
    assert round_half_up(patio.area() / paver.area(), 12) == 384


@pytest.mark.parametrize(
    ("length", "width", "per_square_foot"),
    [("4 in", "8 in", "4.5"), ("3 5/8 in", "7 5/8 in", "5.2"), ("3 3/4 in", "7 1/2 in", "5.1")],
)
def test_pavers_to_the_square_foot(length: str, width: str, per_square_foot: str):
    # Brick Industry Association, 7-step leaflet
    paver = Rectangle(length=parse_length(length).magnitude, width=parse_length(width).magnitude)
    assert round_half_up(1 / to_unit(paver.area(), "ft**2"), 1) == Decimal(per_square_foot)


@pytest.mark.parametrize(("depth", "printed", "places"), [("1 in", ".00309", 5), ("4 in", ".01235", 5)])
def test_cubic_yards_below_a_square_foot(depth: str, printed: str, places: int):
    # Brick Industry Association, 7-step leaflet: bedding sand 1 in (1 ÷ 12 ÷ 27), base stone 4 in
    volume = Rectangle(length=feet("1"), width=feet("1")).area() * parse_length(depth).magnitude
    assert round_half_up(to_unit(volume, "yd**3"), places) == Decimal(printed)


@pytest.mark.parametrize(
    ("width", "depth", "feet_a_gallon"), [("1/4", "1/4", 308), ("1/8", "1/4", 616), ("1/2", "1/2", 77)]
)
def test_feet_of_crack_to_the_gallon(width: str, depth: str, feet_a_gallon: int):
    # from the gallon of 231 in³ (NIST Handbook 44): 231 ÷ (W × D × 12)
    one_foot = feet("1") * parse_length(f"{width} in").magnitude * parse_length(f"{depth} in").magnitude
    assert round_half_up(1 / to_unit(one_foot, "gal"), 10) == feet_a_gallon
