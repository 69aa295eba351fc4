"""The units that the bare figures of a price book are counted in: an edition is American or metric."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import round_half_up
from quoting.core.trade_units import from_unit, to_unit


@dataclass(frozen=True, slots=True, kw_only=True)
class BookUnits:
    """Each kind of figure's unit as the scope file writes it, and in the words that stand beside it."""

    coverage: str
    strength: str
    scoop: str
    density: str
    area_rate: str
    length_rate: str
    coverage_said: str
    strength_said: str
    density_said: str
    coverage_sign: str
    strength_sign: str
    area_rate_sign: str


US = BookUnits(
    coverage="ft**2/gal",
    strength="oz/gal",
    scoop="oz",
    density="lb/ft**3",
    area_rate="ft**2/hour",
    length_rate="ft/hour",
    coverage_said="ft² a gallon",
    strength_said="oz a gallon",
    density_said="lb a cubic foot",
    coverage_sign="ft²/gal",
    strength_sign="oz/gal",
    area_rate_sign="ft²/h",
)
METRIC = BookUnits(
    coverage="m**2/L",
    strength="g/L",
    scoop="g",
    density="kg/m**3",
    area_rate="m**2/hour",
    length_rate="m/hour",
    coverage_said="m² a litre",
    strength_said="g a litre",
    density_said="kg a cubic metre",
    coverage_sign="m²/L",
    strength_sign="g/L",
    area_rate_sign="m²/h",
)


def book_units(units: str) -> BookUnits:
    """The units of a book in `metric`, or else American ones."""
    return METRIC if units == "metric" else US


def converted(figure: Decimal, before: str, after: str) -> Decimal:
    """A figure of one unit in another of the same kind, to the four decimals that a price book keeps."""
    return figure if before == after else round_half_up(to_unit(from_unit(figure, before), after), 4)


def rate_in(units: str, unit: str) -> str:
    """The unit of a labour rate in a book of these units: `ft/hour` is `m/hour` in a metric one; pieces stay pieces."""
    ours, theirs = book_units(units), (US, METRIC)
    if unit in {each.area_rate for each in theirs}:
        return ours.area_rate
    return ours.length_rate if unit in {each.length_rate for each in theirs} else unit
