"""What a tape hardly ever reads: asked about kindly, never refused. All lengths in metres.

The bounds are common practice on patios, drives and walks; there is no published source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from quoting.core.units import Quantity, format_length, from_unit

LONG_RUN = from_unit(Decimal(100), "ft")
"""From here on a whole number of feet may be feet and inches run together."""

VERY_LONG_RUN = from_unit(Decimal(300), "ft")
TREAD = (from_unit(Decimal(8), "in"), from_unit(Decimal(48), "in"))
RISER = (from_unit(Decimal(3), "in"), from_unit(Decimal(12), "in"))

_WHOLE_FEET = re.compile(r"([0-9]{3,4}) ?(?:ft\.?|foot|feet|')")
_WHOLE_METRES = re.compile(r"([0-9]{3,5}) ?m")


def ask_about(readings: Iterable[tuple[str, Quantity]], units: str) -> dict[str, str]:
    """By name of the measure, the question to ask about a reading of it that is hardly right."""
    questions: dict[str, str] = {}
    for name, reading in readings:
        if question := _ask(name, reading, units):
            questions.setdefault(name, question)
    return questions


def _ask(name: str, size: Quantity, units: str) -> str:
    metres, text = size.magnitude, size.text
    if name == "tread" and not TREAD[0] <= metres <= TREAD[1]:
        return f"{text} is not a usual tread: most are 11 to 16 in deep. Is it right?"
    if name == "riser" and not RISER[0] <= metres <= RISER[1]:
        return f"{text} is not a usual riser: most are 5 to 8 in high. Is it right?"
    if metres >= LONG_RUN and (meant := _meant(text)):
        return f"{text} is very long. Did you mean {meant}?"
    if metres >= VERY_LONG_RUN:
        return f"{format_length(metres, units)} is very long. Is it right?"
    return ""


def _meant(text: str) -> str:
    """Feet and inches run together (145 for 14′ 5″), or centimetres written as metres."""
    if found := _WHOLE_FEET.fullmatch(text.lower()):
        digits = found[1]
        cut = 2 if len(digits) == 4 or (digits[1:] in ("10", "11") and digits[0] != "1") else 1
        feet, inches = digits[:-cut], int(digits[-cut:])
        return f"{feet}′ {inches}″" if inches < 12 else ""
    if found := _WHOLE_METRES.fullmatch(text.lower()):
        return f"{Decimal(found[1]) / 100} m"
    return ""
