"""What each way of using a material comes to, worked by hand."""

from decimal import Decimal
from typing import Any

import pytest

from quoting.core.scope_file import scope_from_data
from quoting.core.units import to_unit
from quoting.core.work_out import work_out
from tests.sample_scopes import pool_deck


def need(use: dict[str, Any], unit: str, *, size: str = "1 gal", waste: str = "0", **material: str) -> Decimal:
    """The need, in the unit, of a material with that pack used on 300 ft² of plan with a texture of 1.2 (360 ft²)."""
    data = pool_deck()
    data["areas"] = [
        {"name": "Yard", "texture": "1.2", "parts": [{"shape": "rectangle", "length": "30 ft", "width": "10 ft"}]}
    ]
    data["materials"] = {"stuff": {"name": "Stuff", "packs": [{"size": size, "price": "10"}], **material}}
    data["work"] = [
        {"step": "Do", "areas": ["Yard"], "materials": [{"material": "stuff", "waste": waste, "use": use}]},
    ]
    figure = work_out(scope_from_data(data)).steps[0].materials[0]
    return round(to_unit(figure.need, unit), 9)


def test_coverage_goes_with_the_true_surface() -> None:
    # 360 × 2 ÷ 200 = 3.6
    assert need({"by": "coverage", "coverage": "200 ft**2/gal", "coats": 2}, "gal") == Decimal("3.6")


def test_waste_multiplies_the_need() -> None:
    # 360 ÷ 200 × 1.05 = 1.89
    assert need({"by": "coverage", "coverage": "200 ft**2/gal"}, "gal", waste="0.05") == Decimal("1.89")


def test_each_coat_can_have_a_rate_of_its_own() -> None:
    # 360 ÷ 240 + 360 ÷ 300 = 1.5 + 1.2
    assert need({"by": "coverage", "rates": ["240 ft**2/gal", "300 ft**2/gal"]}, "gal") == Decimal("2.7")


def test_a_coverage_by_mass_buys_by_mass() -> None:
    # 360 ÷ 60 = 6 lb
    assert need({"by": "coverage", "coverage": "60 ft**2/lb"}, "lb", size="5 lb") == Decimal(6)


def test_a_coverage_by_volume_buys_by_mass_with_a_density() -> None:
    # 360 ÷ 200 × 10 lb/gal = 18 lb
    use = {"by": "coverage", "coverage": "200 ft**2/gal", "density": "10 lb/gal"}
    assert need(use, "lb", size="5 lb") == Decimal(18)


def test_a_coverage_by_mass_buys_by_volume_with_a_density() -> None:
    # 360 ÷ 60 = 6 lb, ÷ 12 lb/gal = 0.5 gal
    assert need({"by": "coverage", "coverage": "60 ft**2/lb"}, "gal", density="12 lb/gal") == Decimal("0.5")


def test_a_uses_own_density_goes_before_the_materials() -> None:
    use = {"by": "coverage", "coverage": "60 ft**2/lb", "density": "6 lb/gal"}
    assert need(use, "gal", density="12 lb/gal") == Decimal(1)


def test_the_powder_of_a_mix_follows_the_water() -> None:
    # 360 ÷ 150 × 1.05 = 2.52 gal of mix, in steps of 0.25: 2.75 gal × 6 oz = 16.5 oz; the waste is in the water already
    use = {"by": "mix", "strength": "6 oz/gal", "coverage": "150 ft**2/gal", "batch": "5 gal", "batch_step": "0.25 gal"}
    assert need(use, "oz", size="1 lb", waste="0.05") == Decimal("16.5")


def test_a_dilution_needs_one_part_in_n_and_one() -> None:
    # 360 ÷ 120 = 3 gal of solution, one part in five
    assert need({"by": "dilution", "parts_water": "4", "coverage": "120 ft**2/gal"}, "gal") == Decimal("0.6")


def test_along_the_edge() -> None:
    # 2 × (30 + 10) = 80 ft × 0.5 fl oz
    assert need({"by": "length", "per_length": "0.5 fl oz/ft", "length": "edge"}, "fl oz") == Decimal(40)


def test_along_a_length() -> None:
    assert need({"by": "length", "per_length": "0.02 each/ft", "length": "100 ft"}, "each", size="1 each") == Decimal(2)


def test_a_crack_is_a_small_box() -> None:
    # 154 ft × 12 × ¼ × ½ = 231 in³ = 1 gal
    use = {"by": "crack", "length": "154 ft", "width": "1/4 in", "depth": "1/2 in"}
    assert need(use, "gal") == Decimal(1)


def test_joints_take_the_rest_of_the_grid() -> None:
    # 300 ft² of plan, not 360; 8 × 4 in units with 1 in joints: 1 − 32 ÷ 45 = 13/45 of it; 3 in deep:
    # 300 × 13 ÷ 45 ÷ 4 = 21.666… ft³, × 90 lb
    use = {"by": "joint", "unit_length": "8 in", "unit_width": "4 in", "joint": "1 in", "depth": "3 in"}
    assert need({**use, "density": "90 lb/ft**3"}, "lb", size="50 lb") == Decimal(1950)


def test_counted_things_are_as_many_as_said() -> None:
    assert need({"by": "each", "count": 4}, "each", size="1 each") == Decimal(4)


@pytest.mark.parametrize(
    ("per_area", "count"), [("100 ft**2", 3), ("101 ft**2", 3), ("99 ft**2", 4), ("43200 in**2", 1)]
)
def test_one_for_each_area_begun(per_area: str, count: int) -> None:
    # 300 ft² is exactly three times 100 ft², and 43,200 in²: a bare ceiling would often count one more
    assert need({"by": "each", "per_area": per_area}, "each", size="1 each") == Decimal(count)


def test_waste_on_counted_things() -> None:
    assert need({"by": "each", "count": 10}, "each", size="1 each", waste="0.05") == Decimal("10.5")


def test_rates_by_volume_and_by_mass_do_not_mix() -> None:
    with pytest.raises(ValueError, match="all by volume or all by mass"):
        need({"by": "coverage", "rates": ["200 ft**2/gal", "60 ft**2/lb"]}, "gal")


def test_what_is_stirred_in_goes_by_the_volume_that_it_goes_into() -> None:
    # 360 × 2 ÷ 240 = 3 gal; × 4 oz = 12 oz; 5 % lost: 12.6 oz
    use = {"by": "stirred", "strength": "4 oz/gal", "coverage": "240 ft**2/gal", "coats": 2}
    assert need(use, "oz", size="1 lb", waste="0.05") == Decimal("12.6")


def test_what_is_stirred_in_needs_a_density_where_it_is_sold_by_volume() -> None:
    # 360 ÷ 240 = 1.5 gal × 4 oz = 6 oz = 0.375 lb; ÷ 50 lb/ft³ = 0.0075 ft³
    use = {"by": "stirred", "strength": "4 oz/gal", "coverage": "240 ft**2/gal"}
    assert need(use, "ft**3", size="1 gal", density="50 lb/ft**3") == Decimal("0.0075")
