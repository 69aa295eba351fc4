"""How long a slab takes to dry and a film to clear. Common practice, no published source: starting values only."""

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import CONTEXT
from quoting.core.scope import Units
from quoting.core.vapour import celsius

WARM, COOL = Decimal(25), Decimal(12)
"""°C of the slab: from the one on it is summer, down from the other it is cool."""

CLEARS_WARM, CLEARS_COOL = Decimal(15), Decimal(60)
"""Minutes in which a fresh milky film turns clear."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """From so many to so many; hours or minutes, as the function says."""

    least: Decimal
    most: Decimal


def clearing_minutes(slab: Decimal, units: Units) -> Decimal:
    """Minutes until milky turns clear: about 15 in summer, up to 60 when it is cool; between, in proportion."""
    return CLEARS_WARM + (CLEARS_COOL - CLEARS_WARM) * _coolness(slab, units)


def drying_hours(air: Decimal, shade: bool, units: Units) -> Span:
    """Hours from washing to the first coat: 24 to 48 in midsummer, up to 168 in spring, autumn or shade.

    The longest time goes in proportion from 48 when it is warm to 168 when it is cool; shade doubles it, up to 168.
    """
    longest = Decimal(48) + Decimal(120) * _coolness(air, units)
    return Span(least=Decimal(48) if shade else Decimal(24), most=min(Decimal(168), longest * 2 if shade else longest))


def _coolness(temperature: Decimal, units: Units) -> Decimal:
    """0 when it is warm, 1 when it is cool, in proportion between."""
    degrees = celsius(temperature) if units is Units.US else temperature
    share = CONTEXT.divide(WARM - degrees, WARM - COOL)
    return min(Decimal(1), max(Decimal(0), share))
