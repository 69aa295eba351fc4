"""Advice on whole slabs: the trade's table of decisions, and what must hold for any slab."""

from collections.abc import Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.advice import Advice, Approach, Slab, Verdict, advise
from quoting.core.findings import KINDS, NOT_KNOWN, AnswerKind, Finding, Question
from tests.core.slab_cases import (
    BEADS,
    BONDS,
    FAILS,
    HOLDS,
    LIFTS,
    LIKED,
    PALE,
    SOAKS,
    SOUND,
    TACKY,
    UNCHANGED,
    slab,
)

NO_CRACK = "crack width=1/16 level=no"


def verdicts(advice: Advice) -> Mapping[Approach, Verdict]:
    """What is said of each approach."""
    return {each.approach: each.verdict for each in advice.judgements}


def said(advice: Advice, approach: Approach) -> tuple[Verdict, tuple[str, ...]]:
    """What is said of one approach, and by which rules."""
    found = advice.judgement(approach)
    return found.verdict, tuple(reason.id for reason in found.reasons)


def test_a_sound_solvent_acrylic_liked_wet_is_resealed() -> None:
    """Common practice, no published source: wash, dry, one thin compatible coat."""
    advice = advise(slab(f"{SOUND}; {NO_CRACK}; salt-pool result=none; slip result=grips"))
    assert verdicts(advice) == {
        Approach.RESEAL: Verdict.SUITS,
        Approach.RE_WET: Verdict.NOT_CALLED_FOR,
        Approach.RECOLOUR: Verdict.NOT_CALLED_FOR,
        Approach.SAND_AND_SEAL: Verdict.RULED_OUT,
        Approach.PENETRATE: Verdict.RULED_OUT,
        Approach.ABRADE: Verdict.NOT_CALLED_FOR,
        Approach.STRIP: Verdict.NOT_CALLED_FOR,
        Approach.DECLINE: Verdict.NOT_CALLED_FOR,
    }
    assert said(advice, Approach.RESEAL) == (Verdict.SUITS, ("reseal-sound-film",))
    assert "water-over-solvent" in [each.id for each in advice.cautions if each.certain]


def test_a_milky_solvent_acrylic_that_holds_is_re_wet() -> None:
    advice = advise(slab(f"film look=milky; tape result=clean; scratch result=line; {TACKY}; {BEADS}"))
    assert said(advice, Approach.RE_WET) == (Verdict.SUITS, ("re-wet-milky",))


def test_re_wetting_is_ruled_out_on_what_solvent_does_not_soften() -> None:
    advice = advise(slab(f"film look=milky; tape result=clean; scratch result=line; {UNCHANGED}; {BEADS}"))
    assert said(advice, Approach.RE_WET) == (Verdict.RULED_OUT, ("re-wet-other-film",))


@pytest.mark.parametrize("loose", [LIFTS, "scratch result=flakes", "film look=flaking"])
def test_a_film_that_lost_its_hold_is_stripped_and_nothing_goes_over_it(loose: str) -> None:
    advice = advise(slab(f"{loose}; {TACKY}; {BEADS}; {PALE}"))
    kept = [Approach.RESEAL, Approach.RECOLOUR, Approach.RE_WET]
    assert {advice.judgement(each).verdict for each in kept} == {Verdict.RULED_OUT}
    assert [each.id for each in advice.allowances if each.certain] == ["strip-passes"]
    assert advice.judgement(Approach.STRIP).verdict is Verdict.SUITS


def test_an_unknown_film_is_stripped_or_tested_first() -> None:
    advice = advise(slab(f"{HOLDS}; {BEADS}; {LIKED}"))
    assert said(advice, Approach.STRIP) == (Verdict.SUITS, ("strip-film-unknown",))
    reseal = advice.judgement(Approach.RESEAL)
    assert (reseal.verdict, reseal.waits_for) == (Verdict.TEST_FIRST, ("solvent-drop", "test-patch"))
    allowed = {each.id: each.allowance for each in advice.allowances if each.certain}
    assert allowed["unknown-film-passes"].unit_price == "strip pass"
    contingency = allowed["unknown-film-contingency"]
    assert (str(contingency.low), str(contingency.high)) == ("0.15", "0.25")


def test_a_urethane_is_abraded_or_declined() -> None:
    advice = advise(slab(f"surface-history sealed=others sealer=urethane-epoxy; {HOLDS}; {UNCHANGED}; {PALE}; {BONDS}"))
    assert said(advice, Approach.ABRADE) == (Verdict.SUITS, ("abrade-hard-film",))
    assert said(advice, Approach.DECLINE)[0] is Verdict.SUITS
    assert said(advice, Approach.RECOLOUR) == (Verdict.RULED_OUT, ("hard-film",))


