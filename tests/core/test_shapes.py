"""Shapes by the names of a scope file."""

from decimal import Decimal

import pytest

from quoting.core.shapes import SHAPES, Measured, Rectangle, ShapeFault, SizeMissing, Steps, make_shape


def test_the_shapes_are_those_of_the_table():
    assert list(SHAPES) == [
        "rectangle", "triangle", "quadrilateral", "trapezoid", "circle", "ellipse", "sector", "polygon", "offsets",
        "steps", "measured",
    ]  # fmt: skip


def test_a_shape_is_made_by_its_name():
    assert make_shape("rectangle", {"length": Decimal(3), "width": Decimal(4)}) == Rectangle(
        length=Decimal(3), width=Decimal(4)
    )


def test_a_measured_area_is_made_of_its_area_and_edge():
    assert make_shape("measured", {"area": Decimal(30), "edge": Decimal(22)}) == Measured(
        size=Decimal(30), around=Decimal(22)
    )


def test_steps_are_counted():
    sizes = {"count": 3, "width": Decimal(2), "tread": Decimal("0.3"), "riser": Decimal("0.2")}
    assert make_shape("steps", sizes) == Steps(count=3, width=Decimal(2), tread=Decimal("0.3"), riser=Decimal("0.2"))


def test_an_optional_size_may_be_absent_or_none():
    assert make_shape("measured", {"area": Decimal(30), "edge": None}) == make_shape("measured", {"area": Decimal(30)})


def test_an_unknown_shape_is_refused_with_the_known_ones():
    with pytest.raises(ShapeFault, match="“hexagon” is not a shape: write one of rectangle, triangle"):
        make_shape("hexagon", {})


def test_a_missing_size_is_refused_by_name():
    with pytest.raises(SizeMissing, match=r"A rectangle needs its width\."):
        make_shape("rectangle", {"length": Decimal(3)})


def test_a_size_of_another_shape_is_refused_by_name():
    with pytest.raises(SizeMissing, match="A measured has no size; it needs area, edge"):
        make_shape("measured", {"size": Decimal(3)})
