"""Dew point, saturation pressure, evaporation and the limits of coating work against outside sources."""

from decimal import Decimal

import pytest

from quoting.core.rounding import round_half_up
from quoting.core.scope import Units
from quoting.core.units import from_unit
from quoting.core.vapour import (
    OLDER_MAGNUS,
    absolute_humidity,
    celsius,
    dew_point,
    evaporation_metric,
    evaporation_us,
    fahrenheit,
    saturation_pressure,
)
from quoting.core.weather import Readings, Word, go_or_wait
from quoting.core.weather_limits import STARTING_LIMITS, Work

D = Decimal


@pytest.mark.parametrize(("f", "c"), [("32", "0"), ("40", "4.44"), ("50", "10"), ("90", "32.22"), ("212", "100")])
def test_fahrenheit_to_celsius(f: str, c: str):
    # NIST SP 811 (2008), B.9
    assert round_half_up(celsius(D(f)), 2) == D(c)


def test_a_worked_dew_point_with_its_own_coefficients():
    # a worked answer in physics: 22 °C, 78 %, a = 17.27, b = 237.7: 17.98 °C
    assert round_half_up(dew_point(D(22), D("0.78"), OLDER_MAGNUS), 2) == D("17.98")


def test_our_coefficients_agree_with_the_worked_dew_point():
    # the same answer, within 0.01; it says that its own error is at most 0.4 °C
    assert abs(dew_point(D(22), D("0.78")) - D("17.98")) <= D("0.01")


def test_water_in_the_air():
    # the same answer: 15.14 g/m³
    assert round_half_up(absolute_humidity(D(22), D("0.78")) * 1000, 2) == D("15.14")


@pytest.mark.parametrize(("air", "humidity", "dew"), [("20", "0.50", "9.26"), ("30", "0.60", "21.39")])
def test_dew_points_in_celsius(air: str, humidity: str, dew: str):
    # worked out from the coefficients 17.625 and 243.04 (Alduchov and Eskridge 1996, from memory)
    assert round_half_up(dew_point(D(air), D(humidity)), 2) == D(dew)


def test_a_dew_point_in_fahrenheit():
    # the same: 70 °F and 50 % give 50.5 °F
    assert round_half_up(fahrenheit(dew_point(celsius(D(70)), D("0.5"))), 1) == D("50.5")


def test_the_handbook_example():
    # ASHRAE Handbook Fundamentals 2017, chapter 1, example 1: 100 °F at 13 % has its dew point at 40 °F, within 1 °F
    assert abs(fahrenheit(dew_point(celsius(D(100)), D("0.13"))) - 40) <= 1


@pytest.mark.parametrize(("f", "psi"), [("41", "0.12656"), ("77", "0.45973"), ("122", "1.79140")])
def test_saturation_pressure(f: str, psi: str):
    # ASHRAE 2017, chapter 1, table 3; 1 psi = 6,894.757 Pa (NIST SP 811, B.8)
    found = saturation_pressure(celsius(D(f))) / D("6894.757")
    assert abs(found / D(psi) - 1) <= D("3e-4")


@pytest.mark.parametrize(("c", "pascal"), [("5", "872.6"), ("25", "3169.7"), ("50", "12351.3")])
def test_saturation_pressure_in_pascal(c: str, pascal: str):
    # the same table
    assert abs(saturation_pressure(D(c)) / D(pascal) - 1) <= D("3e-4")


def test_evaporation_in_american_units():
    # Menzel's form as used with ACI 305R: 87 °F slab, 80 °F air, 50 %, 12 mph: 0.2435 lb/ft²/h
    assert abs(evaporation_us(D(87), D(80), D("0.5"), D(12)) - D("0.2435")) <= D("0.0005")


def test_evaporation_in_metric_is_the_same_rate():
    # an instrument maker's note: 1.189 kg/m²/h for the same air; 1 kg/m² = 0.204816 lb/ft²; 1 mile = 1.609344 km
    rate = evaporation_metric(celsius(D(87)), celsius(D(80)), D("0.5"), D(12) * D("1.609344"))
    assert round_half_up(rate, 3) == D("1.189")
    assert abs(rate * D("0.204816") - D("0.2435")) <= D("0.0005")


def test_the_rounded_metric_form_reads_some_four_per_cent_low():
    # Uno, ACI Materials Journal 95-M34 (1998): 5 [(Tc + 18)^2.5 − r (Ta + 18)^2.5](V + 4) × 10⁻⁶ = 1.138 for that air.
    # 1.138 ÷ 1.189 = 0.957
    rate = evaporation_metric(celsius(D(87)), celsius(D(80)), D("0.5"), D(12) * D("1.609344"))
    assert round_half_up(D("1.138") / rate, 3) == D("0.957")