def test_beading_without_a_film_waits_for_a_test_patch() -> None:
    without = f"{BEADS}; film look=none; {UNCHANGED}; {PALE}; surface-history sealer=penetrant"
    recolour = advise(slab(without)).judgement(Approach.RECOLOUR)
    assert (recolour.verdict, recolour.waits_for) == (Verdict.TEST_FIRST, ("test-patch",))
    assert advise(slab(f"{without}; {BONDS}")).judgement(Approach.RECOLOUR).verdict is Verdict.SUITS
    assert said(advise(slab(f"{without}; {FAILS}")), Approach.RECOLOUR) == (Verdict.RULED_OUT, ("patch-failed",))


def test_a_colour_that_stays_pale_wet_is_recoloured_not_just_sealed() -> None:
    advice = advise(slab(f"{HOLDS}; {TACKY}; {BEADS}; {PALE}"))
    assert said(advice, Approach.RECOLOUR) == (Verdict.SUITS, ("recolour-wrong-colour",))
    assert said(advice, Approach.RESEAL) == (Verdict.RULED_OUT, ("clear-over-wrong-colour",))


def test_four_old_coats_are_stripped_before_colour_goes_on() -> None:
    """Recolouring ends in coats of sealer, and a film of four is too thick to take them (common practice)."""
    advice = advise(slab(f"{HOLDS}; {TACKY}; {BEADS}; {PALE}; surface-history coats=4"))
    assert said(advice, Approach.RECOLOUR) == (Verdict.RULED_OUT, ("four-coats",))
    assert said(advice, Approach.STRIP) == (Verdict.SUITS, ("strip-four-coats",))


def test_recolouring_over_a_film_waits_until_its_hold_is_tested() -> None:
    recolour = advise(slab(f"film look=worn; {TACKY}; {BEADS}; {PALE}")).judgement(Approach.RECOLOUR)
    assert (recolour.verdict, recolour.waits_for) == (Verdict.TEST_FIRST, ("tape", "scratch"))


def test_without_a_film_there_is_no_hold_to_be_tested() -> None:
    advice = advise(slab(f"film look=none; {SOAKS}; {PALE}"))
    assert said(advice, Approach.RECOLOUR) == (Verdict.SUITS, ("recolour-wrong-colour",))
    assert said(advice, Approach.STRIP) == (Verdict.RULED_OUT, ("nothing-to-strip",))


def test_low_joints_of_pavers_are_sanded_and_salts_come_off_first() -> None:
    found = f"joint-sand result=low damp=no; efflorescence result=light; {SOAKS}; film look=none"
    advice = advise(slab(found, "concrete-pavers"))
    assert said(advice, Approach.SAND_AND_SEAL) == (Verdict.SUITS, ("sand-low-joints",))
    assert "salts-first" in [each.id for each in advice.cautions if each.certain]


def test_clay_pavers_are_warned_of_and_not_blocked() -> None:
    """BIA Technical Note 6A (August 2008), summary: water-repellent coatings are not recommended for clay pavers."""
    advice = advise(slab(f"joint-sand result=low damp=no; {SOAKS}; film look=none", "clay-pavers"))
    assert advice.judgement(Approach.SAND_AND_SEAL).verdict is Verdict.SUITS
    (warning,) = [each for each in advice.cautions if each.id == "clay-pavers"]
    assert (warning.certain, str(warning.standing)) == (True, "standard")
    assert warning.source == "BIA Technical Note 6A (August 2008), summary"


def test_a_salt_pool_asks_for_what_soaks_in() -> None:
    advice = advise(slab(f"{SOAKS}; film look=none; salt-pool result=salt; slip result=grips"))
    assert said(advice, Approach.PENETRATE) == (Verdict.SUITS, ("penetrate-salt-or-slip",))
    assert "salt-pool" in [each.id for each in advice.cautions if each.certain]


@pytest.mark.parametrize("crack", ["crack width=5/16 level=no", "crack width=1/16 level=yes"])
def test_a_wide_or_stepped_crack_is_left_out(crack: str) -> None:
    """Common practice: wider than 1/4 in or with a difference of level is structural."""
    advice = advise(slab(f"{SOUND}; {crack}"))
    assert said(advice, Approach.DECLINE) == (Verdict.SUITS, ("decline-structural",))
    assert [each.id for each in advice.exclusions if each.certain] == ["structural-crack"]


def test_a_slab_of_less_than_28_days_waits() -> None:
    """Masonry and Concrete (McGraw-Hill, 2004), p. 185: at least 28 days."""
    advice = advise(slab(f"{SOAKS}; film look=none; {LIKED}; surface-history age=new sealed=never"))
    assert said(advice, Approach.RESEAL) == (Verdict.RULED_OUT, ("under-28-days",))


def test_new_pavers_wait_for_60_days() -> None:
    found = f"{SOAKS}; film look=none; {LIKED}; surface-history age=young"
    assert said(advise(slab(found, "concrete-pavers")), Approach.RESEAL)[0] is Verdict.RULED_OUT
    assert said(advise(slab(found, "stamped")), Approach.RESEAL)[0] is Verdict.SUITS


def test_a_dry_sheet_proves_nothing() -> None:
    """Commentary on ASTM D4263: a negative result does not prove the slab dry."""
    advice = advise(slab(f"{SOUND}; plastic-sheet result=nothing waited=16"))
    assert "dryness-unproven" in [each.id for each in advice.cautions if each.certain]


