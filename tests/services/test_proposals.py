"""Drafting, keeping, revising, withdrawing, and running out."""

from datetime import timedelta

import pytest
from django.utils import timezone

from quoting.models import (
    Area,
    ChangedMeanwhile,
    Coverage,
    Event,
    Firm,
    LabourTask,
    Option,
    OptionStep,
    Paper,
    Proposal,
    ProposalPayment,
    User,
)
from quoting.services import issue
from quoting.services.issue import issue_proposal, preview
from quoting.services.offers import chosen_of
from quoting.services.proposal_checks import look_over
from quoting.services.proposal_terms import keep_terms
from quoting.services.proposals import (
    DraftGone,
    NotDrafted,
    NothingToOffer,
    NotStanding,
    WrongChoice,
    discard_draft,
    draft_proposal,
    expire_proposals,
    keep_draft,
    revise,
    withdraw_proposal,
)
from tests.factories import JobFactory, OwnerFactory
from tests.frozen_rows import triggers_lifted
from tests.reading_pdf import pages_of
from tests.sample_offer import measured_job, offer_option, published_edition, ready_draft, the_firm

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines() -> User:
    return OwnerFactory(email="ines@example.com")


@pytest.fixture
def draft(ines) -> Proposal:
    return ready_draft(ines)


def names(proposal: Proposal) -> list[str]:
    return [row.option.name for row in proposal.offered.all()]


def keep(draft: Proposal, **more) -> Proposal:
    facts = {"title": "", "in_short": "", "valid_until": None, "options": [row.option for row in draft.offered.all()]}
    return keep_draft(proposal=draft, version=draft.version, **(facts | more))


def issued(draft: Proposal, by: User) -> Proposal:
    paper = issue_proposal(proposal=draft, version=draft.version, by=by)
    return Proposal.objects.get(paper=paper)


# drafting


def test_a_draft_is_thrown_away_with_its_terms_and_the_options_stay(draft, ines):
    discard_draft(proposal=draft, version=draft.version, by=ines)
    assert (Proposal.objects.count(), ProposalPayment.objects.count(), Option.objects.count()) == (0, 0, 4)
    event = Event.objects.get(kind="proposal draft thrown away")
    assert (event.job, event.actor, event.paper) == (draft.job, ines, None)
    assert draft_proposal(job=draft.job, by=ines).pk != draft.pk


def test_an_issued_proposal_is_never_thrown_away(draft, ines):
    proposal = issued(draft, ines)
    with pytest.raises(NotDrafted, match="an issued proposal never changes"):
        discard_draft(proposal=proposal, version=proposal.version, by=ines)
    assert Proposal.objects.filter(pk=proposal.pk, state="issued").exists()


def test_a_draft_that_somebody_changed_is_not_thrown_away(draft, ines):
    keep(draft, title="For their pool deck")
    with pytest.raises(ChangedMeanwhile):
        discard_draft(proposal=draft, version=draft.version, by=ines)
    assert Proposal.objects.filter(pk=draft.pk).exists()


def test_what_is_thrown_away_is_neither_kept_nor_issued_nor_thrown_away_again(draft, ines):
    Proposal.objects.get(pk=draft.pk).delete()
    for act in (
        lambda: keep_draft(proposal=draft, version=1, title="", in_short="", valid_until=None, options=[]),
        lambda: keep_terms(proposal=draft, version=1, payments=[], allowances=[]),
        lambda: issue_proposal(proposal=draft, version=1, by=ines),
        lambda: discard_draft(proposal=draft, version=1, by=ines),
    ):
        with pytest.raises(DraftGone):
            act()


def test_a_draft_thrown_away_while_it_is_printed_is_not_issued(draft, ines, monkeypatch):
    printed = issue.print_draft(proposal=draft, version=draft.version)
    discard_draft(proposal=draft, version=draft.version, by=ines)
    monkeypatch.setattr(issue, "print_draft", lambda **given: printed)
    with pytest.raises(DraftGone):
        issue_proposal(proposal=draft, version=draft.version, by=ines)
    draft.job.refresh_from_db()
    assert (Paper.objects.count(), draft.job.last_revision) == (0, 0)


def test_the_draft_of_a_revision_is_thrown_away_and_the_paper_stands(draft, ines):
    proposal = issued(draft, ines)
    second = revise(proposal=proposal, by=ines)
    discard_draft(proposal=second, version=second.version, by=ines)
    assert [(row.pk, row.state) for row in Proposal.objects.all()] == [(proposal.pk, "issued")]


