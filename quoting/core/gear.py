"""Tools, spares and protective gear by what is done: given as data, a list to start from that the firm edits.

Common practice, no published source; spray painters' cartridges changed every 4 h instead of 16 to 24 after one study.
Names are English; the key finds them in another language.
"""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from quoting.core.rounding import CONTEXT, ceil_count
from quoting.core.weather_limits import ALL_WORK, Work


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


_WET = frozenset({Work.WASH, Work.STRIP})
_COLOUR, _SEAL, _STRIP = frozenset({Work.COLOUR}), frozenset({Work.SEAL}), frozenset({Work.STRIP})
_SPRAYED = frozenset({Work.COLOUR, Work.SEAL})
_SOLVENT = frozenset({Work.SEAL, Work.STRIP})
_SAND = frozenset({Work.SAND})


def _gear(kind: GearKind, key: str, name: str, works: frozenset[Work], count: int = 1, per: Per = Per.VISIT) -> Gear:
    return Gear(key=key, name=name, kind=kind, works=works, count=count, per=per)


STARTING_GEAR = (
    _gear(GearKind.TOOL, "pressure-washer", "Pressure washer", _WET),
    _gear(GearKind.TOOL, "surface-cleaner", "Surface cleaner", frozenset({Work.WASH})),
    _gear(GearKind.TOOL, "hose", "Hose, 100 ft", _WET | _COLOUR, 2),
    _gear(GearKind.TOOL, "stiff-broom", "Stiff broom", _WET | _COLOUR | _SAND, 2),
    _gear(GearKind.TOOL, "drain-cover", "Drain cover", _WET, 2),
    _gear(GearKind.TOOL, "scale", "Scale", _COLOUR),
    _gear(GearKind.TOOL, "bucket", "Bucket, 5 gal", _COLOUR, 3),
    _gear(GearKind.TOOL, "strainer", "Paint strainer", _SPRAYED, 4),
    _gear(GearKind.TOOL, "stirrer", "Drill and stirrer", _SPRAYED),
    _gear(GearKind.TOOL, "watering-can", "Watering can", _COLOUR),
    _gear(GearKind.TOOL, "sprayer", "Pump sprayer", _SPRAYED),
    _gear(GearKind.TOOL, "roller", "Roller frame, 18 in", _SEAL, 2),
    _gear(GearKind.TOOL, "roller-cover", "Roller cover, 3/8 in, for solvent", _SEAL, 2),
    _gear(GearKind.TOOL, "plate-compactor", "Plate compactor with mat", _SAND),
    _gear(GearKind.TOOL, "blower", "Leaf blower", _SAND | _SPRAYED),
    _gear(GearKind.TOOL, "thermometer", "Surface thermometer", ALL_WORK),
    _gear(GearKind.TOOL, "hygrometer", "Hygrometer and wind meter", ALL_WORK),
    _gear(GearKind.TOOL, "wet-film-comb", "Wet-film comb", _SEAL),
    _gear(GearKind.TOOL, "white-rags", "White rags", _SPRAYED, 10),
    _gear(GearKind.TOOL, "rag-can", "Lidded metal can for rags", _SOLVENT),
    _gear(GearKind.TOOL, "cones", "Cones", ALL_WORK, 4),
    _gear(GearKind.SPARE, "spare-sprayer", "Spare sprayer", _SPRAYED),
    _gear(GearKind.SPARE, "spare-tips", "Spare tips", _SPRAYED, 3),
    _gear(GearKind.SPARE, "spare-roller-cover", "Spare roller covers", _SEAL, 2),
    _gear(GearKind.PROTECTIVE, "goggles", "Goggles", ALL_WORK, 1, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "face-shield", "Face shield", _WET, 1, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "rubber-boots", "Rubber boots", _WET, 1, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "rubber-gloves", "Rubber gloves", _WET, 1, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "dust-mask", "Dust mask, N95", _COLOUR | _SAND, 2, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "vapour-mask", "Half mask for solvent vapour", _SOLVENT, 1, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "cartridges", "Cartridges, a pair for each 4 hours", _SOLVENT, 2, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "solvent-gloves", "Gloves for solvent", _SOLVENT, 2, Per.PERSON),
    _gear(GearKind.PROTECTIVE, "extinguisher", "Fire extinguisher", _SOLVENT),
    _gear(GearKind.PROTECTIVE, "spill-kit", "Spill kit", _SOLVENT | _WET),
    _gear(GearKind.PROTECTIVE, "eye-wash", "Eye wash", ALL_WORK),
    _gear(GearKind.PROTECTIVE, "first-aid", "First-aid kit", ALL_WORK),
    _gear(GearKind.PROTECTIVE, "drinking-water", "Drinking water", ALL_WORK, 2, Per.PERSON),
)  # fmt: skip


def gear_for(
    works: Collection[Work], people: int, gear: Collection[Gear] = STARTING_GEAR
) -> tuple[tuple[Gear, int], ...]:
    """What to take for these kinds of work, with its count for so many people."""
    return tuple(
        (each, each.count * (people if each.per is Per.PERSON else 1)) for each in gear if each.works & frozenset(works)
    )