def test_a_wet_sheet_has_to_be_laid_again() -> None:
    reseal = advise(slab(f"{SOUND}; plastic-sheet result=drops")).judgement(Approach.RESEAL)
    assert (reseal.verdict, reseal.waits_for) == (Verdict.TEST_FIRST, ("plastic-sheet",))


def test_what_contradicts_is_told_and_tested_again() -> None:
    advice = advise(slab(f"{SOUND}; surface-history sealed=others sealer=water-based"))
    assert [each.id for each in advice.contradictions] == ["told-other-reads-solvent"]
    reseal = advice.judgement(Approach.RESEAL)
    assert (reseal.verdict, reseal.waits_for) == (Verdict.TEST_FIRST, ("solvent-drop", "surface-history"))
    assert "told-other-reads-solvent" in [each.id for each in reseal.reasons]


def test_what_was_not_tested_is_named() -> None:
    advice = advise(slab("tape result=clean; solvent-drop result=unchanged waited=5"))
    told = {each.kind: each.sentence for each in advice.unknown}
    assert "tape" not in told
    assert told["water-drop"] == "Water drop: not tested."
    assert told["salt-pool"] == "Pool: not noted."
    assert told["solvent-drop"] == "The solvent stood for less than 1 minute, so the drop says nothing."
    assert "joint-sand" not in told  # there are none but between pavers


def test_what_may_hold_says_what_has_to_be_known_first() -> None:
    advice = advise(slab(f"{HOLDS}; {TACKY}"))
    told = {each.id: each.told for each in (*advice.cautions, *advice.judgement(Approach.PENETRATE).reasons)}
    assert told["water-over-solvent"] == "A water-based sealer must not go over a solvent-based one."
    assert told["salts-first"] == (
        "Not known yet (white salts), but it may be: white salts come off first, "
        "or they are locked in under the sealer."
    )
    assert told["penetrate-salt-or-slip"].startswith("Not known yet (water drop, slip, pool), but it may be: the ")


def test_a_crack_that_nobody_looked_at_declines_nothing_and_may_be_left_out() -> None:
    advice = advise(slab(SOUND))
    assert advice.judgement(Approach.DECLINE).verdict is Verdict.NOT_CALLED_FOR
    assert next((each.id, each.certain) for each in advice.exclusions) == ("structural-crack", False)


def test_nothing_is_advised_where_nothing_is_known() -> None:
    advice = advise(slab(""))
    assert advice.with_verdict(Verdict.SUITS) == ()
    assert [each.id for each in advice.cautions if each.certain] == ["dryness-unproven", "wash-water", "voc"]


def answer_to(question: Question) -> st.SearchStrategy[str]:
    """Any answer to the question, none and “not known” among them."""
    match question.kind:
        case AnswerKind.CHOICE:
            return st.sampled_from(["", *(choice.value for choice in question.choices)])
        case AnswerKind.YES_NO:
            return st.sampled_from(["", NOT_KNOWN, "yes", "no"])
        case AnswerKind.NUMBER:
            return st.sampled_from(["", "0", "4", "7", "8.1", "14"])
        case AnswerKind.LENGTH:
            return st.sampled_from(["", "1/8 in", "1/4 in", "1/2 in"])
    return st.just("")


FINDINGS = st.sampled_from(list(KINDS)).flatmap(
    lambda key: st.fixed_dictionaries({each.name: answer_to(each) for each in KINDS[key].questions}).map(
        lambda answers: Finding(kind=key, answers=answers)
    )
)
SLABS = st.builds(
    lambda surface, findings: Slab(surface=surface, findings=tuple(findings)),
    st.sampled_from(["stamped", "steps", "clay-pavers"]),
    st.lists(FINDINGS, max_size=14),
)


@settings(max_examples=120, deadline=None)
@given(SLABS, st.data())
def test_less_knowledge_takes_no_caution_away(known: Slab, data: st.DataObject) -> None:
    names = [(i, name) for i, each in enumerate(known.findings) for name in each.answers]
    forgotten = data.draw(st.sets(st.sampled_from(names)) if names else st.just(set()))
    findings = tuple(
        Finding(kind=each.kind, answers={n: "" if (i, n) in forgotten else a for n, a in each.answers.items()})
        for i, each in enumerate(known.findings)
    )
    before, after = advise(known), advise(Slab(surface=known.surface, findings=findings))
    for group in ("cautions", "exclusions", "allowances"):
        assert {each.id for each in getattr(before, group)} <= {each.id for each in getattr(after, group)}
    assert {each.kind for each in before.unknown} <= {each.kind for each in after.unknown}


@settings(max_examples=60, deadline=None)
@given(SLABS)
def test_every_verdict_has_its_reason(found: Slab) -> None:
    for each in advise(found).judgements:
        assert bool(each.reasons) == (each.verdict is not Verdict.NOT_CALLED_FOR)
        assert bool(each.waits_for) == (each.verdict is Verdict.TEST_FIRST)
