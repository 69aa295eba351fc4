"""The closed list of the trade's units: one Decimal pint registry over trade_units.txt, used at the edge only.

What a person typed is split into words by the grammar below and each word is looked up in the list; it never reaches
pint's own parser, which reads `5' 6"` as 30 and hangs on `9**9**9`. From the registry come exact factors, computed
once, so that nothing after the edge needs pint.

Canonical units: m, m², m³ (liquid or dry), kg, h, count, and the ratios of those.
"""

import re
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Literal

import pint

from quoting.core.rounding import CONTEXT, WIDE, carried

Registry = pint.UnitRegistry[Any]

Ounce = Literal["mass", "fluid"]
"""What a bare `oz` is: the ounce of mass for a dry material, the fluid ounce for a liquid."""

LONGEST_UNIT = 40
"""Unit words longer than this are refused unread."""


class Dimension(StrEnum):
    """What a quantity measures; the value is the word for it in a sentence."""

    LENGTH = "a length"
    AREA = "an area"
    VOLUME = "a volume"
    MASS = "a mass"
    TIME = "a time"
    COUNT = "a count"
    AREA_PER_VOLUME = "an area per volume"
    AREA_PER_MASS = "an area per mass"
    AREA_PER_TIME = "an area per time"
    AREA_PER_COUNT = "an area per count"
    LENGTH_PER_VOLUME = "a length per volume"
    LENGTH_PER_MASS = "a length per mass"
    LENGTH_PER_TIME = "a length per time"
    LENGTH_PER_COUNT = "a length per count"
    MASS_PER_VOLUME = "a mass per volume"
    MASS_PER_LENGTH = "a mass per length"
    MASS_PER_AREA = "a mass per area"
    MASS_PER_COUNT = "a mass per count"
    VOLUME_PER_LENGTH = "a volume per length"
    VOLUME_PER_AREA = "a volume per area"
    VOLUME_PER_TIME = "a volume per time"
    VOLUME_PER_COUNT = "a volume per count"
    COUNT_PER_LENGTH = "a count per length"
    COUNT_PER_AREA = "a count per area"
    COUNT_PER_TIME = "a count per time"
    TIME_PER_COUNT = "a time per count"


CANONICAL = {
    Dimension.LENGTH: "m",
    Dimension.AREA: "m**2",
    Dimension.VOLUME: "m**3",
    Dimension.MASS: "kg",
    Dimension.TIME: "h",
    Dimension.COUNT: "each",
}
"""The unit in which the core carries each plain dimension; a ratio is carried in the ratio of two of them."""


class QuantityFault(ValueError):
    """What was typed is no quantity that can be used here; the sentence says why."""


