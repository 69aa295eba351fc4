"""The value types of a scope: everything that decides a price, and nothing else.

A scope is plain, frozen data. Quantities keep the text they were read from (`14' 6"`), so that a frozen scope file
still shows how the tape was called, beside a magnitude in the canonical unit of the core (m, m², m³, kg, h, count).
Numbers are Decimals. `scope_file.py` reads and writes scopes as canonical JSON; `work_out.py` turns one into its
workings.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from quoting.core.units import Quantity

EDGE = "edge"
"""Stands for the summed edge of a step's areas where a length may be given."""

LengthOrEdge = Quantity | str
"""A length, or EDGE."""


class Units(StrEnum):
    """The units that the workings are shown in."""

    US = "us"
    METRIC = "metric"


class Charging(StrEnum):
    """What a material is charged at: whole packs bought, or what is used of them."""

    PACKS = "packs"
    USED = "used"


class Category(StrEnum):
    """What a sum of money is for."""

    MATERIALS = "materials"
    LABOUR = "labour"
    EQUIPMENT = "equipment"
    SUBCONTRACT = "subcontract"
    OTHER = "other"


class TaxBase(StrEnum):
    """What a tax is reckoned on."""

    PRICE = "price"
    MATERIALS = "materials"
    LABOUR = "labour"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One measured shape of an area, as it was called out; `count` repeats it.

    `sizes` holds what the shape needs by name and in the order of the table of shapes: a Quantity, a tuple of
    Quantities (offsets), a tuple of pairs of Quantities (polygon points) or a Decimal (an angle in degrees, the number
    of steps).
    """

    shape: str
    sizes: tuple[tuple[str, object], ...]
    count: int = 1
    name: str = ""

    def size(self, name: str) -> object | None:
        """The size of that name, or None where the part has none."""
        return next((value for key, value in self.sizes if key == name), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A named stretch of one surface; `texture` is true surface over plan surface, 1 or more."""

    name: str
    parts: tuple[Part, ...]
    deducts: tuple[Part, ...] = ()
    surface: str = ""
    texture: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A container as sold: its size (a volume, a mass or a count) and its price in the scope's currency."""

    size: Quantity
    price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A material and the packs it is sold in. All packs are of one dimension, which says whether it is dry or liquid.

    `density` (mass per volume) joins a use reckoned by volume to packs by mass; a use may give its own. `scoop` is what
    the crew's scoop holds. `solids` is the fraction of the volume that stays as dry film.
    """

    key: str
    name: str
    packs: tuple[Pack, ...]
    on_hand: Quantity | None = None
    charge: Charging = Charging.PACKS
    density: Quantity | None = None
    scoop: Quantity | None = None
    solids: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageUse:
    """Material spread over the effective area: one `coverage` for `coats` coats (1 unless given), or `rates`, one a
    coat.
    """

    coverage: Quantity | None = None
    coats: int | None = None
    rates: tuple[Quantity, ...] = ()
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MixUse:
    """Powder in water: `strength` is mass of powder per volume of water, `coverage` is that of the mix.

    Whole batches of `batch`, and one last batch rounded up to `batch_step` (a quarter of a batch unless given).
    """

    strength: Quantity
    coverage: Quantity
    batch: Quantity
    batch_step: Quantity | None = None
    coats: int = 1
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DilutionUse:
    """Concentrate let down with `parts_water` parts of water to one; `coverage` is that of the solution."""

    parts_water: Decimal
    coverage: Quantity
    coats: int = 1
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StirredUse:
    """Stirred into something that is spread, such as grit into sealer: `strength` is its mass in a volume of that,
    `coverage` how far that goes.
    """

    strength: Quantity
    coverage: Quantity
    coats: int = 1
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthUse:
    """So much material a length, along `length` or along the areas' EDGE."""

    per_length: Quantity
    length: LengthOrEdge
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackUse:
    """Filler for cracks of this length, width and depth; along the areas' EDGE it fills the joint round them."""

    length: LengthOrEdge
    width: Quantity
    depth: Quantity
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointUse:
    """Sand for the joints of paving units laid in a grid: `joint` is the joint's width, `depth` what is filled."""

    unit_length: Quantity
    unit_width: Quantity
    joint: Quantity
    depth: Quantity
    density: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EachUse:
    """Things that are counted: a plain `count`, or one for each `per_area` begun."""

    count: int | None = None
    per_area: Quantity | None = None


Use = CoverageUse | MixUse | DilutionUse | StirredUse | LengthUse | CrackUse | JointUse | EachUse
"""How a material is used up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialUse:
    """One material in one step; `material` is its key, `waste` a fraction of the need."""

    material: str
    use: Use
    waste: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Labour:
    """The hours of a step: a production `rate` a person-hour with its passes, set-up and difficulty, or `hours`
    outright.

    A rate by area goes with the net area. A rate by length goes with `length`, EDGE unless given; a rate by count with
    `count`.
    """

    rate: Quantity | None = None
    passes: int = 1
    setup: Quantity | None = None
    difficulty: Decimal = Decimal(1)
    length: LengthOrEdge | None = None
    count: int | None = None
    hours: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A unit of work on one or more areas. `hold` (the wait before the next step) and `visit` decide no figure."""

    step: str
    areas: tuple[str, ...]
    labour: Labour | None = None
    materials: tuple[MaterialUse, ...] = ()
    hold: Quantity | None = None
    visit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """How many work together, and the burdened cost of one of them an hour."""

    size: int
    hourly_cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """A cost beside the work: exactly one of an `amount`, such as travel, and a `share` of direct cost, such as a
    contingency.

    The share is a fraction of materials, labour and the amounts; shares are not reckoned on each other.
    """

    name: str
    category: Category
    amount: Decimal | None = None
    share: Decimal | None = None

    def times(self, has: int, had: int) -> Decimal | None:
        """The amount for `has` visits, where it stands for `had`; None for a share."""
        return None if self.amount is None else self.amount * has / had


@dataclass(frozen=True, slots=True, kw_only=True)
class Profit:
    """Exactly one of the two: `markup` on cost, or `margin` in the price."""

    markup: Decimal | None = None
    margin: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Discount:
    """Exactly one of the two: a `rate` of the price, or an `amount`."""

    rate: Decimal | None = None
    amount: Decimal | None = None


NO_DISCOUNT = Discount(rate=Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Tax:
    """A tax line: its name, its rate as a fraction, and what it is reckoned on."""

    name: str
    rate: Decimal
    on: TaxBase


@dataclass(frozen=True, slots=True, kw_only=True)
class Pricing:
    """How cost becomes price. Rates are fractions; `minimum` and `round_to` are sums, 0 meaning none."""

    profit: Profit
    overhead: Decimal = Decimal(0)
    minimum: Decimal = Decimal(0)
    round_to: Decimal = Decimal(0)
    discount: Discount = NO_DISCOUNT
    tax: tuple[Tax, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """All that decides one price. `currency` is an ISO 4217 code. Materials stand in the order of their keys."""

    currency: str
    units: Units
    areas: tuple[Area, ...]
    crew: Crew
    pricing: Pricing
    title: str = ""
    materials: tuple[Material, ...] = ()
    work: tuple[Step, ...] = ()
    charges: tuple[Charge, ...] = ()

    def __post_init__(self) -> None:
        # A JSON object has no order, so equal scopes must not differ by one.
        object.__setattr__(self, "materials", tuple(sorted(self.materials, key=lambda material: material.key)))
