"""The rules that warn, leave out, allow for what may turn up, and tell where findings contradict each other.

None of them blocks an approach. Cautions, exclusions and allowances also stand where it is not known that they don't
apply. Common practice unless a source is named.
"""

from decimal import Decimal

from quoting.core.advice_kinds import Allowance, Rule, Says
from quoting.core.advice_rules import FILM_UNKNOWN, HARD_FILM, LOST_HOLD
from quoting.core.conditions import Always, Condition, Over, all_, either, is_, missing, not_
from quoting.core.finding_kinds import PRACTICE_SOURCE, Standing
from quoting.core.slab_tests import PAVERS


def _caution(rule_id: str, when: Condition, sentence: str, source: str = "", says: Says = Says.CAUTION) -> Rule:
    """A caution: common practice, or a standard where a source is named."""
    standing = Standing.STANDARD if source else Standing.PRACTICE
    return Rule(
        id=rule_id, says=says, when=when, sentence=sentence, standing=standing, source=source or PRACTICE_SOURCE
    )


def _exclude(rule_id: str, when: Condition, sentence: str) -> Rule:
    return _caution(rule_id, when, sentence, says=Says.EXCLUDE)


def _contradiction(rule_id: str, when: Condition, sentence: str) -> Rule:
    return _caution(rule_id, when, sentence, says=Says.CONTRADICTION)


def _allow(rule_id: str, when: Condition, sentence: str, low: str = "", high: str = "", unit_price: str = "") -> Rule:
    allowance = Allowance(
        low=Decimal(low) if low else None, high=Decimal(high) if high else None, unit_price=unit_price
    )
    return Rule(id=rule_id, says=Says.ALLOW, when=when, sentence=sentence, allowance=allowance)


EXCLUSIONS: tuple[Rule, ...] = (
    _exclude(
        "structural-crack",
        is_("crack", "structural"),
        "A crack wider than 1/4 in, or with a step, is structural: refer it, and leave it out of the offer.",
    ),
    _exclude("spalls", is_("spalls", "few", "many"), "Places where the surface broke out are not made whole."),
    _exclude("ponding", is_("drainage", "stands", "house"), "Where water stands or runs is not changed by a coat."),
    _exclude("stains-stay", is_("stains", "stained"), "Stains are treated, and may still show."),
    _exclude(
        "salts-return",
        is_("efflorescence", "light", "heavy"),
        "White salts that come up again later are not covered.",
    ),
)
"""What the offer leaves out, in words for its list of exclusions."""

CAUTIONS: tuple[Rule, ...] = (
    _caution(
        "clay-pavers",
        is_("surface", "clay-pavers"),
        "For clay pavers the makers' association recommends no water-repellent coating; say so, and let them choose.",
        "BIA Technical Note 6A (August 2008), summary",
    ),
    _caution(
        "salts-first",
        is_("efflorescence", "light", "heavy"),
        "White salts come off first, or they are locked in under the sealer.",
    ),
    _caution(
        "brush-heavy-salts",
        is_("efflorescence", "heavy"),
        "Heavy salts are brushed off dry before any acid.",
        "MIL-HDBK-1110 (1996), 6.7.2.1",
    ),
    _caution(
        "salt-pool",
        is_("salt-pool", "salt"),
        "Brine works on the concrete under a film, first at joints and where swimmers climb out: two years is common.",
    ),
    _caution(
        "water-over-solvent",
        is_("solvent-drop", "solvent-acrylic"),
        "A water-based sealer must not go over a solvent-based one.",
    ),
    _caution(
        "solvent-over-water",
        either(is_("solvent-drop", "not-solvent"), is_("surface-history.sealer", "water-based")),
        "Solvent over a water-based film can soften and ruin both.",
    ),
    _caution("hard-film-peels", HARD_FILM, "On a urethane or epoxy a new coat peels unless it is abraded first."),
    _caution("film-comes-off", LOST_HOLD, "Film that has lost its hold takes along whatever is put over it."),
    _caution(
        "many-coats",
        Over(name="surface-history.coats", number=Decimal(3), or_equal=True),
        "Three coats or more bubble, peel and trap moisture: one more is the last before a strip.",
    ),
    _caution(
        "stripping-takes-colour",
        is_("colour-carrier", "surface"),
        "The colour is on the surface only: stripping takes it along, so recolouring belongs to it.",
    ),
    _caution(
        "colour-may-crawl",
        all_(is_("water-drop", "sealed", "patchy"), is_("film", "none")),
        "Colour in water may not wet a slab on which water beads.",
    ),
    _caution(
        "moving-crack",
        all_(is_("crack", "structural", "cosmetic"), is_("crack.moving", "yes")),
        "A crack that moves opens again through any coat.",
    ),
    _caution(
        "cracks-show",
        is_("crack", "cosmetic"),
        "A filled crack shows when it is looked for; varied, darker tones hide it better than one light tone.",
    ),
    _caution("moisture", is_("plastic-sheet", "wet"), "Moisture from below turns a film milky or lifts it."),
    _caution(
        "dryness-unproven",
        either(is_("plastic-sheet", "no-sign"), missing("plastic-sheet")),
        "Nothing has proved the slab dry, and a dry sheet does not either: keep to the drying time.",
        "ASTM D4263, and commentary on it: a negative result proves nothing",
    ),
    _caution("shade-dries-slowly", is_("shade", "part", "shade"), "In shade a washed slab may take seven days to dry."),
    _caution(
        "grit",
        either(
            is_("slip", "slippery"),
            is_("slip.barefoot", "yes"),
            is_("slip.slope", "yes"),
            is_("slip.frail", "yes"),
            is_("surface", "steps"),
        ),
        "Offer grit in the last coat, and satin rather than gloss; if they don't want it, have that in writing.",
    ),
    _caution("plants", is_("plants", "near"), "Soak soil and leaves before the work, and rinse them after it."),
    _caution("overspray", is_("glass", "near"), "Mask glass, metal and paint; acid etches them and spray carries."),
    _caution("wash-water", Always(), "Wash water never goes to a storm drain."),
    _caution(
        "solvent-vapour",
        not_(all_(is_("solvent-drop", "not-solvent"), is_("surface-history.sealer", "water-based"))),
        "Solvent vapour catches fire: no flame, spark or pilot light near it, and windows shut until it is gone.",
    ),
    _caution("voc", Always(), "Local limits on solvents decide which sealers may be carried and used there."),
)
"""What to mind, and to say."""

