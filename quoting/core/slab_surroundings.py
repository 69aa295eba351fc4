"""What is round a slab and decides how the work is done there. All of it common practice, no published source."""

from quoting.core.finding_kinds import Group, Kind, choice_of, length_of, number_of, reads, text_of

SLAB_SURROUNDINGS = (
    Kind(
        key="salt-pool",
        name="Pool",
        group=Group.ROUND,
        how="Ask before quoting how the pool is kept clean, and look where swimmers climb out.",
        questions=(
            choice_of(
                "result",
                "Is there a pool?",
                "none: none",
                "chlorine: yes, with chlorine",
                "salt: yes, chlorinated with salt",
                not_known=True,
            ),
        ),
        reads=(
            reads("result", "none", "none", "There is no pool beside it."),
            reads("result", "chlorine", "chlorine", "There is a pool kept with chlorine beside it."),
            reads("result", "salt", "salt", "There is a pool chlorinated with salt beside it."),
        ),
    ),
    Kind(
        key="drainage",
        name="Drainage",
        group=Group.ROUND,
        how="Hose the slab and see where water goes and where it stands.",
        questions=(
            choice_of(
                "result",
                "Where does water go?",
                "runs: it runs off",
                "stands: it stands in places",
                "house: it runs to the house",
            ),
            text_of("drains", "Drains, downspouts, sprinkler heads", "drains: {}"),
        ),
        reads=(
            reads("result", "runs", "runs", "Water runs off the slab."),
            reads("result", "stands", "stands", "Water stands on the slab in places."),
            reads("result", "house", "house", "Water runs to the house."),
        ),
    ),
    Kind(
        key="shade",
        name="Shade",
        group=Group.ROUND,
        how="See what lies in shade, and ask what does at other times of day.",
        questions=(
            choice_of("result", "How much sun?", "sun: sun most of the day", "part: part", "shade: shade all day"),
        ),
        reads=(
            reads("result", "sun", "sun", "The slab lies in the sun for most of the day."),
            reads("result", "part", "part", "The slab lies partly in shade."),
            reads("result", "shade", "shade", "The slab lies in shade all day, and dries slowly."),
        ),
    ),
    Kind(
        key="plants",
        name="Plants",
        group=Group.ROUND,
        how="Note what grows within 3 ft of the slab.",
        questions=(
            choice_of("result", "What grows near?", "none: nothing", "lawn: lawn", "beds: beds, shrubs or trees"),
            text_of("which", "Which are dear to them"),
        ),
        reads=(
            reads("result", "none", "none", "Nothing grows within 3 ft of it."),
            reads("result", "lawn", "near", "Lawn comes up to it."),
            reads("result", "beds", "near", "Plants stand within 3 ft of it."),
        ),
    ),
    Kind(
        key="glass",
        name="Glass and walls",
        group=Group.ROUND,
        how="Note glass, metal and painted walls that spray or acid would mark, and cars of neighbours.",
        questions=(
            choice_of("result", "Is any beside it?", "none: none", "some: some", "all: all along it"),
            length_of("along", "To be masked", "ft", said="{} to be masked"),
        ),
        reads=(
            reads("result", "none", "none", "No glass, metal or painted wall is beside it."),
            reads("result", "some", "near", "Glass, metal or a painted wall is beside it."),
            reads("result", "all", "near", "Glass, metal or painted walls stand all along it."),
        ),
    ),
    Kind(
        key="access",
        name="Access",
        group=Group.ROUND,
        how="Measure the gate, and the way from where the truck stands.",
        questions=(
            choice_of(
                "result",
                "How far is the truck?",
                "beside: beside it",
                "hose: within 150 ft of hose",
                "far: farther than 150 ft of hose",
            ),
            length_of("gate", "Width of the gate", "in", said="gate {}"),
            number_of("heavy", "Heavy things to be moved", "heavy things", most="999"),
            text_of("way", "Steps, gate code, dogs"),
        ),
        reads=(
            reads("result", "beside", "near", "The truck stands beside it."),
            reads("result", "hose", "near", "The truck stands within 150 ft of hose."),
            reads("result", "far", "far", "It is farther than 150 ft of hose from the truck."),
        ),
    ),
    Kind(
        key="water",
        name="Water",
        group=Group.ROUND,
        how="Turn the tap on.",
        questions=(choice_of("result", "Is there water?", "works: a tap that works", "none: none that works"),),
        reads=(
            reads("result", "works", "works", "There is a tap that works."),
            reads("result", "none", "none", "There is no water to be had."),
        ),
    ),
    Kind(
        key="power",
        name="Power",
        group=Group.ROUND,
        how="Try the outlet.",
        questions=(choice_of("result", "Is there power?", "works: an outlet that works", "none: none that works"),),
        reads=(
            reads("result", "works", "works", "There is an outlet that works."),
            reads("result", "none", "none", "There is no power to be had."),
        ),
    ),
)
"""Round the slab."""
