"""Figures as the crew reads them; conversions worked by hand."""

from decimal import Decimal

import pytest

from quoting.core.trade_units import from_unit
from quoting.documents.crew_figures import (
    amount_text,
    film_text,
    grams_text,
    liquid_text,
    nearest_quarter,
    ounces_text,
    quarters,
    reach_text,
    water_text,
)

NB = "\u00a0"


@pytest.mark.parametrize(("value", "shown"), [("2.5", "2½"), ("0.25", "¼"), ("5", "5"), ("0", "0"), ("1.3", "1.3")])
def test_quarters_are_written_as_quarters(value: str, shown: str) -> None:
    assert quarters(Decimal(value)) == shown


def test_scoops_go_to_the_nearest_quarter() -> None:
    assert [nearest_quarter(Decimal(text)) for text in ("3.62", "3.63", "1.124")] == ["3½", "3¾", "1"]


def test_a_length_is_called_to_the_inch() -> None:
    # 26.5731 ft: 0.5731 × 12 = 6.877 in; 26 ft 11.6 in are 27 ft
    assert [reach_text(from_unit(Decimal(feet), "ft"), "us") for feet in ("26.5731", "26.9667")] == [
        f"26′{NB}7″", f"27′{NB}0″",
    ]  # fmt: skip


def test_metric_is_said_in_metric() -> None:
    # 1 gal is 3.785411784 L; 10 mil are 254 µm
    gallon, film = from_unit(Decimal(1), "gal"), from_unit(Decimal(10), "mil")
    assert (water_text(gallon, "metric"), liquid_text(gallon, "metric"), film_text(film, "metric")) == (
        f"3.79{NB}L", f"3.8{NB}L", f"254{NB}µm",
    )  # fmt: skip


def test_powder_is_said_in_ounces_and_grams() -> None:
    # 10 oz are 283.4952 g
    powder = from_unit(Decimal(10), "oz")
    assert (ounces_text(powder), grams_text(from_unit(Decimal(283), "g"))) == (f"10{NB}oz", f"283{NB}g")


def test_an_amount_follows_its_dimension() -> None:
    shown = [
        amount_text(from_unit(Decimal(2), "gal"), "volume", "us"),
        amount_text(from_unit(Decimal(5), "lb"), "mass", "us"),
        amount_text(from_unit(Decimal(6), "oz"), "mass", "us"), amount_text(Decimal(4), "count", "us"),
    ]  # fmt: skip
    assert shown == [f"2.0{NB}gal", f"5{NB}lb", f"6{NB}oz", "4"]
