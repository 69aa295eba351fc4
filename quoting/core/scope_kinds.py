"""The kinds of value in a scope file. Each kind reads, writes and describes itself, so reader, writer and schema are
one.

A kind has three methods. `read(value, place, reading)` gives the value of the core, or BAD after noting at least one
fault in `reading`; it never raises for what a file may hold. `write(value, places)` gives the JSON for a value, with
`places` the decimals of the currency. `schema()` gives the JSON Schema. A fault is *structural* where the schema
refuses the same thing; what a schema can't say (a length that is too long, a name that is not there) is a fault of
meaning.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import Any, Protocol

from quoting.core.rounding import CurrencyFault, minor_places
from quoting.core.scope import EDGE
from quoting.core.scope_reading import Reading, UnreadNumber, shown, what_it_is
from quoting.core.units import (
    LONGEST_TEXT,
    Dimension,
    QuantityFault,
    TapeFault,
    UnitFault,
    parse_length,
    parse_quantity,
)

LONGEST_NAME = 200
"""Characters in a name."""

NUMBER_PATTERN = r"^-?[0-9]{1,9}(\.[0-9]{1,6})?$"
CODE_PATTERN = r"^[A-Z]{3}$"
WHOLE_PATTERN = r"^[0-9]{1,9}$"
LARGEST_WHOLE = 999_999_999


class Kind(Protocol):
    """What every kind answers."""

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        """The value of the core, or BAD."""

    def write(self, value: Any, places: int) -> Any:
        """The JSON for the value."""

    def schema(self) -> dict[str, Any]:
        """The JSON Schema of the value."""


def plain(number: Decimal) -> str:
    """A number as the file writes it: digits without an exponent, or zeros at the end."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def decimals(number: Decimal) -> int:
    """How many decimals the number needs."""
    return max(0, -int(number.normalize().as_tuple().exponent))


