"""How many tests an area needs, and the published figures that they are read against."""

from decimal import Decimal
from enum import StrEnum

from quoting.core.rounding import ceil_count
from quoting.core.units import from_unit

SHEET_AREA = from_unit(Decimal(500), "ft**2")
"""One plastic sheet to 500 ft² or part of them. ASTM D4263, from memory."""

PROBE_AREA = from_unit(Decimal(1000), "ft**2")
"""Three probes of moisture in the slab to the first 1,000 ft², one more to each further. ASTM F2170, from memory."""

RINSE_WITHIN = Decimal(1)
"""How far, in units of pH, rinse water may be from fresh water. MIL-HDBK-1110 (1996), 6.7.2.1, after ASTM D4262."""

DROP_PLACES = 5
"""The places on which a water drop is tried, at least. Common practice, no published source."""


class Exposure(StrEnum):
    """What a slab is exposed to, in the guide to widths of cracks."""

    DRY = "dry"
    MOIST = "moist"
    DE_ICED = "de-iced"
    SEA = "sea"
    WATERTIGHT = "watertight"


_GUIDE = {
    Exposure.DRY: "0.016",
    Exposure.MOIST: "0.012",
    Exposure.DE_ICED: "0.007",
    Exposure.SEA: "0.006",
    Exposure.WATERTIGHT: "0.004",
}


def sheets_needed(area: Decimal) -> int:
    """Plastic sheets for an area in m²: one to each 500 ft² begun."""
    return ceil_count(area / SHEET_AREA)


def probes_needed(area: Decimal) -> int:
    """Probes of moisture in the slab for an area in m²: three, and one more to each 1,000 ft² begun over the first."""
    return 3 + max(0, ceil_count((area - PROBE_AREA) / PROBE_AREA)) if area > 0 else 0


def rinse_is_neutral(rinse: Decimal, fresh: Decimal) -> bool:
    """Whether the rinse water's pH is within one unit of fresh water's."""
    return abs(rinse - fresh) <= RINSE_WITHIN


def crack_guide(exposure: Exposure) -> Decimal:
    """The width in metres that cracked concrete is designed for.

    ACI 224R, Table 4.1. A guide for design and not a limit for acceptance: some cracks may be wider (ACI 224R-90, 4.4).
    """
    return from_unit(Decimal(_GUIDE[exposure]), "in")
