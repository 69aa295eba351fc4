"""What is seen on a slab without a test, and what is told of it.

Cracks: common practice takes those wider than 1/4 in, or with a difference of level, for structural. Efflorescence:
MIL-HDBK-1110, 6.7.2.1. Age before sealing: Masonry and Concrete (McGraw-Hill, 2004), p. 185: 28 days.
"""

from decimal import Decimal

from quoting.core.conditions import Over, either, is_, not_
from quoting.core.finding_kinds import (
    Group,
    Kind,
    Reads,
    choice_of,
    length_of,
    number_of,
    reads,
    text_of,
    yes_no,
)

QUARTER_INCH = Decimal("0.00635")
"""In metres: the width over which a crack is taken for structural."""

_STRUCTURAL = either(Over(name="width", number=QUARTER_INCH), is_("level", "yes"))

SLAB_LOOKS = (
    Kind(
        key="surface-history",
        name="Age and sealer",
        group=Group.SLAB,
        how="Ask who laid it and when, who sealed it last, when and with what; a can in the garage tells most.",
        questions=(
            choice_of(
                "age",
                "How old is the slab?",
                "new: less than 28 days",
                "young: 28 to 60 days",
                "months: 60 days to 2 years",
                "years: 2 to 10 years",
                "old: more than 10 years",
                not_known=True,
                deciding=False,
                said="slab {} old",
            ),
            text_of("laid", "Laid by, and when", "laid: {}"),
            choice_of(
                "sealed",
                "Was it ever sealed?",
                "never: never",
                "ours: yes, by us",
                "others: yes, by somebody else",
                not_known=True,
            ),
            choice_of(
                "sealer",
                "With what?",
                "solvent-acrylic: a solvent-based acrylic",
                "water-based: a water-based acrylic",
                "urethane-epoxy: a urethane or an epoxy",
                "penetrant: something that soaks in and leaves no film",
                not_known=True,
                deciding=False,
            ),
            text_of("sealed_by", "Sealed by whom, when, and what the can says", "sealed: {}"),
            number_of("coats", "Coats since it was last bare", "coats", most="99"),
        ),
        reads=(
            reads("sealed", "never", "never", "We were told that it was never sealed."),
            reads("sealed", "ours", "ours", "We sealed it ourselves."),
            reads("sealed", "others", "others", "Somebody else sealed it."),
        ),
    ),
    Kind(
        key="film",
        name="Look of the film",
        group=Group.SLAB,
        how="Look along the slab against the light, dry.",
        questions=(
            choice_of(
                "look",
                "What does the film look like?",
                "even: even and clear",
                "worn: dull or worn through in lanes",
                "milky: milky, blushed or bubbled, but on",
                "flaking: flaking or peeling",
                "none: no film to be seen",
            ),
        ),
        reads=(
            reads("look", "even", "even", "The film is even and clear."),
            reads("look", "worn", "worn", "The film is dull, or worn through in lanes."),
            reads("look", "milky", "milky", "The film is milky or bubbled, but still on."),
            reads("look", "flaking", "flaking", "The film flakes or peels."),
            reads("look", "none", "none", "There is no film to be seen."),
        ),
    ),
    Kind(
        key="crack",
        name="Crack",
        group=Group.SLAB,
        how="Lay a crack card or a coin beside it, photograph it, and feel with a finger for a step.",
        questions=(
            length_of("width", "Width", "in", deciding=True),
            length_of("length", "Length", "ft"),
            yes_no("level", "Does one side stand higher?", "one side higher", deciding=True),
            choice_of(
                "moving",
                "Does it move?",
                "yes: it moves, and opened again",
                "no: it does not move",
                not_known=True,
                deciding=False,
            ),
        ),
        reads=(
            Reads(
                when=_STRUCTURAL,
                word="structural",
                sentence="A crack is wider than 1/4 in, or its sides differ in level: that comes from under the slab.",
            ),
            Reads(
                when=not_(_STRUCTURAL),
                word="cosmetic",
                sentence="A crack of 1/4 in or less with level sides: it can be hidden, and shows when looked for.",
            ),
        ),
        many=True,
    ),
    Kind(
        key="efflorescence",
        name="White salts",
        group=Group.SLAB,
        how="Look for white powder on and under the film, most of all along joints; wet it, and see it come back dry.",
        questions=(
            choice_of("result", "How much?", "none: none", "light: a light bloom", "heavy: thick or crusted"),
            yes_no("under", "Is it under the film?", "under the film"),
        ),
        reads=(
            reads("result", "none", "none", "There are no white salts."),
            reads("result", "light", "light", "There is a light bloom of white salts (efflorescence)."),
            reads("result", "heavy", "heavy", "There is a heavy crust of white salts (efflorescence)."),
        ),
    ),
    Kind(
        key="spalls",
        name="Spalls",
        group=Group.SLAB,
        how="Count the places where the surface has broken out, and measure the largest across.",
        questions=(
            choice_of("result", "How many?", "none: none", "few: a few small ones", "many: many, or large ones"),
            length_of("across", "The largest across", "in", said="the largest {}"),
            number_of("count", "How many", "places", most="9999"),
        ),
        reads=(
            reads("result", "none", "none", "The surface is whole."),
            reads("result", "few", "few", "The surface has broken out in a few small places."),
            reads("result", "many", "many", "The surface has broken out in many places, or in large ones."),
        ),
    ),
    Kind(
        key="stains",
        name="Stains",
        group=Group.SLAB,
        how="Note each kind of stain and where it is.",
        questions=(
            choice_of(
                "result",
                "Of what?",
                "none: none",
                "oil: oil or grease",
                "rust: rust",
                "leaf: leaves, algae or mould",
                "tyre: tyre marks",
                "paint: paint",
                "other: something else",
                not_known=True,
            ),
            text_of("where", "Where, and how large"),
        ),
        reads=(
            reads("result", "none", "none", "There are no stains."),
            reads("result", "oil", "stained", "There are stains of oil or grease."),
            reads("result", "rust", "stained", "There are stains of rust."),
            reads("result", "leaf", "stained", "There are stains of leaves, algae or mould."),
            reads("result", "tyre", "stained", "There are tyre marks."),
            reads("result", "paint", "stained", "There is paint on the slab."),
            reads("result", "other", "stained", "There are stains."),
        ),
        many=True,
    ),
)
"""Told and seen, the slab itself."""
