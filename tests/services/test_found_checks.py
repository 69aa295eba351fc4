"""What the findings say before issuing: no test, advice gone against, no sample, nothing allowed for."""

from datetime import date

import pytest

from quoting.core.advice import Approach
from quoting.core.slab_conditions import condition_found
from quoting.documents.findings import slab_of
from quoting.documents.proposal_facts import terms_of
from quoting.models import Allowance, Finding, Firm, Proposal, Sample, User
from quoting.services.advice import choose_approach
from quoting.services.findings import keep_findings
from quoting.services.offers import chosen_of
from quoting.services.points import Point
from quoting.services.proposal_checks import look_over
from tests.factories import OwnerFactory
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines() -> User:
    return OwnerFactory()


@pytest.fixture
def draft(ines):
    return ready_draft(ines)


def points(draft, page: str) -> list[Point]:
    firm = Firm.objects.get()
    found = look_over(firm, draft, chosen_of(draft), terms_of(firm, draft)).points
    return [point for point in found if point.page == page]


def test_each_area_without_a_test_is_named_with_its_page(draft):
    assert [(point.sentence, point.area.letter, point.stops) for point in points(draft, "found")] == [
        ("A, Pool deck: no test was made on it.", "A", False),
        ("B, Steps: no test was made on it.", "B", False),
        ("C, Front walk: no test was made on it.", "C", False),
    ]


def test_colour_without_an_approved_sample_is_named(draft, ines):
    sentence = "Recolour and seal brings colour, and no sample on the slab is approved."
    assert [point.sentence for point in points(draft, "colours")] == [sentence]
    area = draft.job.areas.first()
    Sample.objects.create(
        job=draft.job,
        area=area,
        recipe="1. Base",
        made_on=date(2026, 6, 1),
        made_by=ines,
        approved_on=date(2026, 6, 3),
        approved_by="Mrs Wexley",
    )
    assert points(draft, "colours") == []


def note(draft, ines, kind: str, **answers: str) -> None:
    keep_findings(job=draft.job, by=ines, kind=kind, areas=[draft.job.areas.get(name="Pool deck")], answers=answers)


def test_a_test_that_was_read_is_not_missed(draft, ines):
    note(draft, ines, "tape", result="clean")
    assert [point.area.letter for point in points(draft, "found")] == ["B", "C"]


def test_an_area_priced_as_another_slab_than_was_found_is_named(draft, ines):
    """A new area is taken for worn; an even film on which water beads is a sound one."""
    said = "A, Pool deck: what was found says sound old film, and it is priced as worn or patchy."
    note(draft, ines, "film", look="even")
    assert [point for point in points(draft, "") if point.sentence.startswith(said)] == []
    note(draft, ines, "water-drop", result="beads")
    (point,) = [point for point in points(draft, "") if point.sentence.startswith(said)]
    assert (point.area.letter, point.stops) == ("A", False)


def test_where_the_book_has_the_same_figures_for_the_slab_that_was_found_nothing_is_said(draft, ines):
    """The book knows pavers as worn only: a sound film on the front walk changes no figure."""
    walk = draft.job.areas.get(name="Front walk")
    for kind, answers in (("film", {"look": "even"}), ("water-drop", {"result": "beads"})):
        keep_findings(job=draft.job, by=ines, kind=kind, areas=[walk], answers=answers)
    assert condition_found(slab_of(walk, list(Finding.objects.all()))) == "sound"
    assert [point for point in points(draft, "") if "what was found says" in point.sentence] == []


def test_what_the_findings_rule_out_needs_a_reason_first(draft, ines):
    """Tape pulls film off: both options go over the film (rule film-lost-hold)."""
    note(draft, ines, "tape", result="places")
    said = points(draft, "advice")
    assert [(point.stops, point.area.letter) for point in said] == [(True, "A"), (True, "A")]
    assert said[0].sentence == (
        "Wash and reseal goes against the advice for A, Pool deck, and nobody has said why. The old film comes off, "
        "and what is put over it would come off with it. (rule film-lost-hold)"
    )


def test_a_reason_that_was_given_lets_it_pass(draft, ines):
    note(draft, ines, "tape", result="places")
    deck = draft.job.areas.get(name="Pool deck")
    choose_approach(area=deck, version=0, by=ines, approach=Approach.RECOLOUR, reason="They know, and want it so.")
    assert [point.sentence.partition(" goes")[0] for point in points(draft, "advice")] == ["Wash and reseal"]


def allowances_wanted(draft) -> list[str]:
    draft = Proposal.objects.get(pk=draft.pk)
    return [point.sentence for point in points(draft, "terms") if "allowance" in point.sentence]


def test_what_calls_for_an_allowance_is_named_until_there_is_one(draft):
    """Nobody looked at the film: something is kept for what turns up, on every area (rule unknown-film-contingency)."""
    (said,) = allowances_wanted(draft)
    assert said.startswith("A, B and C: With an unknown coating, 15 to 25 % is kept for what turns up.")
    assert said.endswith("(rule unknown-film-contingency) The proposal has no allowance for it.")
    Allowance.objects.create(proposal=draft, name="Cracks", included="18 ft")
    assert allowances_wanted(draft) == []


def test_a_unit_price_that_is_called_for_must_be_on_the_paper(draft):
    """The book has a price for one more strip pass; left off the paper, an allowance for cracks is none for that."""
    Proposal.objects.filter(pk=draft.pk).update(left_off=["One more strip pass, a square foot"])
    Allowance.objects.create(proposal=draft, name="Cracks", included="18 ft", further="a further foot")
    (said,) = allowances_wanted(draft)
    assert said.endswith("(rule unknown-film-passes) The proposal has no allowance for it.")
    Allowance.objects.create(proposal=draft, name="Stripping", included="two passes", further="a further pass")
    assert allowances_wanted(draft) == []


def test_a_way_that_is_ruled_out_may_stand_beside_the_advised_one_with_a_word(draft, ines):
    """Wet, the colour is gone: clear sealer is ruled out, recolouring suits (rule clear-over-wrong-colour)."""
    note(draft, ines, "wet-colour", result="pale")
    note(draft, ines, "tape", result="clean")
    note(draft, ines, "scratch", result="line")
    note(draft, ines, "solvent-drop", result="tacky")
    note(draft, ines, "film", look="worn")
    deck = draft.job.areas.get(name="Pool deck")
    assert [point.sentence.partition(" goes")[0] for point in points(draft, "advice")] == ["Wash and reseal"]
    row = choose_approach(area=deck, version=0, by=ines, approach=Approach.RECOLOUR)
    assert not row.against
    assert len(points(draft, "advice")) == 1
    choose_approach(area=deck, version=row.version, by=ines, approach=Approach.RECOLOUR, reason="The smaller way.")
    assert points(draft, "advice") == []
