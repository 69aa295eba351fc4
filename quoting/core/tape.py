"""Lengths the way a tape is called out: read from `12' 6 1/2"`, written as `12′ 6½″`. All magnitudes in metres."""

import re
from decimal import Decimal
from fractions import Fraction
from math import gcd

from quoting.core.rounding import CONTEXT, WIDE, round_half_up
from quoting.core.trade_units import QuantityFault

FOOT = Decimal("0.3048")
INCH = Decimal("0.0254")

GLYPHS = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞", "1/3": "⅓", "2/3": "⅔"}
"""The fractions that have a sign of their own."""

LIKE_THIS = "write it like 12' 6 1/2\", 12 ft 6 in, 7 1/4 in or 3.81 m"


class TapeFault(QuantityFault):
    """A length in feet and inches that no tape reads; the sentence says why."""


def _mixed(prefix: str) -> str:
    """The pattern of a whole or decimal number, a fraction, or both: 6, 6.5, 1/2, 6 1/2, 6-1/2."""
    fraction = rf"(?P<{prefix}top%s>[0-9]{{1,3}}) ?/ ?(?P<{prefix}bottom%s>[0-9]{{1,3}})"
    number = rf"(?P<{prefix}whole>[0-9]{{1,9}}(?:\.[0-9]{{1,6}})?)"
    return rf"(?:{fraction % ('', '')}|{number}(?:(?: | ?- ?){fraction % ('2', '2')})?)"


_INCH_MARK = r'(?:"|in\.?|inch|inches)'
_FEET = re.compile(rf"{_mixed('f')} ?(?:'|ft\.?|foot|feet)(?: ?-? ?{_mixed('i')} ?{_INCH_MARK}?)?")
_INCHES = re.compile(rf"{_mixed('i')} ?{_INCH_MARK}")
_PLAIN = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,6})?) ?('|ft\.?|foot|feet|\"|in\.?|inch|inches)")
"""Feet or inches alone, without a fraction: most of a surveyed outline, and quicker read without the rest."""


def read_tape(text: str) -> Decimal | None:
    """Metres from feet and inches in cleaned, unsigned text; None if the text is no such thing (`3.81 m`).

    Raises TapeFault for what looks like a tape reading and is none: `12' 14"`, `6 9/8 in`.
    """
    folded = text.lower()
    if plain := _PLAIN.fullmatch(folded):
        return CONTEXT.multiply(_trimmed(plain[1]), INCH if plain[2][0] in '"i' else FOOT)
    match = _FEET.fullmatch(folded) or _INCHES.fullmatch(folded)
    if match is None:
        if "'" in text or '"' in text:
            raise TapeFault(f"“{text}” does not read as feet and inches: {LIKE_THIS}.")
        return None
    groups = match.groupdict()
    feet = _value(groups, "f", text)
    inches = _value(groups, "i", text)
    if feet is None:
        return CONTEXT.multiply(_decimal(inches or Fraction(0)), INCH)
    if inches is None:
        return CONTEXT.multiply(_decimal(feet), FOOT)
    if feet.denominator != 1 or groups["fwhole"] is None or "." in groups["fwhole"]:
        raise TapeFault(f"“{text}”: the feet before inches must be a whole number.")
    if inches >= 12:
        raise TapeFault(f"“{text}”: the inches after feet must be under 12.")
    return CONTEXT.multiply(_decimal(feet * 12 + inches), INCH)


def _trimmed(words: str) -> Decimal:
    """The number without zeros at the end of its decimals, as dividing a fraction out gives it."""
    return Decimal(words.rstrip("0").rstrip(".") if "." in words else words)


def _value(groups: dict[str, str | None], prefix: str, text: str) -> Fraction | None:
    whole = groups.get(f"{prefix}whole")
    top = groups.get(f"{prefix}top") or groups.get(f"{prefix}top2")
    if whole is None and top is None:
        return None
    value = Fraction(whole or 0)
    if top is None:
        return value
    bottom = groups.get(f"{prefix}bottom") or groups.get(f"{prefix}bottom2") or "0"
    if int(top) >= int(bottom):
        raise TapeFault(f"“{text}”: {top}/{bottom} is not a fraction of one; {LIKE_THIS}.")
    if whole is not None and "." in whole:
        raise TapeFault(f"“{text}” has a point and a fraction; {LIKE_THIS}.")
    return value + Fraction(int(top), int(bottom))


def _decimal(value: Fraction) -> Decimal:
    return WIDE.divide(Decimal(value.numerator), Decimal(value.denominator))


def format_length_us(metres: Decimal, smallest: str = "1/8", *, inches_only: bool = False) -> str:
    """The length as `12′ 6½″`, to the nearest `smallest` part of an inch (a half goes up), or as `150½″`."""
    parts = int(smallest.partition("/")[2] or 1)
    ticks = int(round_half_up(CONTEXT.divide(CONTEXT.multiply(abs(metres), Decimal(parts)), INCH), 0))
    sign = "−" if metres < 0 and ticks else ""
    whole, rest = divmod(ticks, parts)
    if inches_only:
        return f"{sign}{_inches(whole, rest, parts)}"
    feet, whole = divmod(whole, 12)
    if not feet:
        return f"{sign}{_inches(whole, rest, parts)}"
    return f"{sign}{feet}′ {_inches(whole, rest, parts)}"


def _inches(whole: int, rest: int, parts: int) -> str:
    if not rest:
        return f"{whole}″"
    shared = gcd(rest, parts)
    fraction = f"{rest // shared}/{parts // shared}"
    glyph = GLYPHS.get(fraction)
    if glyph:
        return f"{whole or ''}{glyph}″"
    return f"{whole} {fraction}″" if whole else f"{fraction}″"


def reads_on_tape(metres: Decimal, smallest: str = "1/8") -> bool:
    """Whether the length is a whole number of the tape's smallest marks, so that feet and inches show all of it."""
    parts = Decimal(smallest.partition("/")[2] or 1)
    ticks = CONTEXT.divide(CONTEXT.multiply(metres, parts), INCH)
    return abs(ticks - round_half_up(ticks, 0)) < Decimal("0.0001")
