"""Reads what a person typed: numbers, quantities, and lengths as a tape is called out. Writes figures for a person.

Inside the core each magnitude is a Decimal in one canonical unit: m, m², m³, kg, h, count, and the ratios of those.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import round_half_up
from quoting.core.tape import GLYPHS, TapeFault, format_length_us, read_tape, reads_on_tape
from quoting.core.trade_units import Dimension, Ounce, QuantityFault, Unit, UnitFault, find_unit, from_unit, to_unit

__all__ = [
    "BareNumber",
    "Dimension",
    "NumberFault",
    "Ounce",
    "Quantity",
    "QuantityFault",
    "SizeFault",
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

LONGEST_TEXT = 60
"""Text longer than this is refused unread."""

LONGEST_LENGTH = Decimal(10_000)
"""10 km, in metres: a longer length is a slip of the pen."""

LARGEST_AREA = Decimal(1_000_000)
"""1 km², in square metres."""


class NumberFault(QuantityFault):
    """Not a plain number; the sentence says what one is."""


class BareNumber(QuantityFault):
    """A number without its unit."""

    def __init__(self, text: str, example: str) -> None:
        super().__init__(f"“{text}” has no unit: add one, such as “{example}”.")


class WrongDimension(QuantityFault):
    """A quantity of another kind than the place asks for."""


class SizeFault(QuantityFault):
    """Negative, zero or absurdly large."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A magnitude in the canonical unit of its dimension, and the cleaned-up text that reads back to the same."""

    magnitude: Decimal
    dimension: Dimension
    text: str


_NUMBER = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,6})?")
_LEADING = re.compile(r"-? ?[0-9.]+")
_MIXED_ONLY = re.compile(r"[0-9]{1,3} [0-9]{1,3}/[0-9]{1,3}|[0-9]{1,3}/[0-9]{1,3}")

_EXAMPLES = {
    Dimension.LENGTH: "12 ft",
    Dimension.AREA: "250 ft²",
    Dimension.VOLUME: "5 gal",
    Dimension.MASS: "2 lb",
    Dimension.TIME: "1.5 hours",
    Dimension.COUNT: "4 each",
    Dimension.AREA_PER_VOLUME: "200 ft²/gal",
    Dimension.AREA_PER_MASS: "60 ft²/lb",
    Dimension.AREA_PER_TIME: "220 ft²/hour",
    Dimension.LENGTH_PER_TIME: "80 ft/hour",
    Dimension.COUNT_PER_TIME: "6 each/hour",
    Dimension.MASS_PER_VOLUME: "6 oz/gal",
    Dimension.VOLUME_PER_LENGTH: "1 gal/ft",
    Dimension.MASS_PER_LENGTH: "2 lb/ft",
    Dimension.COUNT_PER_LENGTH: "1 each/ft",
    Dimension.COUNT_PER_AREA: "4.5 each/ft²",
    Dimension.AREA_PER_COUNT: "100 ft²/each",
}

_FOLDED = str.maketrans(
    dict.fromkeys("′’‘´`ʹ", "'")
    | dict.fromkeys("″”“ʺ", '"')
    | dict.fromkeys("−‐‑–", "-")
    | dict.fromkeys("\u00a0\u2007\u2008\u2009\u200a\u202f\t", " ")
    | {"⁄": "/"}
    | {glyph: f" {fraction}" for fraction, glyph in GLYPHS.items()}
)


def parse_number(text: str) -> Decimal:
    """The one number grammar of forms, CSV and JSON: `-?\\d{1,9}(\\.\\d{1,6})?`, ASCII digits, blanks outside allowed.

    Raises NumberFault.
    """
    if len(text) > LONGEST_TEXT:
        raise NumberFault("This is too long for a number.")
    stripped = text.strip()
    if not _NUMBER.fullmatch(stripped):
        raise NumberFault(_why_no_number(stripped))
    number = Decimal(stripped)
    return number if number else number.copy_abs()


def _why_no_number(text: str) -> str:
    if not text:
        return "Write a number."
    if "," in text:
        return f"Write “{_shown(text)}” without commas, and with a point before decimals."
    return f"“{_shown(text)}” is not a plain number: digits 0 to 9, at most nine, and at most six after the point."


def _shown(text: str) -> str:
    """The text for a sentence: short and printable."""
    printable = "".join(letter if letter.isprintable() else "�" for letter in text[:31])
    return printable[:30] + "…" if len(text) > 30 else printable


def parse_quantity(
    text: str,
    *dimensions: Dimension,
    oz: Ounce = "mass",
    default_unit: str | None = None,
    zero: bool = False,
) -> Quantity:
    """Read a number and its unit: `5 gal`, `6 oz/gal`, `220 sq ft per hour`; a length also as a tape is called out.

    `dimensions` are those that the place accepts (none given: any). `oz` says what a bare oz is: the ounce of mass, or
    for a liquid the fluid ounce. `default_unit` is put after a bare number. Never negative; zero only if `zero`.

    Raises NumberFault, UnitFault, TapeFault, BareNumber, WrongDimension or SizeFault.
    """
    quantity = _read(text, dimensions, oz, default_unit)
    _check_size(quantity, zero=zero, negative=False)
    return quantity