def test_a_draft_offers_the_folders_options_and_their_extras(draft):
    assert names(draft) == ["Wash and reseal", "Recolour and seal", "Grit in the last coat", "Front walk"]


def test_a_draft_names_the_areas_and_stands_as_long_as_the_firm_says(draft):
    until = timezone.localdate() + timedelta(days=30)
    assert (draft.title, draft.valid_until) == ("for their pool deck, steps and front walk", until)


def test_a_folder_has_one_draft(draft, ines):
    assert draft_proposal(job=draft.job, by=ines) == draft


def test_a_folder_without_options_has_nothing_to_offer(ines):
    with pytest.raises(NothingToOffer):
        draft_proposal(job=JobFactory(), by=ines)


def test_no_more_than_four_options_are_taken_into_a_draft(ines):
    the_firm()
    published_edition()
    job = measured_job(["Pool deck"])
    for number in range(5):
        offer_option(job, ines, "wash-and-reseal", ["Pool deck"], name=f"Reseal {number}")
    assert names(draft_proposal(job=job, by=ines)) == ["Reseal 0", "Reseal 1", "Reseal 2", "Reseal 3"]


# keeping


def test_what_is_kept_stands_in_the_order_given(draft):
    wash, full, grit, _ = (row.option for row in draft.offered.all())
    kept = keep(draft, title="for their deck", options=[full, wash, grit])
    assert (kept.title, names(kept), kept.version) == (
        "for their deck",
        ["Recolour and seal", "Wash and reseal", "Grit in the last coat"],
        2,
    )


def test_the_second_of_two_hands_overwrites_nothing(draft):
    keep(draft, title="theirs")
    with pytest.raises(ChangedMeanwhile):
        keep(draft, title="mine")
    draft.refresh_from_db()
    assert draft.title == "theirs"


def test_an_extra_needs_its_option(draft):
    wash, _, grit, _ = (row.option for row in draft.offered.all())
    with pytest.raises(WrongChoice, match="goes with an option that is not offered"):
        keep(draft, options=[wash, grit])


def test_an_option_of_another_folder_is_refused(draft, ines):
    other = offer_option(measured_job(["Steps"], number="0418"), ines, "wash-and-reseal", ["Steps"])
    with pytest.raises(WrongChoice, match="another folder"):
        keep(draft, options=[other])


def test_what_was_issued_is_not_kept_again(draft, ines):
    with pytest.raises(NotDrafted, match="0417-A is issued"):
        keep(issued(draft, ines))


# what is missing, and what is worth a look


def sentences(draft: Proposal, *, stops: bool) -> list[str]:
    firm = Firm.objects.get()
    ready = look_over(firm, draft, chosen_of(draft), list(firm.payment_terms.all()))
    return [point.sentence for point in (ready.missing if stops else ready.warnings)]


def test_a_ready_draft_lacks_nothing(draft):
    assert sentences(draft, stops=True) == []


def test_an_area_without_a_measure_is_missing_in_each_option(draft):
    Area.objects.get(name="Steps").parts.all().delete()
    assert sentences(draft, stops=True) == [
        "Wash and reseal: Steps has not been measured yet.",
        "Recolour and seal: Steps has not been measured yet.",
    ]


def test_a_missing_figure_of_the_price_book_is_named(draft):
    with triggers_lifted():  # a published edition would not let its rows go
        Coverage.objects.filter(material__key="paver-sealer").delete()
    assert sentences(draft, stops=True) == [
        "Front walk: Seal, one coat: the price book doesn’t say how far Paver sealer, penetrating goes on concrete "
        "pavers, worn or patchy."
    ]


def test_a_firm_without_an_address_makes_no_proposal(draft):
    Firm.objects.update(street="", town="")
    assert sentences(draft, stops=True) == ["The firm’s address is missing; a proposal says who makes it."]


def test_a_day_that_is_past_is_missing(draft):
    draft.valid_until = timezone.localdate() - timedelta(days=1)
    assert sentences(draft, stops=True) == ["The day until which the proposal stands is past. Choose a later one."]


def test_no_option_at_all_is_missing(draft):
    draft.offered.all().delete()
    assert sentences(draft, stops=True) == ["No option is chosen. A proposal offers one to four."]


def test_starting_values_are_worth_a_look(draft):
    assert any("still uses starting values of the price book" in said for said in sentences(draft, stops=False))


