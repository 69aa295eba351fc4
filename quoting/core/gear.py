"""Tools, spares, protective gear, tape and film by what is done, counted from the firm's own list."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from quoting.core.rounding import CONTEXT, ceil_count
from quoting.core.weather_limits import Work


class GearFault(ValueError):
    """Gear that can't be counted; the sentence says why."""


class GearKind(StrEnum):
    """What a thing is for, in the order of a list."""

    TOOL = "tool"
    SPARE = "spare"
    PROTECTIVE = "protective"
    MASKING = "masking"


class Per(StrEnum):
    """What one set is for."""

    VISIT = "visit"
    PERSON = "person"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """One thing to take when one of these kinds of work is done: so many a visit, or a person."""

    key: str
    name: str
    kind: GearKind
    works: frozenset[Work]
    count: int = 1
    per: Per = Per.VISIT
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Masking:
    """Tape or film on the roll: `roll` is its length in m; it goes along the edge `rows` times, with `waste` on top."""

    key: str
    name: str
    roll: Decimal
    works: frozenset[Work]
    rows: int = 1
    waste: Decimal = Decimal("0.15")
    place: str = ""

    def rolls(self, edge: Decimal) -> int:
        """Rolls for an edge in m. Raises GearFault for a roll of nothing."""
        if not self.roll > 0:
            raise GearFault("A roll is longer than nothing.")
        return ceil_count(CONTEXT.divide(edge * self.rows * (1 + self.waste), self.roll))


def gear_for(works: Collection[Work], people: int, gear: Collection[Gear]) -> tuple[tuple[Gear, int], ...]:
    """What to take for these kinds of work, with its count for so many people."""
    return tuple(
        (each, each.count * (people if each.per is Per.PERSON else 1)) for each in gear if each.works & frozenset(works)
    )
