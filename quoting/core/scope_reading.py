"""What reading a scope file notes on its way: faults with their places, and the words for what stands there instead."""

import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from quoting.core.scope_faults import Fault
from quoting.core.units import Dimension, Ounce

BAD: Any = object()
"""What reading gives for a value that has a fault."""

MOST_FAULTS = 100
"""Faults of one file that are said; of the others only how many there are."""

_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]{1,64}")


@dataclass(slots=True)
class Reading:
    """What reading one file has found so far: its faults, what was built, and what later values are read by."""

    faults: list[Fault] = field(default_factory=list)
    unsaid: int = 0
    built: list[tuple[str, Any]] = field(default_factory=list)
    oz: Ounce = "mass"
    dimensions: dict[str, Dimension] = field(default_factory=dict)
    places: int | None = None

    def fault(self, place: str, sentence: str, *, structural: bool = False) -> Any:
        """Note a fault, or count it where enough was said; gives BAD."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(Fault(place or "file", sentence, structural))
        else:
            self.unsaid += 1
        return BAD

    @property
    def count(self) -> int:
        """How many faults were found so far, said or not."""
        return len(self.faults) + self.unsaid


@dataclass(frozen=True, slots=True)
class UnreadNumber:
    """A number of the file that is not a short whole number, kept as its text so that the fault can show it."""

    text: str


def inside(place: str, key: str) -> str:
    """The place of a key inside a place."""
    if _PLAIN_KEY.fullmatch(key):
        return f"{place}.{key}" if place else key
    return f"{place}[“{shown(key)}”]"


def shown(text: str) -> str:
    """Text from a file, short and printable, for a sentence on one line."""
    printable = "".join(letter if letter.isprintable() else "�" for letter in text[:41])
    return printable[:40] + "…" if len(text) > 40 else printable


def what_it_is(value: Any) -> str:
    """The words for a value of the wrong kind."""
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    if isinstance(value, UnreadNumber | int | float | Decimal):
        return f"the bare number {shown(value.text if isinstance(value, UnreadNumber) else str(value))}"
    if isinstance(value, str):
        return f"the text “{shown(value)}”"
    return "a list" if isinstance(value, list | tuple) else "an object" if isinstance(value, dict) else "no JSON value"