def readings(**known: str) -> Readings:
    measured = {"air": "70", "slab": "75", "humidity": "50", "wind": "5", "air_lowest": "60"}
    told = {"since_wash": "48", "since_rain": "72", "until_rain": "72"}
    given = {name: D(value) for name, value in (measured | told | known).items()}
    return Readings(work=Work.SEAL, units=Units.US, **given)


@pytest.mark.parametrize(("slab", "margin", "word"), [("55.0", "4.5", Word.WAIT), ("55.6", "5.1", Word.GO)])
def test_five_degrees_over_the_dew_point(slab: str, margin: str, word: Word):
    # MIL-HDBK-1110 (1996), 9.6.6: at least 5 °F over the dew point. 70 °F and 50 %: 50.51 °F
    verdict = go_or_wait(readings(slab=slab))
    assert round_half_up(verdict.dew_point, 2) == D("50.51")
    assert (round_half_up(verdict.margin, 1), verdict.word) == (D(margin), word)


def test_the_metric_margin_is_its_own():
    # a text on marine painting, ISO 8502-4 (from memory): 3 °C, where 5 °F would be 2.78 °C
    assert STARTING_LIMITS["dew-margin"].figure(Units.US) == 5
    assert STARTING_LIMITS["dew-margin"].figure(Units.METRIC) == 3


@pytest.mark.parametrize(
    ("reading", "value", "word"),
    [
        ("air", "50", Word.WAIT),  # above 50 °F
        ("air", "50.1", Word.GO),
        ("humidity", "85", Word.WAIT),  # below 85 %
        ("wind", "15", Word.GO),  # at most 15 mph
        ("wind", "15.1", Word.WAIT),
    ],
)
def test_a_city_s_limits_of_the_air(reading: str, value: str, word: Word):
    # City of Paris, Texas, specification 20.06 (3); the slab is warm enough to be clear of the dew point
    assert go_or_wait(readings(slab="85", **{reading: value})).word is word


@pytest.mark.parametrize(("lowest", "word"), [("39", Word.WAIT), ("40", Word.GO)])
def test_cold_to_come(lowest: str, word: Word):
    # ACI 306R-16: air at or expected below 40 °F
    assert go_or_wait(readings(air_lowest=lowest)).word is word


@pytest.mark.parametrize(("hours", "word"), [("4", Word.GO), ("4.5", Word.WAIT)])
def test_readings_are_taken_again_after_four_hours(hours: str, word: Word):
    # MIL-HDBK-1110, 9.6.6: about every 4 h, near the surface
    assert go_or_wait(readings(age=hours)).word is word


def test_evaporation_over_the_action_level_means_pre_wetting():
    # ACI 305R: 0.20 lb/ft²/h (1.0 kg/m²/h); 0.2435 is over it
    verdict = go_or_wait(
        Readings(
            work=Work.COLOUR, units=Units.US, air=D(80), slab=D(87), humidity=D(50), wind=D(12), air_lowest=D(60),
            since_wash=D(48), since_rain=D(72), until_rain=D(72),
        )
    )  # fmt: skip
    assert (verdict.word, [reason.key for reason in verdict.deciding]) == (Word.PRE_WET, ["evaporation.broken"])
    assert STARTING_LIMITS["evaporation"].figure(Units.METRIC) == 1


def test_an_estimate_that_may_be_over_the_level_says_so():
    # Hover, ACI SP-338 (2020): ±40 %. With 8 mph: 0.2435 ÷ 5.8 × 4.2 = 0.1763, and 0.1763 × 1.4 = 0.247 is over 0.20
    verdict = go_or_wait(
        Readings(
            work=Work.COLOUR, units=Units.US, air=D(80), slab=D(87), humidity=D(50), wind=D(8), air_lowest=D(60),
            since_wash=D(48), since_rain=D(72), until_rain=D(72),
        )
    )  # fmt: skip
    said = next(reason for reason in verdict.reasons if reason.key.startswith("evaporation"))
    assert (verdict.word, said.key) == (Word.GO, "evaporation.unsure")
    assert said.sentence == (
        "A wet slab would lose 0.18 lb/ft²/h; 0.20 lb/ft²/h is the limit, and the estimate is good to 40 % either way: "
        "watch how fast it dries."
    )


def test_a_film_at_thirteen_mils():
    # common practice, no published source: 5 gal on 600 ft² = 120 ft²/gal = 13 wet mils. 1604 1/6 ÷ 120 = 13.37
    coverage = from_unit(D(600), "ft**2") / from_unit(D(5), "gal")
    assert round_half_up(1 / coverage / from_unit(D(1), "mil"), 2) == D("13.37")
