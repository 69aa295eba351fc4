"""Marks for the tape; numbers worked by hand."""

from decimal import Decimal

from quoting.core.scope import Area, Part
from quoting.core.units import parse_length
from quoting.documents.tape_marks import taped_areas

D = Decimal


def part(shape: str, name: str = "", count: int = 1, **sizes: str) -> Part:
    read = tuple((key, parse_length(text, default_unit="m")) for key, text in sizes.items())
    return Part(shape=shape, sizes=read, name=name, count=count)


def at(share: str, *parts: Part) -> tuple[str, Decimal]:
    mark = taped_areas([Area(name="Deck", parts=parts)])["Deck"].at(D(share))
    return mark.part, round(mark.along, 3)


def test_a_rectangle_is_cut_by_its_share_along_the_longer_side():
    assert at("0.25", part("rectangle", length="3 m", width="8 m")) == ("", D(2))


def test_of_several_parts_the_one_is_named_in_which_the_cut_falls():
    # 6 × 4 = 24 and 3 × 4 = 12: two thirds are the first. At 5/6 half of the second is done: 2 m of its 4
    parts = (part("rectangle", length="6 m", width="4 m"), part("rectangle", "by the door", length="3 m", width="4 m"))
    assert at("0.5", *parts) == ("1", D("4.5"))
    assert at("0.83333333333", *parts) == ("by the door", D(2))


def test_half_a_circle_is_done_at_its_middle_and_a_fifth_nearer_to_the_edge():
    assert at("0.5", part("circle", diameter="4 m"))[1] == D(2)
    # a segment of the circle r = 2 of which (θ − sin θ) ÷ 2π = 0.2: θ = 2.1131, and r (1 − cos θ/2) = 1.0159 m; the
    # outline follows the circle in straight pieces, so to the centimetre
    assert abs(at("0.2", part("circle", diameter="4 m"))[1] - D("1.016")) <= D("0.01")


def test_a_triangle_is_cut_where_so_much_of_it_lies():
    # sides 3, 4, 5 with a = 4 along: the right angle is where a and b = 3 meet. Area 6; the thin end lies at 0, so that
    # up to x there is 6 (x ÷ 4)²; a quarter of it at x = 2
    assert at("0.25", part("triangle", a="4 m", b="3 m", c="5 m"))[1] in (D(2), D("0.536"))


def test_an_area_with_a_flight_of_steps_or_one_that_repeats_is_left_out():
    repeated = Area(name="Pads", parts=(part("rectangle", count=3, length="2 m", width="1 m"),))
    assert taped_areas([repeated]) == {}
