"""Person-hours, worked by hand on 300 ft² with an edge of 80 ft."""

from decimal import Decimal
from typing import Any

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.workings import StepFigure
from tests.sample_scopes import pool_deck


def step(labour: dict[str, Any] | None, size: int = 2) -> StepFigure:
    data = pool_deck()
    data["areas"] = [
        {"name": "Yard", "texture": "1.2", "parts": [{"shape": "rectangle", "length": "30 ft", "width": "10 ft"}]}
    ]
    data["work"] = [{"step": "Do", "areas": ["Yard"]} | ({} if labour is None else {"labour": labour})]
    data["crew"] = {"size": size, "hourly_cost": "39.00"}
    return work_out(scope_from_data(data)).steps[0]


def hours(labour: dict[str, Any] | None) -> Decimal:
    return round(step(labour).person_hours, 9)


def test_a_rate_by_area_goes_with_the_plan_area() -> None:
    # 0.5 + 2 × 300 ÷ 200 × 1.1 = 3.8; the texture of 1.2 is no more work
    labour = {"rate": "200 ft**2/hour", "passes": 2, "setup": "30 min", "difficulty": "1.1"}
    assert hours(labour) == Decimal("3.8")


def test_difficulty_does_not_multiply_the_set_up() -> None:
    assert hours({"rate": "300 ft**2/hour", "setup": "1 hour", "difficulty": "2"}) == Decimal(3)


def test_a_rate_by_length_goes_with_the_edge_unless_a_length_is_given() -> None:
    assert hours({"rate": "40 ft/hour"}) == Decimal(2)
    assert hours({"rate": "40 ft/hour", "length": "edge"}) == Decimal(2)
    assert hours({"rate": "40 ft/hour", "length": "18 ft", "passes": 2}) == Decimal("0.9")


def test_a_rate_by_count_goes_with_the_count() -> None:
    assert hours({"rate": "6 each/hour", "count": 3}) == Decimal("0.5")


def test_hours_outright() -> None:
    assert hours({"hours": "6 hour"}) == Decimal(6)


def test_a_step_without_labour_takes_no_hours() -> None:
    assert (hours(None), step(None).labour_cost, step(None).working) == (0, 0, "0.00 person-hours: no labour")


def test_elapsed_time_is_shared_by_the_crew() -> None:
    found = step({"hours": "6 hour"}, size=3)
    assert (found.elapsed_hours, found.labour_cost) == (Decimal(2), Decimal("234.00"))


def test_labour_rounds_once_a_step() -> None:
    # 300 ÷ 220 = 1.36363… h × 39.00 = 53.1818…
    assert step({"rate": "220 ft**2/hour"}).labour_cost == Decimal("53.18")
