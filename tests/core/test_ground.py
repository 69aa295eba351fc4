"""Areas taken together as the ground of a step."""

from decimal import Decimal

import pytest

from quoting.core.ground import calculated, ground_of, magnitude, measured
from quoting.core.scope import Area
from quoting.core.scope_file import scope_from_data
from quoting.core.shapes import CannotClose, Rectangle
from quoting.core.units import parse_length
from tests.sample_scopes import everything, pool_deck


def areas() -> tuple[Area, ...]:
    return scope_from_data(everything()).areas


def test_a_part_loses_its_text_and_keeps_its_name_and_count() -> None:
    part = calculated(areas()[0].parts[0])
    assert part.shape == Rectangle(length=Decimal("9.7536"), width=Decimal("4.4196"))  # 32 ft, 14.5 ft
    assert (part.count, part.name) == (2, "deck")


def test_sizes_of_sizes_are_magnitudes_too() -> None:
    foot = parse_length("1 ft")
    assert magnitude(((foot, foot), (foot,), Decimal(90), 3)) == (
        (Decimal("0.3048"), Decimal("0.3048")),
        (Decimal("0.3048"),),
        Decimal(90),
        3,
    )


def test_the_ground_adds_up_its_areas() -> None:
    figures = [measured(area, "us") for area in areas()]
    ground = ground_of(("Walk", "Deck"), {"Deck": 0, "Walk": 1}, figures)
    assert ground.places == (1, 0)
    assert ground.nets == (figures[1].net, figures[0].net)
    assert (ground.net, ground.effective) == (sum(ground.nets), sum(ground.effectives))
    assert (ground.edge, ground.texture) == (None, None)  # the offsets' curved edge is not known; the textures differ


def test_one_area_alone_has_its_edge_and_texture() -> None:
    figures = [measured(area, "us") for area in areas()]
    ground = ground_of(("Deck",), {"Deck": 0, "Walk": 1}, figures)
    assert (ground.edge, ground.texture) == (figures[0].edge, Decimal("1.12"))


def test_a_shape_that_can_not_be_says_so() -> None:
    part = areas()[0].parts[1]
    broken = type(part)(
        shape="triangle", sizes=tuple((name, parse_length(f"{n} ft")) for name, n in zip("abc", (1, 2, 4), strict=True))
    )
    with pytest.raises(CannotClose):
        calculated(broken)


def test_deducts_are_taken_out() -> None:
    area = scope_from_data(pool_deck()).areas[0]
    assert round(measured(area, "us").net / Decimal("0.09290304"), 4) == Decimal("435.7257")
