"""The units of a price book's bare figures, and figures told in the other ones."""

from decimal import Decimal

import pytest

from quoting.core.book_units import METRIC, US, book_units, converted, rate_in


@pytest.mark.parametrize(
    ("kind", "metric"),
    [
        # 0.09290304 m²/ft² ÷ 3.785411784 L/gal (NIST Handbook 44) × 200 = 4.90848…
        ("coverage", "4.9085"),
        # 28.349523125 g/oz ÷ 3.785411784 L/gal × 200 = 1,497.8303…
        ("strength", "1497.8303"),
        ("scoop", "5669.9046"),
        # 0.45359237 kg/lb ÷ 0.028316846592 m³/ft³ × 200 = 3,203.6927…
        ("density", "3203.6927"),
        ("area_rate", "18.5806"),
        ("length_rate", "60.9600"),
    ],
)
def test_each_kind_of_figure_is_converted_to_four_decimals(kind, metric):
    assert converted(Decimal(200), getattr(US, kind), getattr(METRIC, kind)) == Decimal(metric)


def test_a_figure_stays_as_it_is_in_its_own_units():
    assert str(converted(Decimal("200.10"), "ft**2/gal", "ft**2/gal")) == "200.10"


def test_only_the_word_metric_makes_a_book_metric():
    assert [book_units(each) for each in ("metric", "us", "")] == [METRIC, US, US]


def test_a_rate_keeps_what_it_counts():
    rates = ("ft**2/hour", "m**2/hour", "ft/hour", "m/hour", "each/hour")
    assert [rate_in("metric", each) for each in rates] == ["m**2/hour"] * 2 + ["m/hour"] * 2 + ["each/hour"]
