"""The scope file, format 1: the field tables that the reader enforces, the writer follows and the JSON Schema comes
from.

What each key means stands beside it and goes into the schema, which ships as scope.schema.json and is the description
of the format for those who write such files.
"""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from quoting.core.scope import (
    NO_DISCOUNT,
    Area,
    Category,
    Charge,
    Charging,
    Crew,
    Discount,
    Labour,
    Material,
    MaterialUse,
    Pack,
    Part,
    Pricing,
    Profit,
    Scope,
    Step,
    Tax,
    TaxBase,
    Units,
)
from quoting.core.scope_kinds import Choice, CurrencyCode, Kind, Measure, Number, Text, Whole
from quoting.core.scope_reading import Reading
from quoting.core.scope_records import Either, Field, Items, Keyed, Record, Tagged
from quoting.core.scope_uses import LENGTH, LENGTH_OR_EDGE, PACKED, USES
from quoting.core.shapes import MOST_POINTS
from quoting.core.units import Dimension, QuantityFault, TapeFault, UnitFault, parse_quantity

MOST_AREAS = 500
MOST_STEPS = 200

_ANGLE = Number(above=Decimal(0), most=Decimal(360))
_POINT = Items(Measure((Dimension.LENGTH,), negative=True), most=2, least=2)
_SIZES: dict[str, dict[str, tuple[Kind, str, bool]]] = {
    "rectangle": {"length": (LENGTH, "Along it.", True), "width": (LENGTH, "Across it.", True)},
    "triangle": {side: (LENGTH, f"Side {side}.", True) for side in "abc"},
    "quadrilateral": {
        **{side: (LENGTH, f"Side {side}; the sides go round in order.", True) for side in "abcd"},
        "p": (LENGTH, "The diagonal that parts sides a and b from c and d.", True),
        "q": (LENGTH, "The other diagonal, if measured: it checks the other five readings.", False),
    },
    "trapezoid": {
        "a": (LENGTH, "One parallel side.", True),
        "b": (LENGTH, "The other parallel side.", True),
        "height": (LENGTH, "Between the parallel sides, square to them.", True),
        "c": (LENGTH, "One slanting side, if measured; with d it gives the edge.", False),
        "d": (LENGTH, "The other slanting side.", False),
    },
    "circle": {"diameter": (LENGTH, "Across the middle.", True)},
    "ellipse": {"length": (LENGTH, "Its longer way.", True), "width": (LENGTH, "Its shorter way.", True)},
    "sector": {"radius": (LENGTH, "From the centre out.", True), "angle": (_ANGLE, "Degrees, to 360.", True)},
    "polygon": {
        "points": (Items(_POINT, most=MOST_POINTS, least=3), "Corners in order, each a pair of lengths [x, y].", True),
    },
    "offsets": {
        "spacing": (LENGTH, "Between one offset and the next, along the base line.", True),
        "offsets": (
            Items(Measure((Dimension.LENGTH,), zero=True), most=MOST_POINTS),
            "From the base line out to the curved edge, first to last.",
            True,
        ),
    },
    "steps": {
        "count": (Whole(1, 1000), "How many steps.", True),
        "width": (LENGTH, "Of each step, along its nosing.", True),
        "tread": (LENGTH, "From front to back.", True),
        "riser": (LENGTH, "From one tread up to the next.", True),
    },
    "measured": {
        "area": (Measure((Dimension.AREA,)), "As it was given.", True),
        "edge": (LENGTH, "The length round it, as it was given.", False),
    },
}


def _part(shape: str, names: list[str]) -> Callable[..., Part]:
    def build(*, name: str, count: Any = 1, **sizes: Any) -> Part:
        repeat = 1 if "count" in names else count
        sizes = sizes | ({"count": count} if "count" in names else {})
        given = tuple((each, sizes[each]) for each in names if sizes[each] is not None)
        return Part(shape=shape, sizes=given, count=repeat, name=name)

    return build


def _part_record(shape: str) -> Record:
    fields = {key: Field(kind, says, needed) for key, (kind, says, needed) in _SIZES[shape].items()}
    if "count" not in fields:
        fields["count"] = Field(Whole(1, 1000), "How often the part is there.", unset=1)
    fields["name"] = Field(Text(blank=True), "What the part is called; it decides nothing.", unset="")
    names = list(_SIZES[shape])
    return Record(_part(shape, names), fields, f"A part of the shape {shape}.", {"shape": shape})


