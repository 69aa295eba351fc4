"""What a step needs of a material, in one line, for each way of using."""

from typing import Any

import pytest

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from tests.sample_scopes import everything, pool_deck


def working(step: int, use: int = 0, **changes: Any) -> str:
    return work_out(scope_from_data(everything() | changes)).steps[step].materials[use].working


@pytest.mark.parametrize(
    ("step", "use", "line"),
    [
        (0, 0, "2,488.99 ft², true surface ÷ 120 ft²/gal ÷ 5 parts, one of them concentrate × 1.1 waste = 4.56 gal"),
        (1, 0, "573.62 ft of edge × 0.02 each/ft × 1.1 waste = 12.62 each"),
        (
            2,
            0,
            "18 ft × 0.25 in wide × 0.5 in deep ÷ 144 in² to ft² × 1.25 waste "
            "= 0.01953 ft³ × 7.480519 gal in one = 0.1461 gal",
        ),
        (
            3,
            0,
            "70.965 ft² × 0.04522 share of joints, 1/8 in round 8 in by 4 in × 1 in deep ÷ 12 in to ft × 1.1 waste "
            "= 0.2942 ft³ × 95 lb/ft³, density = 27.95 lb",
        ),
        (
            4,
            0,
            "2,158.95 ft² × 1.12 texture ÷ 150 ft²/gal × 1.05 waste = 16.93 gal, of mix "
            "→ 17.50 gal, mixed in batches × 6 oz/gal, strength = 105.00 oz",
        ),
        (4, 1, "2 each"),
        (
            5,
            0,
            "2,488.99 ft², true surface ÷ 260 ft²/gal, coat 1 = 9.57 gal + 7.78 gal, coat 2 at 320 ft²/gal "
            "= 17.35 gal × 1.05 waste = 18.22 gal",
        ),
        (5, 1, "2,488.99 ft², true surface ÷ 56.25 ft²/oz = 44.25 oz"),
        (5, 2, "2,229.91 ft² ÷ 500 ft², for each → 5 each begun"),
    ],
)
def test_each_way_of_using(step: int, use: int, line: str) -> None:
    assert working(step, use) == line


def test_metric_scopes_show_metric_sums() -> None:
    assert working(5, 1, units="metric") == "231.23 m², true surface ÷ 184.335 m²/kg = 1.25 kg"


def test_what_is_stirred_in_shows_what_it_goes_into() -> None:
    data = pool_deck()
    data["materials"] = {"grit": {"name": "Grit", "packs": [{"size": "1 lb", "price": "18.00"}]}}
    use = {"by": "stirred", "strength": "4 oz/gal", "coverage": "270 ft**2/gal"}
    materials = [{"material": "grit", "waste": "0.05", "use": use}]
    data["work"] = [{"step": "Grit", "areas": ["Pool deck"], "materials": materials}]
    # 435.73 × 1.12 ÷ 270 = 1.81 gal; × 4 × 1.05 = 7.59 oz
    assert work_out(scope_from_data(data)).steps[0].materials[0].working == (
        "435.73 ft² × 1.12 texture ÷ 270 ft²/gal = 1.81 gal, that it goes into × 4 oz/gal × 1.05 waste = 7.59 oz"
    )
