"""The trade's tests on a slab, in the order in which a visit goes.

Plastic sheet: ASTM D4263 (18 × 18 in clear film of about 4 mil, edges taped, 16 h at least); MIL-HDBK-1110, 9.6.7.5
says 24 h. Rinse: MIL-HDBK-1110, 6.7.2.1, after ASTM D4262 (within one unit of pH of fresh water).
"""

from quoting.core.conditions import Apart, all_, is_, not_
from quoting.core.finding_kinds import (
    Group,
    Kind,
    Quoted,
    Reads,
    Standing,
    Wait,
    choice_of,
    length_of,
    number_of,
    reads,
    text_of,
    yes_no,
)
from quoting.core.plain_tests import RINSE_WITHIN

PAVERS = ("concrete-pavers", "clay-pavers")

_HOUR = 3600
_SHEET = "ASTM D4263-24"
_SHEET_LONGER = "MIL-HDBK-1110 (1996), 9.6.7.5"
_RINSE = "MIL-HDBK-1110 (1996), 6.7.2.1, after ASTM D4262"


SLAB_TESTS = (
    Kind(
        key="water-drop",
        name="Water drop",
        group=Group.TEST,
        how="Put drops on five places or more, in shade, in the lane that is walked and at the border, and count.",
        questions=(
            choice_of(
                "result",
                "What does the drop do?",
                "soaks: soaks in and darkens the slab",
                "beads: beads and stays on top",
                "mixed: soaks in here and beads there",
            ),
            number_of("seconds", "Until it is soaked in", "s", most="3600"),
            number_of("places", "Places tried", "places", most="99"),
        ),
        reads=(
            reads("result", "soaks", "open", "Water soaks in: the slab is open, and nothing on it keeps water out."),
            reads("result", "beads", "sealed", "Water beads: there is a sealer on the slab, or a curing agent in it."),
            reads("result", "mixed", "patchy", "Water soaks in here and beads there: what seals the slab is patchy."),
        ),
        many=True,
    ),
    Kind(
        key="solvent-drop",
        name="Solvent drop",
        group=Group.TEST,
        how="Put a puddle of xylene the size of a coin on the film, wait, wipe it off and touch the place.",
        wait=Wait(seconds=60, quoted=(Quoted(seconds=60), Quoted(seconds=15))),
        questions=(
            choice_of("result", "What is the place like?", "tacky: soft or tacky", "unchanged: as it was"),
            number_of("waited", "Waited", "s", most="3600", deciding=True, said="after {}"),
        ),
        reads=(
            reads("result", "tacky", "solvent-acrylic", "Solvent softens the film: it is a solvent-based acrylic."),
            Reads(
                when=is_("result", "unchanged"),
                word="too-soon",
                sentence="The solvent stood for less than {wait}, so the drop says nothing.",
                decides=False,
                sooner=True,
            ),
            reads(
                "result",
                "unchanged",
                "not-solvent",
                "Solvent leaves the place as it was: the film is water-based, or there is none.",
            ),
        ),
        cautions=(
            "Solvent vapour catches fire: no flame, spark, pilot light or cigarette near it, and fresh air.",
            "Wear gloves that solvent doesn't go through, and glasses; its safety data sheet comes first.",
        ),
        many=True,
    ),
    Kind(
        key="tape",
        name="Tape",
        group=Group.TEST,
        how="Press heavy tape on the film in several places and rip it off.",
        questions=(
            choice_of(
                "result",
                "What is on the tape?",
                "clean: nothing",
                "places: film, in some places",
                "everywhere: film, everywhere",
            ),
        ),
        reads=(
            reads("result", "clean", "holds", "Tape takes nothing off: what is on the slab holds."),
            reads("result", "places", "lifts", "Tape pulls film off in places: the old film has lost its hold."),
            reads("result", "everywhere", "lifts", "Tape pulls film off everywhere: the old film has lost its hold."),
        ),
        many=True,
    ),
    Kind(
        key="scratch",
        name="Scratch",
        group=Group.TEST,
        how="Draw a key or a blunt piece of metal over the film; try grey-white clouds, which often are lifted sealer.",
        questions=(
            choice_of("result", "What does it leave?", "line: no more than a line", "flakes: flakes or splinters"),
        ),
        reads=(
            reads("result", "line", "holds", "A scratch leaves no more than a line: the film holds."),
            reads("result", "flakes", "flakes", "The film flakes under a scratch: it has lost its hold."),
        ),
        many=True,
    ),
    Kind(
        key="test-patch",
        name="Test patch",
        group=Group.TEST,
        how="Clean and coat a hidden patch, let it cure, cut a grid into it, press tape on and pull.",
        wait=Wait(
            seconds=24 * _HOUR,
            quoted=(Quoted(seconds=24 * _HOUR),),
            after=", so a second visit or the day of the wash",
        ),
        questions=(
            choice_of(
                "result",
                "What does the tape take from the grid?",
                "holds: nothing",
                "lifts: squares of the new coat",
                "crawls: the new coat never wet out",
            ),
            number_of("waited", "Waited", "hours", most="9999", deciding=True, said="after {}"),
            yes_no("cut", "Was a grid cut?", "a grid cut", deciding=True),
            text_of("coat", "Coated with", "coated with {}"),
        ),
        reads=(
            reads("result", "lifts", "fails", "The new coat comes off the test patch: it does not hold there."),
            reads("result", "crawls", "fails", "The new coat crawled on the test patch: it does not wet the slab."),
            Reads(
                when=is_("result", "holds"),
                word="too-soon",
                sentence="The patch was pulled before {wait} were over, so it proves nothing yet.",
                decides=False,
                sooner=True,
            ),
            Reads(
                when=all_(is_("result", "holds"), is_("cut", "no")),
                word="uncut",
                sentence="No grid was cut into the patch, so it proves nothing.",
                decides=False,
            ),
            reads("result", "holds", "bonds", "The new coat holds on the test patch."),
        ),
    ),
    Kind(
        key="plastic-sheet",
        name="Plastic sheet",
        group=Group.TEST,
        how="Tape 18 × 18 in of clear 4-mil film down along all edges, out of sun and heat, one to each 500 ft².",
        wait=Wait(
            seconds=16 * _HOUR,
            quoted=(Quoted(seconds=16 * _HOUR, source=_SHEET), Quoted(seconds=24 * _HOUR, source=_SHEET_LONGER)),
        ),
        questions=(
            choice_of(
                "result",
                "What is under it?",
                "nothing: neither drops nor darkening",
                "drops: drops of water",
                "dark: the slab is darker",
            ),
            number_of("waited", "Left on", "hours", most="999", deciding=True, said="after {}"),
            number_of("sheets", "Sheets", "sheets", most="999"),
            yes_no("sun", "Was it in sun or heat?", "in sun or heat"),
        ),
        reads=(
            reads("result", "drops", "wet", "There were drops under the sheet: the slab gives off moisture.", _SHEET),
            reads("result", "dark", "wet", "The slab went dark under the sheet: it gives off moisture.", _SHEET),
            Reads(
                when=is_("result", "nothing"),
                word="too-soon",
                sentence="The sheet was on for less than {wait}, so it says nothing.",
                standing=Standing.STANDARD,
                source=_SHEET,
                decides=False,
                sooner=True,
            ),
            reads("result", "nothing", "no-sign", "Nothing showed under the sheet. That does not prove the slab dry."),
        ),
    ),
    Kind(
        key="wet-colour",
        name="Wet colour",
        group=Group.TEST,
        how="Hose a square and look at it with the homeowner: wet is close to how it looks sealed.",
        questions=(
            choice_of(
                "result",
                "Does the wet colour please?",
                "liked: yes, as it is",
                "pale: no, it stays pale or bare in patches",
                "wrong: no, another colour is wished for",
            ),
        ),
        reads=(
            reads("result", "liked", "liked", "Wet, the colour is liked: sealing alone may be enough."),
            reads("result", "pale", "wrong", "It stays pale when it is wet: clear sealer will not bring colour back."),
            reads("result", "wrong", "wrong", "Another colour is wished for than the slab shows when it is wet."),
        ),
    ),
    Kind(
        key="colour-carrier",
        name="Colour carrier",
        group=Group.TEST,
        how="Nick or rub down a hidden spot and see how deep the base colour goes.",
        questions=(
            choice_of(
                "result",
                "Where is the base colour?",
                "integral: all the way through",
                "skin: in a hardened skin of about 1/4 in",
                "surface: on the surface only",
            ),
        ),
        reads=(
            reads("result", "integral", "integral", "The base colour goes all the way through: stripping leaves it."),
            reads("result", "skin", "skin", "The base colour is in a hardened skin of about 1/4 in."),
            reads("result", "surface", "surface", "The base colour is on the surface only: stripping takes it along."),
        ),
    ),
    Kind(
        key="joint-sand",
        name="Joint sand",
        group=Group.TEST,
        how="Push a nail through the sand of several joints, and blow out a saw cut.",
        surfaces=PAVERS,
        questions=(
            choice_of(
                "result",
                "What are the joints like?",
                "full: firm, and full to 1/8 in below the edge",
                "low: low or soft",
                "gone: gone in places",
            ),
            yes_no("damp", "Does the sand clump, or is the cut wet?", "the sand clumps, or a cut is wet"),
            length_of("low_by", "Low by", "in", said="{} low"),
            text_of("sand", "What sand is in them", "sand: {}"),
        ),
        reads=(
            reads("result", "full", "full", "The joints are firm and full."),
            reads("result", "low", "low", "The joints are low or soft and want sand."),
            reads("result", "gone", "low", "Sand is gone from joints in places, and they want sand."),
        ),
    ),
    Kind(
        key="slip",
        name="Slip",
        group=Group.TEST,
        how="Wet a place and turn a foot on it; look at the slope, and ask who walks there without shoes.",
        questions=(
            choice_of("result", "How does it feel wet?", "grips: it grips", "slips: it slips"),
            yes_no("barefoot", "Do people walk there barefoot?", "people walk there barefoot"),
            yes_no("slope", "Is it a slope, a ramp or steps?", "a slope, a ramp or steps"),
            yes_no("frail", "Do old people or small children use it?", "old people or small children use it"),
        ),
        reads=(
            reads("result", "grips", "grips", "Wet, the surface grips under a foot."),
            reads("result", "slips", "slippery", "Wet, the surface is slippery."),
        ),
    ),
    Kind(
        key="rinse-ph",
        name="Rinse water",
        group=Group.TEST,
        how="After rinsing, lay pH paper on the wet slab and in fresh water from the tap, and compare.",
        questions=(
            number_of("rinse", "On the slab", "pH", most="14", deciding=True, said="{} on the slab"),
            number_of("fresh", "Fresh water", "pH", most="14", deciding=True, said="{} in fresh water"),
        ),
        reads=(
            Reads(
                when=Apart(name="rinse", other="fresh", by=RINSE_WITHIN),
                word="off",
                sentence="The rinse water is more than one unit of pH from fresh water: rinse again.",
                standing=Standing.STANDARD,
                source=_RINSE,
            ),
            Reads(
                when=not_(Apart(name="rinse", other="fresh", by=RINSE_WITHIN)),
                word="neutral",
                sentence="The rinse water is within one unit of pH of fresh water.",
                standing=Standing.STANDARD,
                source=_RINSE,
            ),
        ),
        cautions=(
            "Acid into water, never water into acid; goggles, gloves and boots, and the label comes first.",
            "Keep wash water out of storm drains.",
        ),
    ),
)
"""In the order in which a visit goes."""