_BARE = all_(is_("water-drop", "open"), is_("film", "none"))

_UNKNOWN_FILM = all_(FILM_UNKNOWN, either(missing("water-drop"), missing("film"), not_(_BARE)))
"""Nobody knows what is on the slab, and it is not one on which there is nothing."""

ALLOWANCES: tuple[Rule, ...] = (
    _allow(
        "unknown-film-passes",
        _UNKNOWN_FILM,
        "Nobody knows what is on the slab: quote each further strip pass as a unit price.",
        unit_price="strip pass",
    ),
    _allow(
        "unknown-film-contingency",
        _UNKNOWN_FILM,
        "With an unknown coating, 15 to 25 % is kept for what turns up.",
        low="0.15",
        high="0.25",
    ),
    _allow(
        "strip-passes",
        LOST_HOLD,
        "Stripping takes two or three passes: include two, and quote a further one as a unit price.",
        unit_price="strip pass",
    ),
    _allow(
        "crack-length", is_("crack", "cosmetic"), "Quote a foot of crack as a unit price.", unit_price="foot of crack"
    ),
    _allow(
        "joint-sand",
        all_(is_("surface", *PAVERS), is_("joint-sand", "low")),
        "Joints take more sand than they show: quote a bag as a unit price.",
        unit_price="bag of sand",
    ),
    _allow("far-truck", is_("access", "far"), "With more than 150 ft of hose, 10 % more.", low="0.10", high="0.10"),
    _allow("slope", is_("slip.slope", "yes"), "On slopes and steps, 10 to 25 % more work.", low="0.10", high="0.25"),
    _allow("no-water", is_("water", "none"), "Without water on the place, bring a tank.", unit_price="tank of water"),
    _allow("no-power", is_("power", "none"), "Without power on the place, bring a generator.", unit_price="generator"),
)
"""What to allow for."""

CONTRADICTIONS: tuple[Rule, ...] = (
    _contradiction(
        "drops-differ",
        all_(is_("solvent-drop", "solvent-acrylic"), is_("solvent-drop", "not-solvent")),
        "Solvent softened the film in one place and not in another: find out whether two sealers are on the slab.",
    ),
    _contradiction(
        "told-solvent-reads-other",
        all_(is_("surface-history.sealer", "solvent-acrylic"), is_("solvent-drop", "not-solvent")),
        "We were told of a solvent acrylic, but solvent leaves the film as it was.",
    ),
    _contradiction(
        "told-other-reads-solvent",
        all_(is_("surface-history.sealer", "water-based", "urethane-epoxy"), is_("solvent-drop", "solvent-acrylic")),
        "We were told of a film that solvent does not soften, but it did.",
    ),
    _contradiction(
        "never-sealed-but-film",
        all_(
            is_("surface-history", "never"),
            either(
                is_("solvent-drop", "solvent-acrylic"),
                is_("tape", "lifts"),
                is_("film", "even", "worn", "milky", "flaking"),
            ),
        ),
        "We were told that it was never sealed, but there is a film on it.",
    ),
    _contradiction(
        "never-sealed-but-beads",
        all_(is_("surface-history", "never"), is_("water-drop", "sealed")),
        "We were told that it was never sealed, but water beads: a sealer, or a curing agent from when it was laid.",
    ),
    _contradiction(
        "open-but-film",
        all_(is_("water-drop", "open"), is_("film", "even", "milky")),
        "Water soaks in, but a whole film is to be seen: try the drop in more places.",
    ),
    _contradiction(
        "no-film-but-comes-off",
        all_(is_("film", "none"), either(is_("tape", "lifts"), is_("scratch", "flakes"))),
        "No film is to be seen, but tape or a scratch takes one off.",
    ),
    _contradiction(
        "tape-and-scratch",
        either(
            all_(is_("tape", "holds"), not_(is_("tape", "lifts")), is_("scratch", "flakes")),
            all_(is_("scratch", "holds"), not_(is_("scratch", "flakes")), is_("tape", "lifts")),
        ),
        "Tape and scratch say different things about the hold of the film: repeat both.",
    ),
    _contradiction(
        "patch-over-loose-film",
        all_(is_("test-patch", "bonds"), is_("tape", "lifts")),
        "The test patch held, but tape lifts the old film: the patch was on a better place than the rest.",
    ),
    _contradiction(
        "colour-liked-and-not",
        all_(is_("wet-colour", "liked"), is_("wet-colour", "wrong")),
        "The wet colour was liked once and not another time: look at it again together.",
    ),
)
"""Findings that can't both be right, or that need a word."""
