"""The rules that choose an approach: what suits, what is ruled out, what needs a test first.

Common practice unless a source is named. Rules for clay pavers and the like that warn without blocking stand in
`advice_cautions.py`.
"""

from decimal import Decimal

from quoting.core.advice_kinds import NEVER, Approach, Rule, Says
from quoting.core.conditions import Over, all_, either, is_, missing, not_
from quoting.core.finding_kinds import Standing
from quoting.core.slab_tests import PAVERS

RESEAL, RE_WET, RECOLOUR = Approach.RESEAL, Approach.RE_WET, Approach.RECOLOUR
SAND_AND_SEAL, PENETRATE, STRIP = Approach.SAND_AND_SEAL, Approach.PENETRATE, Approach.STRIP
ABRADE, DECLINE = Approach.ABRADE, Approach.DECLINE

OVER_THE_FILM = (RESEAL, RE_WET, RECOLOUR, SAND_AND_SEAL)
"""What leaves the old film where it is."""

SEALING = (RESEAL, RECOLOUR, SAND_AND_SEAL, PENETRATE, ABRADE)
"""What puts something new on the slab, the strip and what follows it apart."""

HOLDS = all_(is_("tape", "holds"), not_(is_("tape", "lifts")), not_(is_("scratch", "flakes")))
LOST_HOLD = either(is_("tape", "lifts"), is_("scratch", "flakes"), is_("film", "flaking"))
SOME_FILM = not_(is_("film", "none"))
HARD_FILM = is_("surface-history.sealer", "urethane-epoxy")
FOUR_COATS = Over(name="surface-history.coats", number=Decimal(4), or_equal=True)
FILM_UNKNOWN = all_(missing("solvent-drop"), missing("surface-history.sealer"))

_M_AND_C = "Masonry and Concrete (McGraw-Hill, 2004), p. 185"
_SHEET = "ASTM D4263-24"
_RINSE = "MIL-HDBK-1110 (1996), 6.7.2.1, after ASTM D4262"

