"""Figures as the crew reads them: gallons and ounces in quarters where they are quarters, grams whole."""

from __future__ import annotations

from decimal import Decimal

from quoting.core.rounding import round_half_up
from quoting.core.trade_units import to_unit
from quoting.core.units import format_number
from quoting.documents.crew_words import Pair

NB = "\u00a0"
QUARTERS = ("", "¼", "½", "¾")


def quarters(value: Decimal) -> str:
    """2.5 as 2½ where it is so many quarters; else to a tenth, or a hundredth under one."""
    shown = round_half_up(value, 6) * 4
    if shown == shown // 1:
        whole, rest = divmod(int(shown), 4)
        return f"{whole or ''}{QUARTERS[rest]}" or "0"
    return format_number(value, 2 if value < 1 else 1)


def nearest_quarter(value: Decimal) -> str:
    """Scoops, to the nearest quarter of one: the scale is what counts."""
    return quarters(round_half_up(value * 4, 0) / 4)


def reach_text(metres: Decimal, units: str) -> str:
    """A length as it is laid out with a tape: to the inch, or the centimetre."""
    if units == "metric":
        return f"{format_number(metres, 2)}{NB}m"
    feet, inches = divmod(int(round_half_up(to_unit(metres, "in"), 0)), 12)
    return f"{feet}′{NB}{inches}″"


def water_text(cubic_metres: Decimal, units: str) -> str:
    """½ gal, or 1.9 L."""
    if units == "metric":
        return f"{format_number(to_unit(cubic_metres, 'L'), 2)}{NB}L"
    return f"{quarters(to_unit(cubic_metres, 'gal'))}{NB}gal"


def liquid_text(cubic_metres: Decimal, units: str) -> str:
    """A volume to a tenth: 1.3 gal; under one to a hundredth."""
    unit = "L" if units == "metric" else "gal"
    value = to_unit(cubic_metres, unit)
    return f"{format_number(value, 2 if value < 1 else 1)}{NB}{unit}"


def ounces_text(kilograms: Decimal) -> str:
    """2½ oz."""
    return f"{quarters(round_half_up(to_unit(kilograms, 'oz'), 2))}{NB}oz"


def grams_text(kilograms: Decimal) -> str:
    """283 g, with the decimals of the scale."""
    grams = to_unit(kilograms, "g")
    return f"{format_number(grams, 0 if grams == grams // 1 else 1)}{NB}g"


def film_text(metres: Decimal, units: str) -> str:
    """A wet or dry film: 8 mil, or 203 µm."""
    if units == "metric":
        return f"{format_number(metres * 1000000, 0)}{NB}µm"
    return f"{format_number(to_unit(metres, 'mil'), 1)}{NB}mil"


def percent_text(share: Decimal) -> str:
    """A share as per cent, to a tenth: 0.4 %."""
    return f"{format_number(share * 100, 1)}{NB}%"


def amount_text(magnitude: Decimal, dimension: str, units: str) -> str:
    """What is in a container or was used, by its dimension: volume, mass or count."""
    if dimension == "volume":
        return liquid_text(magnitude, units)
    if dimension == "mass":
        if units == "metric":
            return f"{format_number(magnitude, 2)}{NB}kg"
        pounds = to_unit(magnitude, "lb")
        return ounces_text(magnitude) if pounds < 1 else f"{quarters(round_half_up(pounds, 2))}{NB}lb"
    return format_number(magnitude, 0 if magnitude == magnitude // 1 else 2)


WEEKDAYS = (
    Pair("Monday", "Lunes"), Pair("Tuesday", "Martes"), Pair("Wednesday", "Miércoles"), Pair("Thursday", "Jueves"),
    Pair("Friday", "Viernes"), Pair("Saturday", "Sábado"), Pair("Sunday", "Domingo"),
)  # fmt: skip

MONTHS = (
    Pair("January", "enero"), Pair("February", "febrero"), Pair("March", "marzo"), Pair("April", "abril"),
    Pair("May", "mayo"), Pair("June", "junio"), Pair("July", "julio"), Pair("August", "agosto"),
    Pair("September", "septiembre"), Pair("October", "octubre"), Pair("November", "noviembre"),
    Pair("December", "diciembre"),
)  # fmt: skip