PART = Tagged("shape", {shape: _part_record(shape) for shape in _SIZES})

AREA = Record(
    Area,
    {
        "name": Field(Text(), "What the area is called; no two share a name.", needed=True),
        "surface": Field(Text(blank=True), "What it is made of, in words; it decides nothing.", unset=""),
        "texture": Field(
            Number(Decimal(1), most=Decimal(10)), "True surface over plan surface, from 1.", unset=Decimal(1)
        ),
        "parts": Field(Items(PART, most=500, least=1), "The measured shapes it is made of.", needed=True),
        "deducts": Field(Items(PART, most=500), "The measured shapes that are taken out of it.", unset=()),
    },
    "A named stretch of one surface. Net area = parts less deducts; effective area = net area × texture.",
)

_PRICE = Number(Decimal(0), money=True)
_SUM = Number(Decimal(0), money=True, exact=True)
_DENSITY = Measure((Dimension.MASS_PER_VOLUME,))


def _oz_of_packs(raw: dict[str, Any], reading: Reading) -> None:
    """A material says what its oz is by its packs: fluid as soon as one pack is plainly a volume."""
    reading.oz = "mass"
    packs = raw.get("packs")
    for pack in packs[:20] if isinstance(packs, list) else ():
        size = pack.get("size") if isinstance(pack, dict) else None
        try:
            if isinstance(size, str) and parse_quantity(size).dimension is Dimension.VOLUME:
                reading.oz = "fluid"
        except (QuantityFault, UnitFault, TapeFault):
            continue


def _oz_of_material(raw: dict[str, Any], reading: Reading) -> None:
    if not reading.dimensions:
        materials = [built for _place, built in reading.built if isinstance(built, Material)]
        reading.dimensions = {material.key: material.packs[0].size.dimension for material in materials}
    key = raw.get("material")
    liquid = isinstance(key, str) and reading.dimensions.get(key) is Dimension.VOLUME
    reading.oz = "fluid" if liquid else "mass"


