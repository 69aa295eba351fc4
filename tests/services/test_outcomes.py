"""From rows to outcomes: what counts, from when, and for how much."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from quoting.core.outcomes import Outcome
from quoting.models import Acceptance, Answer, Proposal
from quoting.services.lost import note_lost
from quoting.services.outcomes import outcomes_since
from tests.factories import IssuedProposalFactory, MessageFactory, OwnerFactory, PaperFactory, ProposalFactory

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 20)
SENT = date(2026, 6, 1)


def at(day: int) -> datetime:
    return datetime(2026, 6, day, 16, 0, tzinfo=UTC)


def accept(proposal: Proposal, total: str = "2340.10") -> None:
    proposal.state = "accepted"
    proposal.save()
    Acceptance.objects.create(
        paper=proposal.paper, pdf_sha256="0" * 64, option=1, total=Decimal(total), deposit=Decimal(0), figures="{}",
        consent_text="", consent_sha256="", intent_text="", intent_sha256="", typed_name="Priya Wexley",
        reviewed_at=at(5), confirmed_at=at(5), salt="", seal=str(proposal.pk),
    )  # fmt: skip


def found() -> list[Outcome]:
    return outcomes_since(None, today=TODAY)


def test_an_offer_that_is_out_is_open():
    IssuedProposalFactory()
    assert found() == [Outcome(sent=SENT)]


def test_a_yes_counts_with_its_sum_and_its_day():
    accept(IssuedProposalFactory())
    assert found() == [Outcome(sent=SENT, won=True, answered=date(2026, 6, 5), agreed=Decimal("2340.10"))]


def test_days_count_from_the_first_mail():
    proposal = IssuedProposalFactory()
    for day in (4, 3):
        MessageFactory(paper=proposal.paper, state="sent", sent_at=at(day))
    assert found() == [Outcome(sent=date(2026, 6, 3))]


def test_a_no_from_the_page_has_its_reason_and_its_day():
    proposal = IssuedProposalFactory(state="declined")
    Answer.objects.create(paper=proposal.paper, kind="declined", reason="later", at=at(9))
    assert found() == [Outcome(sent=SENT, won=False, answered=date(2026, 6, 9), reason="later")]


def test_what_the_firm_knows_better_counts():
    proposal = IssuedProposalFactory(state="declined", lost_reason="price")
    Answer.objects.create(paper=proposal.paper, kind="declined", reason="later", at=at(9))
    assert found()[0].reason == "price"


def test_a_no_that_was_told_to_the_firm_has_the_day_on_which_it_was_noted():
    note_lost(proposal=IssuedProposalFactory(), version=1, reason="himself", words="", by=OwnerFactory())
    (outcome,) = found()
    assert (outcome.won, outcome.reason, outcome.answered is not None) == (False, "himself", True)


def test_a_yes_that_was_taken_back_is_lost_and_was_answered_by_the_yes():
    proposal = IssuedProposalFactory()
    accept(proposal)
    Proposal.objects.update(state="taken back")
    told = Outcome(sent=SENT, won=False, answered=date(2026, 6, 5), reason="taken-back", taken_back=True)
    assert found() == [told]
    Proposal.objects.update(lost_reason="price")
    assert found()[0].reason == "price"


@pytest.mark.parametrize("state", ["expired", "withdrawn"])
def test_what_ended_without_a_word_has_no_answer(state):
    IssuedProposalFactory(state=state)
    assert found() == [Outcome(sent=SENT, won=False)]


def test_what_ran_out_is_lost_before_anybody_closes_it():
    IssuedProposalFactory()
    assert outcomes_since(None, today=date(2026, 7, 1)) == [Outcome(sent=SENT, won=False)]


def test_drafts_and_replaced_revisions_do_not_count():
    old = IssuedProposalFactory(state="superseded")
    ProposalFactory()
    IssuedProposalFactory(job=old.job, paper=PaperFactory(job=old.job, revision=2))
    assert len(found()) == 1


def test_a_span_begins_with_its_first_day():
    IssuedProposalFactory()
    assert len(outcomes_since(date(2026, 6, 1), today=TODAY)) == 1
    assert outcomes_since(date(2026, 6, 2), today=TODAY) == []


@pytest.mark.parametrize("rows", [1, 3])
def test_it_asks_as_often_whatever_was_offered(rows, django_assert_num_queries):
    for _ in range(rows):
        accept(IssuedProposalFactory())
    with django_assert_num_queries(4):  # proposals with papers and acceptances, mails, events, noes
        found()