@dataclass(frozen=True, slots=True)
class Text:
    """A text on one line of at most LONGEST_NAME characters; `blank` lets it be empty."""

    blank: bool = False

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        if not isinstance(value, str):
            return reading.fault(place, f"must be a text, not {what_it_is(value)}.", structural=True)
        if len(value) > LONGEST_NAME:
            sentence = f"is {len(value)} characters long; at most {LONGEST_NAME} are read."
            return reading.fault(place, sentence, structural=True)
        if not value and not self.blank:
            return reading.fault(place, "must not be empty.", structural=True)
        if not self.blank and not value.strip():
            return reading.fault(place, "must not be blank.")
        odd = next((letter for letter in value if not letter.isprintable()), None)
        if odd is not None:
            return reading.fault(place, f"holds the character U+{ord(odd):04X}, which can't be printed.")
        return value

    def write(self, value: Any, places: int) -> Any:
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 0 if self.blank else 1, "maxLength": LONGEST_NAME}


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the words of an enumeration."""

    words: type[StrEnum]

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        if isinstance(value, str) and value in set(self.words):
            return self.words(value)
        options = ", ".join(self.words)
        return reading.fault(place, f"must be one of {options}, not {what_it_is(value)}.", structural=True)

    def write(self, value: Any, places: int) -> Any:
        return str(value)

    def schema(self) -> dict[str, Any]:
        return {"enum": [str(word) for word in self.words]}


@dataclass(frozen=True, slots=True)
class CurrencyCode:
    """A currency of ISO 4217. Sets the decimals of sums that are read after it."""

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        if not isinstance(value, str) or not re.search(CODE_PATTERN, value) or value.endswith("\n"):
            return reading.fault(place, f"must be a code such as USD, not {what_it_is(value)}.", structural=True)
        try:
            reading.places = minor_places(value)
        except CurrencyFault as fault:
            return reading.fault(place, str(fault))
        return value

    def write(self, value: Any, places: int) -> Any:
        return value

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": CODE_PATTERN}


@dataclass(frozen=True, slots=True)
class Number:
    """A number in the one grammar, as a text or a short whole number, within bounds; `money` is written in full cents.

    `exact` money must not be finer than the currency's minor unit.
    """

    least: Decimal | None = None
    above: Decimal | None = None
    most: Decimal | None = None
    below: Decimal | None = None
    money: bool = False
    exact: bool = False

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        is_short = isinstance(value, int) and not isinstance(value, bool) and abs(value) <= LARGEST_WHOLE
        is_text = isinstance(value, str) and re.search(NUMBER_PATTERN, value) and not value.endswith("\n")
        if is_short or is_text:
            number = Decimal(value)
        elif isinstance(value, UnreadNumber | float | Decimal | int) and not isinstance(value, bool):
            text = shown(value.text if isinstance(value, UnreadNumber) else str(value))
            why = "a bare number with a point or an exponent is not read, since it may not be what was written"
            return reading.fault(place, f"must be a text such as “0.05”, not {text}: {why}.", structural=True)
        else:
            kind = what_it_is(value)
            why = "digits, at most nine, and at most six after a point"
            return reading.fault(place, f"must be a number such as “0.05” ({why}), not {kind}.", structural=True)
        number = number if number else number.copy_abs()
        return self._bounded(number, place, reading)

    def _bounded(self, number: Decimal, place: str, reading: Reading) -> Any:
        for wrong, words in (
            (self.least is not None and number < self.least, f"at least {self.least}"),
            (self.above is not None and number <= self.above, f"more than {self.above}"),
            (self.most is not None and number > self.most, f"at most {self.most}"),
            (self.below is not None and number >= self.below, f"less than {self.below}"),
        ):
            if wrong:
                return reading.fault(place, f"must be {words}, not {plain(number)}.")
        if self.exact and reading.places is not None and decimals(number) > reading.places:
            return reading.fault(place, f"{plain(number)} is finer than the currency's {reading.places} decimals.")
        return number

    def write(self, value: Any, places: int) -> Any:
        if self.money and decimals(value) <= places:
            return f"{value:.{places}f}"
        return plain(value)

    def schema(self) -> dict[str, Any]:
        whole = {"type": "integer", "minimum": -LARGEST_WHOLE, "maximum": LARGEST_WHOLE}
        return {"anyOf": [{"type": "string", "pattern": NUMBER_PATTERN}, whole]}


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number, bare or as a text, within bounds."""

    least: int
    most: int = LARGEST_WHOLE

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        if isinstance(value, str) and re.search(WHOLE_PATTERN, value) and not value.endswith("\n"):
            value = int(value)
        if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= LARGEST_WHOLE:
            return reading.fault(place, f"must be a whole number, not {what_it_is(value)}.", structural=True)
        if not self.least <= value <= self.most:
            return reading.fault(place, f"must be from {self.least} to {self.most:,}, not {value}.")
        return value

    def write(self, value: Any, places: int) -> Any:
        return value

    def schema(self) -> dict[str, Any]:
        whole = {"type": "integer", "minimum": 0, "maximum": LARGEST_WHOLE}
        return {"anyOf": [{"type": "string", "pattern": WHOLE_PATTERN}, whole]}


@dataclass(frozen=True, slots=True)
class Measure:
    """A number and its unit, as a text; `edge` also takes the word that stands for the areas' edge.

    `zero` lets it be nothing; `negative` is for the coordinates of a corner.
    """

    dimensions: tuple[Dimension, ...]
    zero: bool = False
    negative: bool = False
    edge: bool = False

    def read(self, value: Any, place: str, reading: Reading) -> Any:
        if not isinstance(value, str) or not 1 <= len(value) <= LONGEST_TEXT:
            wanted = " or ".join(self.dimensions)
            given = "a text that is too long" if isinstance(value, str) and value else what_it_is(value)
            return reading.fault(place, f"must be {wanted} with its unit, as a text, not {given}.", structural=True)
        if self.edge and value == EDGE:
            return EDGE
        try:
            if self.negative:
                quantity = parse_length(value, negative=True)
            else:
                # In a mass per volume, oz can only be that of mass, whatever the packs are.
                oz = "mass" if self.dimensions == (Dimension.MASS_PER_VOLUME,) else reading.oz
                quantity = parse_quantity(value, *self.dimensions, oz=oz, zero=self.zero)
        except (QuantityFault, UnitFault, TapeFault) as fault:
            return reading.fault(place, str(fault))
        # The text as it was called out, not as the parser folded it.
        text = value.strip()
        if text == quantity.text or not value.isprintable():
            return quantity
        return replace(quantity, text=text)

    def write(self, value: Any, places: int) -> Any:
        return value if isinstance(value, str) else value.text

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT}
