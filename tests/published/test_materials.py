"""Quantities of material against published figures."""

from decimal import Decimal
from typing import Any

import pytest

from quoting.core.scope_file import scope_from_data
from quoting.core.units import to_unit
from quoting.core.work_out import work_out

D = Decimal


def need(area: str, use: dict[str, Any], unit: str, *, size: str = "1 gal", waste: str = "0") -> Decimal:
    """The need, in the unit, of a material sold in that size, on so much plain area."""
    data = {
        "format": 1,
        "currency": "USD",
        "units": "us",
        "areas": [{"name": "Yard", "parts": [{"shape": "measured", "area": area, "edge": "60 ft"}]}],
        "materials": {"stuff": {"name": "Stuff", "packs": [{"size": size, "price": "1"}]}},
        "work": [
            {"step": "Do", "areas": ["Yard"], "materials": [{"material": "stuff", "use": use, "waste": waste}]},
        ],
        "crew": {"size": 1, "hourly_cost": "39"},
        "pricing": {"profit": {"markup": "0"}},
    }
    return to_unit(work_out(scope_from_data(data)).steps[0].materials[0].need, unit)


@pytest.mark.parametrize(
    ("length", "width", "published"),
    [("8", "4", "4.5"), ("7.625", "3.625", "5.2"), ("7.5", "3.75", "5.1")],
)
def test_pavers_a_square_foot(length: str, width: str, published: str) -> None:
    """Brick Industry Association, 7-step leaflet: pavers per ft² of 4×8, 3-5/8 × 7-5/8 and 3-3/4 × 7-1/2 in."""
    each = f"{D(length) * D(width)} in**2"
    count = need("1000 ft**2", {"by": "each", "per_area": each}, "each", size="1 each") / 1000
    assert abs(count - D(published)) <= D("0.05")


def test_a_paver_order() -> None:
    """Brick Industry Association, 7-step leaflet: 10 × 20 ft at 4.5 a ft² is 900, and 5 % more is 945."""
    use = {"by": "each", "per_area": "32 in**2"}
    assert need("200 ft**2", use, "each", size="1 each") == 900
    assert need("200 ft**2", use, "each", size="1 each", waste="0.05") == 945


def test_pavers_of_six_by_eight() -> None:
    """After a home-improvement how-to: 8 × 6 in are 3 a ft², so 16 × 8 ft take 384. Exactly: 144 ÷ 48 is 3."""
    assert need("128 ft**2", {"by": "each", "per_area": "48 in**2"}, "each", size="1 each") == 384


@pytest.mark.parametrize(
    ("width", "depth", "feet"), [("1/4 in", "1/4 in", "308"), ("1/8 in", "1/4 in", "616"), ("1/2 in", "1/2 in", "77")]
)
def test_a_gallon_of_crack_filler(width: str, depth: str, feet: str) -> None:
    """231 in³ a gallon (NIST Handbook 44, App. C) ÷ (width × depth × 12 in): 308, 616 and 77 ft."""
    use = {"by": "crack", "length": f"{feet} ft", "width": width, "depth": depth}
    assert round(need("100 ft**2", use, "gal"), 15) == 1


def test_joint_sand_of_a_hundred_square_feet() -> None:
    """Identity, from memory: 4 × 8 × 2-3/8 in pavers with 1/8 in joints: 1 − 32 ÷ (4.125 × 8.125) = 4.52 %; 0.895
    ft³.
    """
    use = {"by": "joint", "unit_length": "8 in", "unit_width": "4 in", "joint": "1/8 in", "depth": "2 3/8 in"}
    assert abs(need("100 ft**2", use, "ft**3") - D("0.895")) <= D("0.005")


def test_joint_sand_by_weight() -> None:
    """Common practice, no published source: 95 lb/ft³, 1 in deep, is 0.37 lb a ft² for 4 × 8 in pavers, 1/8 in
    joints.
    """
    use = {"by": "joint", "unit_length": "8 in", "unit_width": "4 in", "joint": "1/8 in", "depth": "1 in"}
    mass = need("1 ft**2", use | {"density": "95 lb/ft**3"}, "lb", size="50 lb")
    # the published figure adds the joints along both sides of a paver and counts the crossings twice
    assert abs(mass - D("0.37")) <= D("0.015")


def test_etching_solution() -> None:
    """After a surface-preparation how-to: 500 ft² at 50 ft²/gal, 3 of water to 1: 10 gal, of which 2.5 of acid."""
    use = {"by": "dilution", "parts_water": "3", "coverage": "50 ft**2/gal"}
    assert round(need("500 ft**2", use, "gal"), 15) == D("2.5")


@pytest.mark.parametrize(("coverage", "metric"), [("200 ft**2/gal", "4.908"), ("300 ft**2/gal", "7.363")])
def test_spreading_rates_in_both_systems(coverage: str, metric: str) -> None:
    """0.09290304 ÷ 3.785411784 a ft²/gal (85 FR 62698; NIST Handbook 44): 4.908 and 7.363 m²/L."""
    litres = need("1000 m**2", {"by": "coverage", "coverage": coverage}, "L")
    assert abs(1000 / litres - D(metric)) <= D("0.005")


def test_a_gallon_at_one_mil() -> None:
    """Gauge maker's formula sheet: 231 in³ at a mil is 1604 1/6 ft². A gallon over that lies one mil thick."""
    use = {"by": "coverage", "coverage": "1604.166667 ft**2/gal"}
    assert abs(need("1604.166667 ft**2", use, "gal") - 1) < D("1e-12")


def test_a_slabs_volume() -> None:
    """Home-improvement how-to: 720 ft² by 4 in is printed as 239.97 ft³; it is exactly 240. Filled as one deep
    crack.
    """
    use = {"by": "crack", "length": "720 ft", "width": "1 ft", "depth": "4 in"}
    volume = need("720 ft**2", use, "ft**3")
    assert round(volume, 15) == 240
    assert abs(volume - D("239.97")) > D("0.02")
