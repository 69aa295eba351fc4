from decimal import Decimal

import pytest

from quoting.core.scope import Units
from quoting.core.scope_file import scope_from_data
from quoting.core.trade_units import Dimension
from quoting.core.work_out import work_out
from quoting.core.working_lines import one_line
from quoting.views.priced import figure_rows
from quoting.views.worked import batches_shown, pack_rows, quantity_shown
from tests.sample_scopes import everything


def rows():
    return {row.key: row for row in figure_rows(work_out(scope_from_data(everything())), (1, 2))}


def test_margin_and_markup_are_both_named_and_the_one_asked_for_says_so():
    found = rows()
    assert found["margin"].label == "Margin, of the price"
    assert found["markup"].label == "Markup, of the cost, wanted 45\xa0%"


@pytest.mark.parametrize("key", ["materials", "labour", "others", "overhead", "cost", "profit", "total", "per area"])
def test_every_sum_ends_in_its_figure(key):
    row = rows()[key]
    assert row.lines[-1].operator == "="
    assert row.lines[-1].figure == row.shown


@pytest.mark.parametrize("key", ["materials", "labour", "others", "cost", "profit", "total"])
def test_the_lines_of_a_sum_add_up(key):
    lines = rows()[key].lines
    signs = {"": 1, "+": 1, "−": -1}
    figures = [signs[line.operator] * Decimal(line.figure.replace(",", "")) for line in lines[:-1]]
    assert sum(figures) == Decimal(lines[-1].figure.replace(",", ""))


def test_hours_are_shared_by_the_crew():
    row = rows()["elapsed"]
    assert row.label == "Hours with a crew of 2"
    assert one_line(row.lines).split(" ")[3:6] == ["2", "people", "="]


@pytest.mark.parametrize(
    ("magnitude", "dimension", "units", "shown"),
    [
        ("0.003785411784", Dimension.VOLUME, Units.US, "1.00\xa0gal"),
        ("0.001", Dimension.VOLUME, Units.METRIC, "1.00\xa0L"),
        ("0.45359237", Dimension.MASS, Units.US, "16.00\xa0oz"),
        ("4.5359237", Dimension.MASS, Units.US, "10.00\xa0lb"),  # heavy ones in pounds
        ("1", Dimension.COUNT, Units.US, "1\xa0piece"),
        ("2.5", Dimension.COUNT, Units.US, "2.5\xa0pieces"),
    ],
)
def test_quantities_are_shown_in_the_units_of_the_firm(magnitude, dimension, units, shown):
    assert quantity_shown(Decimal(magnitude), dimension, units) == shown


def test_batches_are_told_in_ounces_and_grams():
    workings = work_out(scope_from_data(everything()))
    mixes = [use for step in workings.steps for use in step.materials if use.batches]
    for use in mixes:
        assert all("of water with" in line and "\xa0g)" in line for line in batches_shown(use))
    assert mixes


def test_packs_say_what_is_bought_and_left_over():
    workings = work_out(scope_from_data(everything()))
    for row, figure in zip(pack_rows(workings.materials, "USD"), workings.materials, strict=True):
        assert (row.name, row.cost) == (figure.name, f"{figure.cost:,.2f}")
