"""Go or wait by hand: the firm's limits as a list, and the dew point as a table; numbers worked by hand."""

from decimal import Decimal

import pytest

from quoting.core.by_hand import WAITS, dew_table, waits_of
from quoting.core.scope import Units
from quoting.core.weather import Readings, Word, go_or_wait
from quoting.core.weather_limits import STARTING_LIMITS, Holds, Work

US, METRIC = Units.US, Units.METRIC
D = Decimal


def listed(work: Work, limits=STARTING_LIMITS) -> dict[str, list[tuple[str, str]]]:
    return {
        wait.reading: [(each.sign, f"{each.figure}") for each in wait.breaks] for wait in waits_of(limits, work, US)
    }


def test_sealing_waits_for_these_readings():
    assert listed(Work.SEAL) == {
        "air": [("≤", "50"), (">", "90")], "air_lowest": [("<", "40")], "slab": [("<", "50"), (">", "90")],
        "humidity": [("≥", "85")], "wind": [(">", "15")], "since_wash": [("<", "24")], "since_rain": [("<", "24")],
        "until_rain": [("<", "24")],
    }  # fmt: skip


def test_a_hot_slab_is_wetted_before_colour():
    (slab,) = [wait for wait in waits_of(STARTING_LIMITS, Work.COLOUR, US) if wait.reading == "slab"]
    assert [(each.sign, each.figure, each.pre_wet) for each in slab.breaks] == [("<", 50, False), (">", 90, True)]


def test_the_firms_own_limit_stands_in_the_list_and_one_that_is_off_does_not():
    own = STARTING_LIMITS.set_to({"wind-most": D(10), "air-most": None}, US)
    assert (listed(Work.SEAL, own)["wind"], listed(Work.SEAL, own)["air"]) == ([(">", "10")], [("≤", "50")])


def test_jointing_sand_asks_for_no_dew_point():
    assert dew_table(STARTING_LIMITS, [Work.SAND], US) is None


def test_the_slab_has_to_be_the_margin_over_the_dew_point():
    # 75 °F = 23.89 °C at 60 %: Magnus, γ = 17.625 × 23.89 ÷ (243.04 + 23.89) + ln 0.6 = 1.5774 − 0.5108 = 1.0666;
    # dew 243.04 × 1.0666 ÷ (17.625 − 1.0666) = 15.65 °C = 60.18 °F; and 5 °F over it, rounded up: 66.
    table = dew_table(STARTING_LIMITS, [Work.SEAL], US)
    assert dict(table.rows)[D(75)][table.humidities.index(D(60))] == 66


def test_the_columns_stop_where_the_air_is_too_damp_and_the_rows_where_it_is_too_cold_or_hot():
    table = dew_table(STARTING_LIMITS, [Work.SEAL], US)
    assert (table.humidities, [air for air, _slabs in table.rows]) == (
        (40, 50, 60, 70, 80), [55, 60, 65, 70, 75, 80, 85, 90]
    )  # fmt: skip


def test_a_slab_that_would_have_to_be_hotter_than_allowed_is_a_wait():
    own = STARTING_LIMITS.set_to({"dew-margin": D(15), "humidity-most": None}, US)
    # 90 °F at 90 %: the dew point is 86.7 °F, so 101.7 °F would be needed, and 90 °F is the most for sealing.
    table = dew_table(own, [Work.SEAL], US)
    assert dict(table.rows)[D(90)][table.humidities.index(D(90))] is None


def test_metric_degrees_have_their_own_table():
    # 22 °C at 70 %: γ = 17.625 × 22 ÷ 265.04 + ln 0.7 = 1.4630 − 0.3567 = 1.1063; dew 243.04 × 1.1063 ÷ 16.5187
    # = 16.28 °C; 3 °C over it: 19.28, rounded up 20.
    table = dew_table(STARTING_LIMITS, [Work.SEAL], METRIC)
    assert dict(table.rows)[D(22)][table.humidities.index(D(70))] == 20


@pytest.mark.parametrize("units", [US, METRIC])
def test_what_the_table_allows_the_readings_allow(units):
    """Every cell, and every reading between its lines and columns, against the core's own verdict."""
    table = dew_table(STARTING_LIMITS, [Work.SEAL], units)
    for air, slabs in table.rows:
        for humidity, slab in zip(table.humidities, slabs, strict=True):
            if slab is None:
                continue
            for cooler, drier in ((0, 0), (2, 0), (0, 7), (2, 7)):
                at = Readings(
                    work=Work.SEAL, units=units, air=air - cooler, slab=slab, humidity=humidity - drier, wind=D(0),
                    air_lowest=D(70) if units is US else D(20), since_wash=D(999), since_rain=D(999), until_rain=D(999),
                )  # fmt: skip
                broken = [reason.limit.key for reason in go_or_wait(at).deciding]
                assert (go_or_wait(at).word is Word.GO or broken == ["air-least"], broken) == (True, broken)


@pytest.mark.parametrize("holds", list(Holds))
def test_a_sign_is_said_exactly_where_the_limit_is_broken(holds):
    bound = D(10)
    says = {"<": lambda v: v < bound, "≤": lambda v: v <= bound, ">": lambda v: v > bound, "≥": lambda v: v >= bound}
    assert [says[WAITS[holds]](D(v)) for v in (9, 10, 11)] == [not holds.kept(D(v), bound) for v in (9, 10, 11)]
