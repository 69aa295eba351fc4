"""Every figure's long-hand sum, worked through with a pocket calculator."""

import re
from decimal import Decimal

import pytest

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.working_lines import WorkingLine
from quoting.core.workings import Workings
from tests.calculator import work_through
from tests.sample_scopes import everything, pool_deck


@pytest.fixture(scope="module", params=["us", "metric"])
def workings(request: pytest.FixtureRequest) -> Workings:
    return work_out(scope_from_data(everything() | {"units": request.param}))


def test_every_area_adds_up(workings: Workings) -> None:
    for area in workings.areas:
        work_through(area.lines)


def test_every_steps_hours_add_up(workings: Workings) -> None:
    for step in workings.steps:
        assert abs(work_through(step.lines) - step.person_hours) < Decimal("0.01")


def test_every_need_adds_up(workings: Workings) -> None:
    for step in workings.steps:
        for use in step.materials:
            work_through(use.lines)


def test_every_purchase_and_cost_adds_up(workings: Workings) -> None:
    for material in workings.materials:
        work_through(material.lines)
        assert abs(work_through(material.cost_lines) - material.cost) < Decimal("0.6")


def test_price_and_taxes_add_up(workings: Workings) -> None:
    assert work_through(workings.price.lines) == workings.price.of.price
    for tax in workings.price.of.taxes:
        work_through(workings.price.tax_lines(tax))


def test_a_line_reads_left_to_right(workings: Workings) -> None:
    """No label holds an operator before a number, which would be typed by mistake."""
    lines = [line for step in workings.steps for use in step.materials for line in use.lines]
    lines += [line for step in workings.steps for line in step.lines]
    lines += [line for material in workings.materials for line in (*material.lines, *material.cost_lines)]
    assert [line for line in lines if re.search(r"[×÷+−=→]", line.label)] == []


def test_an_areas_lines_show_what_was_measured() -> None:
    area = work_out(scope_from_data(pool_deck())).areas[0]
    assert area.lines == (
        WorkingLine("", "464.00", "ft², 32′ 0″ × 14′ 6″"),
        WorkingLine("−", "28.27", "ft², Ø 6′ 0″, π ÷ 4 × Ø²"),
        WorkingLine("=", "435.73", "ft², net"),
        WorkingLine("×", "1.12", "texture"),
        WorkingLine("=", "488.01", "ft², true surface"),
    )


def test_hours_are_worked_before_the_set_up_is_added() -> None:
    step = work_out(scope_from_data(pool_deck())).steps[0]
    assert step.working == "435.73 ft² ÷ 220 ft²/h + 0.5 h, set-up = 2.48 person-hours"