class UnitFault(QuantityFault):
    """The words after a number are not a unit of the trade's list."""

    def __init__(self, text: str, reason: str = "") -> None:
        shown = text if len(text) <= LONGEST_UNIT else text[:LONGEST_UNIT] + "…"
        super().__init__(f"“{shown}” is not a unit this program knows{reason or ', such as ft, gal, lb or ft²/gal'}.")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit with its exact factor: canonical magnitude = magnitude × times ÷ over."""

    dimension: Dimension
    times: Decimal
    over: Decimal

    def to_canonical(self, magnitude: Decimal) -> Decimal:
        """A magnitude in this unit, in the canonical unit."""
        return CONTEXT.divide(WIDE.multiply(magnitude, self.times), self.over)

    def from_canonical(self, magnitude: Decimal) -> Decimal:
        """A canonical magnitude, in this unit."""
        return CONTEXT.divide(WIDE.multiply(magnitude, self.over), self.times)


@cache
def _list() -> tuple[dict[str, Unit], dict[str, str]]:
    """The plain units by name, and the name for every spelling, from trade_units.txt."""
    text = Path(__file__).with_name("trade_units.txt").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    spellings: dict[str, str] = {}
    with localcontext(CONTEXT):
        registry: Registry = pint.UnitRegistry(lines, non_int_type=Decimal, cache_folder=None)
        units = {}
        for line in lines:
            name, _relation, *others = (piece.strip() for piece in line.split("="))
            spellings |= dict.fromkeys([name, *(word for word in others if word != "_")], name)
            units[name] = _plain_unit(registry, name)
    return units, spellings


def _plain_unit(registry: Registry, name: str) -> Unit:
    dimension = {
        "[length]": Dimension.LENGTH,
        "[length] ** 3": Dimension.VOLUME,
        "[mass]": Dimension.MASS,
        "[time]": Dimension.TIME,
        "[count]": Dimension.COUNT,
    }[str(registry.get_dimensionality(name))]
    factor, _root = registry.get_root_units(name)
    # The registry's root of time is the minute, since an hour is a whole number of minutes and not the other way round.
    over = Decimal(60) if dimension is Dimension.TIME else Decimal(1)
    times = Decimal(str(factor))
    return Unit(dimension, Decimal(1), Decimal(1)) if times == over else Unit(dimension, times, over)


_SQUARED = {2: Dimension.AREA, 3: Dimension.VOLUME}
_POWER_WORDS = {"sq": 2, "square": 2, "cu": 3, "cubic": 3}
_RUN_TOGETHER = {"sqft": ("foot", 2), "sf": ("foot", 2), "sqm": ("metre", 2), "cuft": ("foot", 3), "cuyd": ("yard", 3)}
_FOLDED = str.maketrans({"²": "^2", "³": "^3", "·": " ", "_": " ", "\u2009": " ", "\u202f": " ", "\u00a0": " "})
_TOKEN = re.compile(r"([a-z]+)\.?|([1-3])|([\^/])")


@lru_cache(maxsize=512)
def find_unit(text: str, oz: Ounce = "mass") -> Unit:
    """The unit that the words name: `ft`, `sq ft`, `ft**2/gal`, `oz per gal`, `lb/ft³`.

    Raises UnitFault for words that are not in the list.
    """
    if len(text) > LONGEST_UNIT:
        raise UnitFault(text)
    sides = _sides(text)
    units = [_side(words, text, oz) for words in sides]
    if len(units) == 1:
        return units[0]
    above, below = units
    try:
        dimension = Dimension(f"{above.dimension} per {below.dimension.split(' ')[1]}")
    except ValueError:
        why = f": {above.dimension} per {below.dimension.split(' ')[1]} measures nothing here"
        raise UnitFault(text, why) from None
    return Unit(dimension, carried(above.times * below.over), carried(above.over * below.times))


def _sides(text: str) -> list[list[str]]:
    """The words above and below the stroke."""
    folded = text.lower().translate(_FOLDED).replace("**", "^").strip()
    tokens: list[str] = []
    place = 0
    while place < len(folded):
        if folded[place] == " ":
            place += 1
            continue
        match = _TOKEN.match(folded, place)
        if match is None:
            raise UnitFault(text)
        tokens.append("/" if match[1] == "per" else match[1] or match[2] or match[3])
        place = match.end()
    sides: list[list[str]] = [[]]
    for word in tokens:
        if word == "/":
            sides.append([])
        else:
            sides[-1].append(word)
    if len(sides) > 2 or not all(sides):
        raise UnitFault(text)
    return sides


def _side(words: list[str], text: str, oz: Ounce) -> Unit:
    """One side of the stroke: a name of the list, squared or cubed if it is a length."""
    units, spellings = _list()
    powers = []
    words = list(words)
    if words[0] in _POWER_WORDS:
        powers.append(_POWER_WORDS[words.pop(0)])
    if words and words[-1] in ("1", "2", "3"):
        powers.append(int(words.pop()))
        if words and words[-1] == "^":
            words.pop()
    spelling = "_".join(words)
    if spelling in _RUN_TOGETHER:
        name, power = _RUN_TOGETHER[spelling]
        powers.append(power)
    elif spelling in spellings:
        name = spellings[spelling]
    else:
        raise UnitFault(text)
    if name == "ounce" and oz == "fluid":
        name = "fluid_ounce"
    unit = units[name]
    if len(powers) > 1:
        raise UnitFault(text)
    power = powers[0] if powers else 1
    if power == 1:
        return unit
    if unit.dimension is not Dimension.LENGTH:
        raise UnitFault(text, ": only a length can be squared or cubed")
    return Unit(_SQUARED[power], unit.times**power, unit.over)


def to_unit(magnitude: Decimal, unit: str, oz: Ounce = "mass") -> Decimal:
    """A canonical magnitude in the named unit: `to_unit(area, "ft**2")`."""
    return find_unit(unit, oz).from_canonical(magnitude)


def from_unit(magnitude: Decimal, unit: str, oz: Ounce = "mass") -> Decimal:
    """A magnitude in the named unit, in the canonical unit: `from_unit(Decimal(5), "gal")` is in m³."""
    return find_unit(unit, oz).to_canonical(magnitude)
