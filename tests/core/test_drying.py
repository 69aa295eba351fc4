"""Drying and clearing. Common practice, no published source."""

from decimal import Decimal

import pytest

from quoting.core.drying import Span, clearing_minutes, drying_hours
from quoting.core.scope import Units

D = Decimal


@pytest.mark.parametrize(("slab", "minutes"), [("35", "15"), ("25", "15"), ("12", "60"), ("2", "60")])
def test_milky_turns_clear_in_a_quarter_of_an_hour_in_summer_and_an_hour_when_cool(slab: str, minutes: str):
    assert clearing_minutes(D(slab), Units.METRIC) == D(minutes)


def test_clearing_goes_in_proportion_between():
    # half way from 25 to 12 °C: 15 + 45 ÷ 2
    assert clearing_minutes(D("18.5"), Units.METRIC) == D("37.5")


def test_clearing_in_fahrenheit():
    # 77 °F is 25 °C
    assert clearing_minutes(D(77), Units.US) == 15


@pytest.mark.parametrize(
    ("air", "shade", "span"),
    [
        ("30", False, ("24", "48")),
        ("5", False, ("24", "168")),
        ("30", True, ("48", "96")),
        ("5", True, ("48", "168")),
    ],
)
def test_drying_after_washing(air: str, shade: bool, span: tuple[str, str]):
    assert drying_hours(D(air), shade, Units.METRIC) == Span(least=D(span[0]), most=D(span[1]))