def test_an_area_that_is_not_agreed_is_worth_a_look(draft):
    Area.objects.filter(name="Steps").update(agreed_measures="")
    assert "B, Steps, is not agreed with the customer yet." in sentences(draft, stops=False)


def test_an_area_measured_anew_since_it_was_agreed_is_worth_a_look(draft):
    Area.objects.filter(name="Steps").update(agreed_measures="0" * 64)
    assert "B, Steps, was measured anew since it was agreed." in sentences(draft, stops=False)


def test_a_minimum_that_is_asked_instead_is_worth_a_look(draft):
    Firm.objects.update(minimum="5000.00")
    assert any("the minimum of 5,000.00 is asked instead" in said for said in sentences(draft, stops=False))


def test_prices_that_were_replaced_are_worth_a_look(draft):
    edition = Option.objects.first().edition
    type(edition).objects.filter(pk=edition.pk).update(state="superseded")
    assert "Wash and reseal is priced with edition 2026-1, which a later one has replaced." in sentences(
        draft, stops=False
    )


# preview


def test_a_preview_is_marked_on_every_page_and_keeps_nothing(draft):
    pages = pages_of(preview(proposal=draft))
    assert all("Draft of 0417-A, not an offer" in page for page in pages)
    draft.job.refresh_from_db()
    assert (draft.job.papers.count(), draft.job.last_revision) == (0, 0)


# revising, withdrawing, running out


def test_a_revision_begins_with_the_words_and_options_of_the_paper(draft, ines):
    first = issued(draft, ines)
    following = revise(proposal=first, by=ines)
    assert (following.state, following.title, names(following)) == ("drafted", first.title, names(first))


def test_revising_twice_gives_one_draft(draft, ines):
    first = issued(draft, ines)
    assert revise(proposal=first, by=ines) == revise(proposal=first, by=ines)


def test_a_withdrawn_proposal_keeps_its_paper(draft, ines):
    first = issued(draft, ines)
    withdrawn = withdraw_proposal(proposal=first, version=first.version, by=ines)
    assert (withdrawn.state, withdrawn.paper.number) == ("withdrawn", "0417-A")
    assert Event.objects.filter(kind="proposal withdrawn", paper=first.paper, actor=ines).count() == 1


def test_only_what_stands_can_be_withdrawn(draft, ines):
    first = issued(draft, ines)
    withdrawn = withdraw_proposal(proposal=first, version=first.version, by=ines)
    with pytest.raises(NotStanding, match="0417-A is withdrawn"):
        withdraw_proposal(proposal=withdrawn, version=withdrawn.version, by=ines)


def test_a_withdrawn_proposals_number_is_not_given_again(draft, ines):
    first = issued(draft, ines)
    withdraw_proposal(proposal=first, version=first.version, by=ines)
    assert issued(revise(proposal=first, by=ines), ines).paper.number == "0417-B"


def test_a_proposal_stands_through_its_last_day(draft, ines):
    first = issued(draft, ines)
    assert expire_proposals(today=first.paper.valid_until) == 0


def test_a_proposal_runs_out_on_the_day_after(draft, ines):
    first = issued(draft, ines)
    assert expire_proposals(today=first.paper.valid_until + timedelta(days=1)) == 1
    first.refresh_from_db()
    assert first.state == "expired"
    assert Event.objects.filter(kind="proposal expired", paper=first.paper).count() == 1


def test_what_ran_out_does_not_run_out_again(draft, ines):
    first = issued(draft, ines)
    later = first.paper.valid_until + timedelta(days=9)
    assert [expire_proposals(today=later), expire_proposals(today=later)] == [1, 0]


def test_a_difficulty_that_was_taken_off_without_a_word_is_worth_a_look(draft):
    step = OptionStep.objects.get(group__option__name="Recolour and seal", step__key="wash")
    with triggers_lifted():
        LabourTask.objects.filter(key="wash").update(textured="1.15", awkward="1.2")
    OptionStep.objects.filter(pk=step.pk).update(difficulty=1)
    said = [each for each in sentences(draft, stops=False) if "difficulty" in each]
    assert said == [
        "Recolour and seal, Wash, two passes: difficulty × 1, and nobody has said why; the book has A deep texture: "
        "× 1.15; B steps: × 1.2."
    ]
    OptionStep.objects.filter(pk=step.pk).update(reason="Open deck, short steps")
    assert [each for each in sentences(draft, stops=False) if "difficulty" in each] == []
