"""Hours against published man-day arithmetic."""

from decimal import Decimal

import pytest

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out

D = Decimal


def person_hours(area: str, rate: str, difficulty: str = "1") -> Decimal:
    data = {
        "format": 1,
        "currency": "USD",
        "units": "us",
        "areas": [{"name": "Slab", "parts": [{"shape": "measured", "area": area}]}],
        "work": [{"step": "Place", "areas": ["Slab"], "labour": {"rate": rate, "difficulty": difficulty}}],
        "crew": {"size": 1, "hourly_cost": "39"},
        "pricing": {"profit": {"markup": "0"}},
    }
    return work_out(scope_from_data(data)).steps[0].person_hours


def test_man_days() -> None:
    """NAVEDTRA 14045, Builder Advanced, ch. 2: 16,000 ft² at 33 man-hours per 1,000 ft² are 66 man-days of eight
    hours.
    """
    rate = f"{round(D(1000) / 33, 6)} ft**2/hour"
    assert abs(person_hours("16000 ft**2", rate) / 8 - 66) < D("0.00001")


def test_the_delay_factor_that_makes_seventy_of_sixty_six() -> None:
    """Same source: 66 man-days become 70, so the factor is 1.06 (± 0.005)."""
    rate = f"{round(D(1000) / 33, 6)} ft**2/hour"
    assert abs(person_hours("16000 ft**2", rate, "1.06") / 8 - 70) < D("0.05")


@pytest.mark.parametrize(("hours", "equivalent"), [("7.5", "0.9375"), ("9", "1.125")])
def test_man_day_equivalents(hours: str, equivalent: str) -> None:
    """7.5 productive hours of a man-day of eight are 0.9375 (from memory); nine are 1.125 (NAVEDTRA 14233, ch. 2)."""
    assert person_hours(f"{hours} ft**2", "1 ft**2/hour") / 8 == D(equivalent)
