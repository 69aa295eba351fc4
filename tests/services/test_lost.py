"""Why an offer was lost: noted when it ended, and with a no that was told to the firm."""

import pytest

from quoting.models import ChangedMeanwhile, Event
from quoting.services.lost import NotLost, note_lost
from tests.factories import IssuedProposalFactory, OwnerFactory, ProposalFactory

pytestmark = pytest.mark.django_db


def note(proposal, **given):
    return note_lost(
        proposal=proposal, by=OwnerFactory(), **{"version": 1, "reason": "price", "words": "600 too much"} | given
    )


def test_a_no_that_was_told_declines_the_offer():
    kept = note(IssuedProposalFactory())
    assert (kept.state, kept.lost_reason, kept.lost_words, kept.version) == ("declined", "price", "600 too much", 2)
    assert list(Event.objects.values_list("kind", "data")) == [
        ("proposal declined", "{}"), ("reason noted", '{"reason":"price"}')
    ]  # fmt: skip


@pytest.mark.parametrize("state", ["declined", "taken back", "expired", "withdrawn"])
def test_what_ended_keeps_its_state(state):
    assert note(IssuedProposalFactory(state=state)).state == state


@pytest.mark.parametrize("state", ["accepted", "superseded"])
def test_what_was_won_or_replaced_is_not_lost(state):
    with pytest.raises(NotLost):
        note(IssuedProposalFactory(state=state))


def test_a_draft_is_not_lost():
    with pytest.raises(NotLost):
        note(ProposalFactory())


def test_the_second_of_two_is_told():
    proposal = IssuedProposalFactory(state="expired")
    note(proposal)
    with pytest.raises(ChangedMeanwhile):
        note(proposal)


def test_only_reasons_of_the_list_are_kept():
    with pytest.raises(ValueError, match="is not a valid LostReason"):
        note(IssuedProposalFactory(), reason="weather")
