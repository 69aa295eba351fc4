"""The figures of steps and materials, and where their cost falls."""

from decimal import Decimal

import pytest

from quoting.core.figures_of import material_figures, step_figure
from quoting.core.ground import ground_of, measured
from quoting.core.scope import Labour, Step
from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import scope_from_data
from quoting.core.units import Dimension, parse_quantity
from tests.sample_scopes import everything


def test_what_falls_on_the_areas_is_what_was_spent() -> None:
    scope = scope_from_data(everything())
    figures = [measured(area, "us") for area in scope.areas]
    materials = {material.key: material for material in scope.materials}
    by_area = [Decimal(0), Decimal(0)]
    steps = []
    for step in scope.work:
        ground = ground_of(step.areas, {"Deck": 0, "Walk": 1}, figures)
        steps.append(step_figure(scope, step, "work", ground, materials, by_area))
    labour = sum(step.labour_cost for step in steps)
    assert round(sum(by_area), 9) == labour
    bought = material_figures(scope, steps, by_area)
    assert round(sum(by_area), 9) == labour + sum(each.cost for each in bought)


def test_hours_that_can_not_be_worked_out_are_a_fault_in_their_place() -> None:
    scope = scope_from_data(everything())
    ground = ground_of(("Walk",), {"Walk": 0}, [measured(scope.areas[1], "us")])
    step = Step(
        step="Mask", areas=("Walk",), labour=Labour(rate=parse_quantity("80 ft/hour", Dimension.LENGTH_PER_TIME))
    )
    with pytest.raises(ScopeFaults, match=r"work\[3\]: the edge or the count"):
        step_figure(scope, step, "work[3]", ground, {}, [Decimal(0)])
