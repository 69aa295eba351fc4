"""Water in the air."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.vapour import (
    VapourFault,
    absolute_humidity,
    celsius,
    dew_point,
    evaporation_metric,
    evaporation_us,
    fahrenheit,
    saturation_pressure,
)

D = Decimal
AIR = st.decimals("0", "50", places=1)
HUMIDITY = st.decimals("0.01", "1", places=2)


def test_fahrenheit_goes_back_to_celsius():
    assert fahrenheit(celsius(D("68"))) == 68


def test_full_air_wets_a_surface_at_its_own_temperature():
    # ln 1 = 0, so the formula gives the air's temperature back
    assert round(dew_point(D(20), D(1)), 20) == 20


@settings(max_examples=60, deadline=None)
@given(AIR, HUMIDITY)
def test_the_dew_point_is_never_over_the_air(air: Decimal, humidity: Decimal):
    assert dew_point(air, humidity) <= air + D("1e-20")


@settings(max_examples=60, deadline=None)
@given(AIR, st.decimals("0.01", "0.98", places=2))
def test_damper_air_has_a_higher_dew_point(air: Decimal, humidity: Decimal):
    assert dew_point(air, humidity) < dew_point(air, humidity + D("0.01"))


def test_half_full_air_holds_half_the_water():
    assert round(absolute_humidity(D(20), D("0.5")) * 2, 20) == round(absolute_humidity(D(20), D(1)), 20)


def test_still_air_still_dries():
    # (100^2.5 − 0.5 × 100^2.5) × 1 × 10⁻⁶ = 0.5 × 100,000 × 10⁻⁶ = 0.05
    assert evaporation_us(D(100), D(100), D("0.5"), D(0)) == D("0.05")


def test_wind_dries_faster():
    # the same × (1 + 0.4 × 10) = × 5
    assert evaporation_us(D(100), D(100), D("0.5"), D(10)) == D("0.25")


def test_a_cold_slab_in_damp_air_does_not_dry():
    assert evaporation_us(D(40), D(80), D("0.9"), D(10)) == 0
    assert evaporation_metric(D(4), D(27), D("0.9"), D(16)) == 0


@pytest.mark.parametrize("humidity", ["0", "-0.1", "1.01", "50"])
def test_a_humidity_that_cannot_be_is_refused(humidity: str):
    with pytest.raises(VapourFault, match="more than 0 % and at most 100 %"):
        dew_point(D(20), D(humidity))


def test_an_air_of_another_world_is_refused():
    with pytest.raises(VapourFault, match="between −40 and 100 °C"):
        dew_point(D(150), D("0.5"))


def test_ice_is_another_matter():
    with pytest.raises(VapourFault, match="from 0 to 100 °C"):
        saturation_pressure(D("-0.1"))


@pytest.mark.parametrize(("slab", "air", "wind"), [("-1", "50", "5"), ("50", "-1", "5"), ("50", "50", "-1")])
def test_evaporation_needs_figures_that_can_be(slab: str, air: str, wind: str):
    with pytest.raises(VapourFault, match="Evaporation is worked out from 0 °F"):
        evaporation_us(D(slab), D(air), D("0.5"), D(wind))


def test_metric_evaporation_needs_them_too():
    with pytest.raises(VapourFault, match="Evaporation is worked out from −17"):
        evaporation_metric(D(-18), D(0), D("0.5"), D(5))