def parse_length(text: str, *, default_unit: str | None = None, zero: bool = False, negative: bool = False) -> Quantity:
    """Read a length in metres: `12' 6 1/2"`, `12 ft 6 in`, `7 1/4 in`, `6½″`, `3.81 m`.

    `negative` (which implies `zero`) is for coordinates. Raises as parse_quantity does.
    """
    quantity = _read(text, (Dimension.LENGTH,), "mass", default_unit)
    _check_size(quantity, zero=zero or negative, negative=negative)
    return quantity


def _read(text: str, dimensions: tuple[Dimension, ...], oz: Ounce, default_unit: str | None) -> Quantity:
    cleaned = _clean(text)
    if not cleaned:
        raise NumberFault("Write a number and its unit.")
    if default_unit and (_NUMBER.fullmatch(cleaned) or _MIXED_ONLY.fullmatch(cleaned)):
        cleaned = f"{cleaned} {default_unit}"
    if not dimensions or Dimension.LENGTH in dimensions:
        metres = read_tape(cleaned.removeprefix("-").lstrip())
        if metres is not None:
            signed = metres.copy_negate() if cleaned.startswith("-") and metres else metres
            return Quantity(signed, Dimension.LENGTH, cleaned)
    leading = _LEADING.match(cleaned)
    if leading is None:
        raise NumberFault(_why_no_number(cleaned))
    number = parse_number(leading[0].replace(" ", ""))
    words = cleaned[leading.end() :].strip()
    if not words:
        raise BareNumber(cleaned, f"{cleaned} {_example_unit(dimensions)}")
    if words.startswith((",", "*", "^", "/", "-")) and words[1:2].isdigit():
        raise NumberFault(_why_no_number(cleaned))
    unit = find_unit(words, oz)
    if dimensions and unit.dimension not in dimensions:
        raise WrongDimension(_why_wrong(cleaned, unit.dimension, dimensions, oz))
    return Quantity(unit.to_canonical(number), unit.dimension, cleaned)


def _clean(text: str) -> str:
    """The text on one line, with straight marks, plain fractions and single blanks."""
    if len(text) > LONGEST_TEXT:
        raise NumberFault("This is too long for a quantity.")
    cleaned = " ".join(text.translate(_FOLDED).replace("''", '"').split())
    if not cleaned.isprintable():
        raise NumberFault(f"“{_shown(cleaned)}” holds a character that can't be printed.")
    return cleaned


def _example_unit(dimensions: tuple[Dimension, ...]) -> str:
    return _EXAMPLES.get(dimensions[0], "ft").split(" ")[-1] if dimensions else "ft"


def _why_wrong(text: str, found: Dimension, wanted: tuple[Dimension, ...], oz: Ounce) -> str:
    example = f", such as “{_EXAMPLES[wanted[0]]}”" if wanted[0] in _EXAMPLES else ""
    sentence = f"“{text}” is {found}; here it must be {' or '.join(wanted)}{example}."
    if re.search(r"\boz|\bounce", text.lower()):
        if oz == "mass" and Dimension.VOLUME in wanted:
            return f"{sentence} The fluid ounce is written “fl oz”."
        if oz == "fluid":
            return f"{sentence} For a liquid, oz is the fluid ounce."
    return sentence


def _check_size(quantity: Quantity, *, zero: bool, negative: bool) -> None:
    magnitude, text = quantity.magnitude, quantity.text
    if magnitude < 0 and not negative:
        raise SizeFault(f"“{text}” is negative: it must be more than zero.")
    if not magnitude and not zero:
        raise SizeFault(f"“{text}” must be more than zero.")
    if quantity.dimension is Dimension.LENGTH and abs(magnitude) > LONGEST_LENGTH:
        raise SizeFault(f"“{text}” is longer than 10 km.")
    if quantity.dimension is Dimension.AREA and magnitude > LARGEST_AREA:
        raise SizeFault(f"“{text}” is larger than 1 km².")


def format_number(value: Decimal, decimals: int) -> str:
    """The value half up to so many decimals, thousands parted by commas: `1,234.50`, `−3.2`."""
    return f"{round_half_up(value, decimals):,f}".replace("-", "−")


def format_length(metres: Decimal, units: str = "us") -> str:
    """The length for a working: `12′ 6½″` when a tape shows all of it, else decimal feet; metres for "metric"."""
    if units == "metric":
        return f"{_trimmed(metres, 3)} m"
    if reads_on_tape(metres):
        return format_length_us(metres)
    return f"{_trimmed(to_unit(metres, 'ft'), 4)} ft"


def _trimmed(value: Decimal, decimals: int) -> str:
    """Half up to at most so many decimals and at least two, without the zeros after those."""
    whole, point, places = format_number(value, decimals).partition(".")
    return f"{whole}{point}{places.rstrip('0').ljust(2, '0')}"
