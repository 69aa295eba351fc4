"""Water in the air: temperatures, saturation pressure, dew point, and how fast water leaves a wet slab.

Temperatures are in °C unless a name says °F; relative humidity is a fraction. Powers and logarithms are Decimal's own,
which are rounded correctly and so are the same on every machine.
"""

from decimal import Decimal, localcontext

from quoting.core.rounding import CONTEXT

ZERO_CELSIUS = Decimal("273.15")
"""0 °C in kelvin."""

MAGNUS = Decimal("17.625"), Decimal("243.04")
"""The formula's two coefficients: Alduchov and Eskridge, Journal of Applied Meteorology 35 (1996), from memory."""

OLDER_MAGNUS = Decimal("17.27"), Decimal("237.7")
"""Those of a worked answer in physics (22 °C, 78 %: 17.98 °C), which says that their error is at most 0.4 °C."""

_GAS = Decimal("461.5")
"""Gas constant of water vapour, J/(kg K); from memory."""

_LIQUID = tuple(
    map(
        Decimal,
        ("-5.8002206E+03", "1.3914993", "-4.8640239E-02", "4.1764768E-05", "-1.4452093E-08", "6.5459673"),
    )
)
"""Hyland and Wexler's coefficients over liquid water (from memory; the results are checked against ASHRAE's table)."""

COLDEST, HOTTEST = Decimal(-40), Decimal(100)
"""°C: colder or hotter is a slip of the pen."""


class VapourFault(ValueError):
    """Not a reading of this world; the sentence says why."""


def celsius(fahrenheit: Decimal) -> Decimal:
    """(F − 32) ÷ 1.8. NIST SP 811 (2008), B.9."""
    return CONTEXT.divide(CONTEXT.subtract(fahrenheit, Decimal(32)), Decimal("1.8"))


def fahrenheit(celsius: Decimal) -> Decimal:
    """1.8 C + 32."""
    return CONTEXT.add(CONTEXT.multiply(celsius, Decimal("1.8")), Decimal(32))


def saturation_pressure(air: Decimal) -> Decimal:
    """Pressure in Pa of the vapour over liquid water at this temperature. ASHRAE Fundamentals 2017, chapter 1.

    Raises VapourFault below 0 °C, where ice is what matters, and above 100 °C.
    """
    if not 0 <= air <= HOTTEST:
        raise VapourFault("The pressure over water is worked out from 0 to 100 °C.")
    with localcontext(CONTEXT):
        kelvin = air + ZERO_CELSIUS
        by_power = _LIQUID[1] + kelvin * (_LIQUID[2] + kelvin * (_LIQUID[3] + kelvin * _LIQUID[4]))
        return (_LIQUID[0] / kelvin + by_power + _LIQUID[5] * kelvin.ln()).exp()


def absolute_humidity(air: Decimal, humidity: Decimal) -> Decimal:
    """Water in the air, kg/m³. Raises VapourFault."""
    _check(air, humidity)
    with localcontext(CONTEXT):
        return humidity * saturation_pressure(air) / (_GAS * (air + ZERO_CELSIUS))


def dew_point(air: Decimal, humidity: Decimal, magnus: tuple[Decimal, Decimal] = MAGNUS) -> Decimal:
    """The temperature in °C at which this air wets a surface, by the Magnus formula. Raises VapourFault."""
    _check(air, humidity)
    a, b = magnus
    with localcontext(CONTEXT):
        gamma = a * air / (b + air) + humidity.ln()
        return b * gamma / (a - gamma)


def evaporation_us(slab: Decimal, air: Decimal, humidity: Decimal, wind: Decimal) -> Decimal:
    """lb/ft²/h from a wet slab: (Tc^2.5 − r Ta^2.5)(1 + 0.4 V) × 10⁻⁶ in °F and mph. Never below 0.

    Menzel's form as used with ACI 305R. It is good to ±40 % (Hover, ACI SP-338, 2020). Raises VapourFault.
    """
    _check(celsius(air), humidity)
    if slab < 0 or air < 0 or wind < 0:
        raise VapourFault("Evaporation is worked out from 0 °F and for winds of 0 mph or more.")
    with localcontext(CONTEXT):
        drive = _power(slab) - humidity * _power(air)
        return max(Decimal(0), drive * (1 + Decimal("0.4") * wind) * Decimal("1e-6"))


def evaporation_metric(slab: Decimal, air: Decimal, humidity: Decimal, wind: Decimal) -> Decimal:
    """kg/m²/h from a wet slab, in °C and km/h: the American form converted without rounding its constants.

    5.275 [(Tc + 17.778)^2.5 − r (Ta + 17.778)^2.5](V + 4.02336) × 10⁻⁶. Never below 0. Raises VapourFault.
    """
    _check(air, humidity)
    shift = Decimal("17.778")
    if slab < -shift or air < -shift or wind < 0:
        raise VapourFault("Evaporation is worked out from −17.7 °C and for winds of 0 km/h or more.")
    with localcontext(CONTEXT):
        drive = _power(slab + shift) - humidity * _power(air + shift)
        return max(Decimal(0), Decimal("5.275") * drive * (wind + Decimal("4.02336")) * Decimal("1e-6"))


def _power(value: Decimal) -> Decimal:
    """value^2.5, from the square root, which Decimal has exactly."""
    return value * value * value.sqrt()


def _check(air: Decimal, humidity: Decimal) -> None:
    if not 0 < humidity <= 1:
        raise VapourFault("Humidity is more than 0 % and at most 100 %.")
    if not COLDEST <= air <= HOTTEST:
        raise VapourFault("A temperature of the air lies between −40 and 100 °C (−40 and 212 °F).")
