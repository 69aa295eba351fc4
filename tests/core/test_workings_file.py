"""Workings as JSON."""

import json

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.workings_file import workings_data, write_workings
from tests.sample_scopes import everything, pool_deck


def test_one_line_and_indented_hold_the_same() -> None:
    workings = work_out(scope_from_data(everything()))
    line, indented = write_workings(workings), write_workings(workings, 2)
    assert "\n" not in line
    assert json.loads(line) == json.loads(indented) == workings_data(workings)


def test_values_are_unrounded_and_money_has_the_currencys_decimals() -> None:
    data = workings_data(work_out(scope_from_data(pool_deck())))
    assert data["areas"][0]["net"] == {"value": "435.7256661176918608538362096", "unit": "ft**2"}  # 464 − 9π
    assert data["price"]["tax"] == [{"name": "State", "base": "119.07", "amount": "7.44"}]
    assert data["price"]["by_category"]["subcontract"] == "0.00"


def test_metric_workings_are_in_metres_litres_and_kilograms() -> None:
    data = workings_data(work_out(scope_from_data(everything() | {"units": "metric"})))
    base_tone = data["steps"][4]["materials"][0]
    assert data["areas"][0]["net"]["unit"] == "m**2"
    assert (base_tone["need"]["unit"], base_tone["batches"][0]["water"]["unit"]) == ("kg", "L")
    assert base_tone["film"]["wet"][0]["unit"] == "mm"


def test_an_edge_that_is_not_known_is_null() -> None:
    data = pool_deck()
    data["areas"][0]["parts"] = [{"shape": "trapezoid", "a": "18 ft", "b": "10 ft", "height": "24 ft"}]
    assert workings_data(work_out(scope_from_data(data)))["areas"][0]["edge"] is None
