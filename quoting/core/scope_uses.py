"""The scope file's ways of using material: one field table each, told apart by the word under `by`."""

from decimal import Decimal

from quoting.core.scope import (
    CoverageUse,
    CrackUse,
    DilutionUse,
    EachUse,
    JointUse,
    LengthUse,
    MixUse,
    StirredUse,
)
from quoting.core.scope_kinds import Measure, Number, Whole
from quoting.core.scope_records import Field, Items, Record, Tagged
from quoting.core.units import Dimension

PACKED = (Dimension.VOLUME, Dimension.MASS, Dimension.COUNT)
"""What a pack can hold."""

LENGTH = Measure((Dimension.LENGTH,))
LENGTH_OR_EDGE = Measure((Dimension.LENGTH,), edge=True)

_COVERAGE = Measure((Dimension.AREA_PER_VOLUME, Dimension.AREA_PER_MASS))
_COVERAGE_LIQUID = Measure((Dimension.AREA_PER_VOLUME,))
_PER_LENGTH = Measure((Dimension.VOLUME_PER_LENGTH, Dimension.MASS_PER_LENGTH, Dimension.COUNT_PER_LENGTH))
_COATS = Field(Whole(1, 20), "How many coats.", unset=1)
_DENSITY = Field(
    Measure((Dimension.MASS_PER_VOLUME,)), "Joins volume to packs by mass; the material may give it instead."
)

USES = Tagged(
    "by",
    {
        "coverage": Record(
            CoverageUse,
            {
                "coverage": Field(_COVERAGE, "Area that a volume or a mass covers in one coat."),
                "coats": Field(Whole(1, 20), "How many coats; 1 unless given."),
                "rates": Field(Items(_COVERAGE, most=20), "Instead of both: the coverage of each coat.", unset=()),
                "density": _DENSITY,
            },
            "Need = effective area × coats ÷ coverage, or the sum over the rates.",
            {"by": "coverage"},
        ),
        "mix": Record(
            MixUse,
            {
                "strength": Field(Measure((Dimension.MASS_PER_VOLUME,)), "Powder in a volume of water.", needed=True),
                "coverage": Field(_COVERAGE_LIQUID, "Area that a volume of the mix covers in one coat.", needed=True),
                "coats": _COATS,
                "batch": Field(Measure((Dimension.VOLUME,)), "Water of one whole batch.", needed=True),
                "batch_step": Field(
                    Measure((Dimension.VOLUME,)), "The last batch is rounded up to it; a quarter batch unless given."
                ),
                "density": _DENSITY,
            },
            "Mix = effective area × coats ÷ coverage, with waste, in batches, the last rounded up; powder by strength.",
            {"by": "mix"},
        ),
        "dilution": Record(
            DilutionUse,
            {
                "parts_water": Field(Number(Decimal(0), most=Decimal(10000)), "Parts of water to one.", needed=True),
                "coverage": Field(_COVERAGE_LIQUID, "Area that a volume of the solution covers.", needed=True),
                "coats": _COATS,
                "density": _DENSITY,
            },
            "Concentrate = solution ÷ (1 + parts of water).",
            {"by": "dilution"},
        ),
        "stirred": Record(
            StirredUse,
            {
                "strength": Field(
                    Measure((Dimension.MASS_PER_VOLUME,)), "Its mass in a volume of what it goes into.", needed=True
                ),
                "coverage": Field(_COVERAGE_LIQUID, "Area that a volume of that covers in one coat.", needed=True),
                "coats": _COATS,
                "density": _DENSITY,
            },
            "Need = effective area × coats ÷ coverage × strength.",
            {"by": "stirred"},
        ),
        "length": Record(
            LengthUse,
            {
                "per_length": Field(_PER_LENGTH, "Volume, mass or count for a length.", needed=True),
                "length": Field(LENGTH_OR_EDGE, "A length, or “edge” for the areas' edge.", needed=True),
                "density": _DENSITY,
            },
            "Need = length × per_length.",
            {"by": "length"},
        ),
        "crack": Record(
            CrackUse,
            {
                "length": Field(LENGTH_OR_EDGE, "Of all the cracks, or “edge” for the areas' edge.", needed=True),
                "width": Field(LENGTH, "Of the crack.", needed=True),
                "depth": Field(LENGTH, "Filled.", needed=True),
                "density": _DENSITY,
            },
            "Need = length × width × depth (× density for packs by mass).",
            {"by": "crack"},
        ),
        "joint": Record(
            JointUse,
            {
                "unit_length": Field(LENGTH, "Of one paver.", needed=True),
                "unit_width": Field(LENGTH, "Of one paver.", needed=True),
                "joint": Field(LENGTH, "Width of the joint.", needed=True),
                "depth": Field(LENGTH, "Filled.", needed=True),
                "density": _DENSITY,
            },
            "Need = net area × (1 − L·W ÷ ((L + j)(W + j))) × depth (× density for packs by mass).",
            {"by": "joint"},
        ),
        "each": Record(
            EachUse,
            {
                "count": Field(Whole(1), "How many."),
                "per_area": Field(
                    Measure((Dimension.AREA, Dimension.AREA_PER_COUNT)), "One for each such net area begun."
                ),
            },
            "Things that are counted: exactly one of the two.",
            {"by": "each"},
        ),
    },
)