_SUITS = (
    Rule(
        id="reseal-sound-film",
        says=Says.SUITS,
        approaches=(RESEAL,),
        when=all_(HOLDS, is_("solvent-drop", "solvent-acrylic"), is_("wet-colour", "liked")),
        sentence="The film holds, is a solvent acrylic, and the colour is liked wet: wash, dry, and one thin coat.",
    ),
    Rule(
        id="reseal-patch-held",
        says=Says.SUITS,
        approaches=(RESEAL,),
        when=all_(HOLDS, is_("test-patch", "bonds"), is_("wet-colour", "liked")),
        sentence="The old film holds, the new coat held on the test patch, and the colour is liked wet.",
    ),
    Rule(
        id="seal-open-slab",
        says=Says.SUITS,
        approaches=(RESEAL,),
        when=all_(is_("water-drop", "open"), is_("film", "none"), is_("wet-colour", "liked")),
        sentence="The slab is open and its colour is liked wet: wash, dry and seal.",
    ),
    Rule(
        id="re-wet-milky",
        says=Says.SUITS,
        approaches=(RE_WET,),
        when=all_(is_("film", "milky"), is_("solvent-drop", "solvent-acrylic"), HOLDS),
        sentence="A solvent acrylic that is milky or bubbled, but holds, is opened with solvent, and moisture let out.",
    ),
    Rule(
        id="recolour-wrong-colour",
        says=Says.SUITS,
        approaches=(RECOLOUR,),
        when=is_("wet-colour", "wrong"),
        sentence="The colour does not please even when it is wet, so it has to be put back or changed.",
    ),
    Rule(
        id="sand-low-joints",
        says=Says.SUITS,
        approaches=(SAND_AND_SEAL,),
        when=all_(is_("surface", *PAVERS), is_("joint-sand", "low")),
        sentence="The joints want sand: clean, sand, let it dry, then stabilise and seal.",
    ),
    Rule(
        id="penetrate-salt-or-slip",
        says=Says.SUITS,
        approaches=(PENETRATE,),
        when=all_(is_("water-drop", "open"), either(is_("salt-pool", "salt"), is_("slip", "slippery"))),
        sentence="The slab is open, and salt or slip weighs more than gloss: what soaks in leaves no film.",
    ),
    Rule(
        id="abrade-hard-film",
        says=Says.SUITS,
        approaches=(ABRADE,),
        waits=NEVER,
        when=HARD_FILM,
        sentence="A urethane or epoxy has to be abraded before it is recoated, or the new coat peels.",
    ),
    Rule(
        id="strip-lost-hold",
        says=Says.SUITS,
        approaches=(STRIP,),
        waits=SOME_FILM,
        when=LOST_HOLD,
        sentence="The old film has lost its hold, and whatever goes over it goes with it: strip it.",
    ),
    Rule(
        id="strip-four-coats",
        says=Says.SUITS,
        approaches=(STRIP,),
        waits=NEVER,
        when=FOUR_COATS,
        sentence="After three or four coats a film is too thick to breathe: strip before the next.",
    ),
    Rule(
        id="strip-patch-failed",
        says=Says.SUITS,
        approaches=(STRIP,),
        waits=NEVER,
        when=all_(is_("test-patch", "fails"), is_("water-drop", "sealed", "patchy")),
        sentence="Nothing new holds on what is there, so what is there has to come off.",
    ),
    Rule(
        id="strip-film-unknown",
        says=Says.SUITS,
        approaches=(STRIP,),
        when=all_(FILM_UNKNOWN, is_("water-drop", "sealed", "patchy")),
        sentence="Something seals the slab and nobody knows what: stripping is the safe answer.",
    ),
    Rule(
        id="decline-structural",
        says=Says.SUITS,
        approaches=(DECLINE,),
        waits=NEVER,
        when=is_("crack", "structural"),
        sentence="What cracked the slab lies under it, and no coat mends that: refer it, or leave that part out.",
    ),
    Rule(
        id="decline-hard-film",
        says=Says.SUITS,
        approaches=(DECLINE,),
        waits=NEVER,
        when=HARD_FILM,
        sentence="A urethane or epoxy that is not abraded sheds what is put on it: decline rather than coat over it.",
    ),
)

_RULES_OUT = (
    Rule(
        id="film-lost-hold",
        says=Says.RULES_OUT,
        approaches=(*OVER_THE_FILM, ABRADE),
        waits=SOME_FILM,
        when=LOST_HOLD,
        sentence="The old film comes off, and what is put over it would come off with it.",
    ),
    Rule(
        id="clear-over-wrong-colour",
        says=Says.RULES_OUT,
        approaches=(RESEAL,),
        when=is_("wet-colour", "wrong"),
        sentence="Clear sealer shows the slab as it is when wet, and that is not what is wished for.",
    ),
    Rule(
        id="re-wet-other-film",
        says=Says.RULES_OUT,
        approaches=(RE_WET,),
        when=is_("solvent-drop", "not-solvent"),
        sentence="Re-wetting works on solvent acrylics only, and solvent leaves this slab as it was.",
    ),
    Rule(
        id="hard-film",
        says=Says.RULES_OUT,
        approaches=OVER_THE_FILM,
        waits=NEVER,
        when=HARD_FILM,
        sentence="On a urethane or epoxy that is not abraded, a new coat peels.",
    ),
    Rule(
        id="four-coats",
        says=Says.RULES_OUT,
        approaches=(RESEAL, RECOLOUR, SAND_AND_SEAL),
        waits=NEVER,
        when=FOUR_COATS,
        sentence="One more coat on three or four makes a film that bubbles, peels and traps moisture.",
    ),
    Rule(
        id="penetrant-over-film",
        says=Says.RULES_OUT,
        approaches=(PENETRATE,),
        when=is_("water-drop", "sealed"),
        sentence="What soaks in can't get through a slab on which water beads.",
    ),
    Rule(
        id="patch-failed",
        says=Says.RULES_OUT,
        approaches=OVER_THE_FILM,
        waits=NEVER,
        when=is_("test-patch", "fails"),
        sentence="The new coat did not hold on the test patch.",
    ),
    Rule(
        id="nothing-to-strip",
        says=Says.RULES_OUT,
        approaches=(STRIP,),
        when=all_(is_("water-drop", "open"), not_(is_("water-drop", "sealed", "patchy")), is_("film", "none")),
        sentence="Water soaks in and there is no film: there is nothing to strip.",
    ),
    Rule(
        id="no-joints",
        says=Says.RULES_OUT,
        approaches=(SAND_AND_SEAL,),
        when=not_(is_("surface", *PAVERS)),
        sentence="There are no joints to fill but those of pavers.",
    ),
    Rule(
        id="under-28-days",
        says=Says.RULES_OUT,
        approaches=(*SEALING, RE_WET),
        waits=NEVER,
        when=is_("surface-history.age", "new"),
        sentence="New concrete and mortar wait at least 28 days before they are sealed.",
        standing=Standing.STANDARD,
        source=_M_AND_C,
    ),
    Rule(
        id="pavers-under-60-days",
        says=Says.RULES_OUT,
        approaches=(RESEAL, RECOLOUR, SAND_AND_SEAL, PENETRATE),
        waits=NEVER,
        when=all_(is_("surface", *PAVERS), is_("surface-history.age", "new", "young")),
        sentence="New pavers wait about 60 days, some say 90, before they are cleaned with acid or sealed.",
    ),
)

