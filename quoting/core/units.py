"""Reads what a person typed: numbers, quantities, and lengths as a tape is called out. Writes lengths the same way.

Inside the core each magnitude is a Decimal in one canonical unit: m, m², m³, kg, h, count, and the ratios of those.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import CONTEXT, round_half_up
from quoting.core.trade_units import Dimension, Ounce, Unit, UnitFault, find_unit, from_unit, to_unit

__all__ = [
    "BareNumber",
    "Dimension",
    "NumberFault",
    "Ounce",
    "Quantity",
    "QuantityFault",
    "TapeFault",
    "Unit",
    "UnitFault",
    "WrongDimension",
    "find_unit",
    "format_length",
    "format_length_us",
    "format_number",
    "from_unit",
    "parse_length",
    "parse_number",
    "parse_quantity",
    "to_unit",
]

LONGEST_QUANTITY = 60
"""Text longer than this is refused unread."""

LONGEST_LENGTH = Decimal(10_000)
"""10 km, in metres: a longer length is a slip of the pen."""

LARGEST_AREA = Decimal(1_000_000)
"""1 km², in square metres."""


class QuantityFault(ValueError):
    """What was typed is not a quantity that can be used; the sentence says why."""


class NumberFault(QuantityFault):
    """Not a plain number."""


class BareNumber(QuantityFault):
    """A number without its unit."""


class WrongDimension(QuantityFault):
    """A quantity of another kind than the place asks for."""


class SizeFault(QuantityFault):
    """Negative, zero or absurdly large."""


class TapeFault(QuantityFault):
    """A length in feet and inches that no tape reads."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measured magnitude in the canonical unit of its dimension, and the text that it was read from."""

    magnitude: Decimal
    dimension: Dimension
    text: str


_NUMBER = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,6})?")


def parse_number(text: str) -> Decimal:
    """The one number grammar of forms, CSV and JSON: `-?\\d{1,9}(\\.\\d{1,6})?`, ASCII digits, blanks outside allowed.

    Raises NumberFault.
    """
    if len(text) > LONGEST_QUANTITY:
        raise NumberFault("This is too long for a number.")
    stripped = text.strip()
    if not _NUMBER.fullmatch(stripped):
        raise NumberFault(_why_no_number(stripped))
    number = Decimal(stripped)
    return number if number else number.copy_abs()