PACK = Record(
    Pack,
    {
        "size": Field(Measure(PACKED), "What it holds: a volume, a mass or a count (“4 each”).", needed=True),
        "price": Field(_PRICE, "What one costs.", needed=True),
    },
    "A container as sold.",
)
MATERIAL = Record(
    Material,
    {
        "name": Field(Text(), "What the material is called.", needed=True),
        "packs": Field(Items(PACK, most=20, least=1), "Its sizes: all volumes, all masses or all counts.", needed=True),
        "on_hand": Field(Measure(PACKED, zero=True), "What is there already, and is used first."),
        "charge": Field(Choice(Charging), "Charge whole packs, or what is used.", unset=Charging.PACKS),
        "density": Field(_DENSITY, "Joins a use reckoned by volume to packs by mass; a use may give its own."),
        "scoop": Field(Measure(PACKED), "What one scoop holds; the mix sheet then counts scoops."),
        "solids": Field(
            Number(above=Decimal(0), most=Decimal(1)),
            "Fraction of the volume that stays as dry film: “0.25”. The workings then give the dry film.",
        ),
    },
    "A material, bought once for the scope. A bare oz is the fluid ounce if a pack is a volume, else that of mass.",
    before=_oz_of_packs,
)
MATERIAL_USE = Record(
    MaterialUse,
    {
        "material": Field(Text(), "Key of the material.", needed=True),
        "use": Field(USES, "How it is used up.", needed=True),
        "waste": Field(Number(Decimal(0), most=Decimal(10)), "Fraction of the need that is lost.", unset=Decimal(0)),
    },
    "One material in one step.",
    before=_oz_of_material,
)
LABOUR = Record(
    Labour,
    {
        "rate": Field(
            Measure((Dimension.AREA_PER_TIME, Dimension.LENGTH_PER_TIME, Dimension.COUNT_PER_TIME)),
            "Area, length or count a person-hour.",
        ),
        "passes": Field(Whole(1, 100), "How often it is gone over.", unset=1),
        "setup": Field(Measure((Dimension.TIME,), zero=True), "Person-hours before the first square foot."),
        "difficulty": Field(Number(above=Decimal(0), most=Decimal(100)), "Multiplies the time.", unset=Decimal(1)),
        "length": Field(
            LENGTH_OR_EDGE, "For a rate by length: a length, or “edge” (unless given) for the areas' edge."
        ),
        "count": Field(Whole(1), "For a rate by count: how many."),
        "hours": Field(Measure((Dimension.TIME,)), "Person-hours outright, instead of a rate."),
    },
    "Person-hours = setup + passes × net area (or length, or count) ÷ rate × difficulty.",
)
STEP = Record(
    Step,
    {
        "step": Field(Text(), "What is done.", needed=True),
        "areas": Field(Items(Text(), most=MOST_AREAS, least=1), "Names of the areas it is done on.", needed=True),
        "labour": Field(LABOUR, "Its hours."),
        "materials": Field(Items(MATERIAL_USE, most=50), "What it uses.", unset=()),
        "hold": Field(
            Measure((Dimension.TIME,), zero=True), "Waiting time before the next step; it decides no figure."
        ),
        "visit": Field(Whole(1, 1000), "The visit on which it is done; it decides no figure."),
    },
    "A unit of work on one or more areas.",
)
CHARGE = Record(
    Charge,
    {
        "name": Field(Text(), "What it is for.", needed=True),
        "category": Field(Choice(Category), "The sum it counts to.", needed=True),
        "amount": Field(_SUM, "How much."),
        "share": Field(
            Number(above=Decimal(0), most=Decimal(1)), "Instead: a fraction of materials, labour and all amounts."
        ),
    },
    "A cost beside the work, as an amount or as a share of direct cost.",
)
CREW = Record(
    Crew,
    {
        "size": Field(Whole(1, 100), "How many work together.", unset=1),
        "hourly_cost": Field(_PRICE, "The burdened cost of one person-hour, not the wage.", needed=True),
    },
    "Who does it.",
)
_PROFIT = Record(
    Profit,
    {
        "markup": Field(Number(Decimal(0), most=Decimal(100)), "On cost: price = cost × (1 + markup)."),
        "margin": Field(Number(Decimal(0), below=Decimal(1)), "In the price: price = cost ÷ (1 − margin)."),
    },
    "Exactly one of the two.",
)
_DISCOUNT = Either(
    Number(Decimal(0), most=Decimal(1)),
    Record(Discount, {"amount": Field(_SUM, "How much.", needed=True)}, "A discount of a sum."),
    wrap=lambda rate: Discount(rate=rate),
    unwrap=lambda discount: discount.rate,
)
TAX = Record(
    Tax,
    {
        "name": Field(Text(), "What it is called on the paper.", needed=True),
        "rate": Field(Number(Decimal(0), most=Decimal(1)), "A fraction.", needed=True),
        "on": Field(Choice(TaxBase), "The price, or the share of it that materials or labour have.", needed=True),
    },
    "A tax, rounded by itself.",
)
PRICING = Record(
    Pricing,
    {
        "overhead": Field(Number(Decimal(0), most=Decimal(10)), "Fraction of the direct cost.", unset=Decimal(0)),
        "profit": Field(_PROFIT, "Markup or margin.", needed=True),
        "minimum": Field(_SUM, "The least price.", unset=Decimal(0)),
        "round_to": Field(_SUM, "The price goes up to a multiple of it; 0: as it is.", unset=Decimal(0)),
        "discount": Field(_DISCOUNT, "A fraction of the price, or {“amount”: …}.", unset=NO_DISCOUNT),
        "tax": Field(Items(TAX, most=10), "Tax lines.", unset=()),
    },
    "How cost becomes price.",
)
SCOPE = Record(
    Scope,
    {
        "title": Field(Text(blank=True), "What the scope is called.", unset=""),
        "currency": Field(CurrencyCode(), "An ISO 4217 code, such as USD.", needed=True),
        "units": Field(Choice(Units), "What the workings are shown in.", needed=True),
        "areas": Field(Items(AREA, most=MOST_AREAS, least=1), "What was measured.", needed=True),
        "materials": Field(Keyed(MATERIAL, most=500), "Materials by the key that the steps name them by.", unset=()),
        "crew": Field(CREW, "Who does it.", needed=True),
        "work": Field(Items(STEP, most=MOST_STEPS), "The steps, in order.", unset=()),
        "charges": Field(Items(CHARGE, most=200), "Sums beside the work.", unset=()),
        "pricing": Field(PRICING, "How cost becomes price.", needed=True),
    },
    "All that decides one price. Numbers are texts (“0.05”) or short whole numbers; quantities carry their unit.",
    {"format": 1},
)


def schema() -> dict[str, Any]:
    """The JSON Schema of a scope file, from the same tables as the reader."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Scope file, format 1",
        **SCOPE.schema(),
    }