_TEST_FIRST = (
    Rule(
        id="beads-without-film",
        says=Says.TEST_FIRST,
        approaches=(RESEAL, RECOLOUR),
        tests=("test-patch",),
        when=all_(is_("water-drop", "sealed"), is_("film", "none"), missing("test-patch")),
        sentence="Water beads and there is no film, so a penetrant or curing agent is in it: a test patch decides.",
    ),
    Rule(
        id="other-film-patch",
        says=Says.TEST_FIRST,
        approaches=(RESEAL, RECOLOUR, SAND_AND_SEAL),
        tests=("test-patch",),
        when=all_(is_("solvent-drop", "not-solvent"), is_("water-drop", "sealed", "patchy"), missing("test-patch")),
        sentence="The film is not a solvent acrylic: a test patch has to show what holds on it.",
    ),
    Rule(
        id="film-unknown",
        says=Says.TEST_FIRST,
        approaches=(RESEAL, RECOLOUR, SAND_AND_SEAL),
        tests=("solvent-drop",),
        when=all_(FILM_UNKNOWN, is_("water-drop", "sealed", "patchy")),
        sentence="Something seals the slab, and what goes over it depends on what it is.",
    ),
    Rule(
        id="wet-under-sheet",
        says=Says.TEST_FIRST,
        approaches=SEALING,
        tests=("plastic-sheet",),
        when=is_("plastic-sheet", "wet"),
        sentence="The slab gives off moisture: let it dry, and lay the sheet again before anything goes on.",
        standing=Standing.STANDARD,
        source=_SHEET,
    ),
    Rule(
        id="wet-joints",
        says=Says.TEST_FIRST,
        approaches=(SAND_AND_SEAL,),
        tests=("joint-sand",),
        when=is_("joint-sand.damp", "yes"),
        sentence="Sand that clumps, or a wet cut, says that it is not dry: let it dry and try the nail again.",
    ),
    Rule(
        id="rinse-again",
        says=Says.TEST_FIRST,
        approaches=SEALING,
        tests=("rinse-ph",),
        when=is_("rinse-ph", "off"),
        sentence="Cleaner is left on the slab: rinse until the water is within one unit of pH of fresh water.",
        standing=Standing.STANDARD,
        source=_RINSE,
    ),
)

APPROACH_RULES: tuple[Rule, ...] = (*_SUITS, *_RULES_OUT, *_TEST_FIRST)
"""Rules that speak about approaches."""
