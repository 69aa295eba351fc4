"""Acts on letters: sent once, only while the offer stands, sent again with a mended address, left."""

from datetime import UTC, datetime

import pytest

from quoting.core.follow_ups import due_day
from quoting.models import Event, Job, Message
from quoting.services.letters import (
    NotOut,
    draft_letter,
    leave_follow_up,
    send_again,
    send_letter,
    sent_on,
)
from quoting.services.outbox import erase_messages, export_messages, lease_next, leave_refused
from tests.factories import FirmFactory, IssuedProposalFactory, MessageFactory, OwnerFactory

pytestmark = pytest.mark.django_db

ONCE = "0" * 32


@pytest.fixture
def paper():
    FirmFactory()
    return IssuedProposalFactory(paper__number="0417-A").paper


@pytest.fixture
def ines():
    return OwnerFactory()


def send(paper, by, **given) -> Message:
    facts = {
        "kind": "proposal",
        "to": "tom@example.com",
        "subject": "Proposal",
        "words": "Here:\n\n{link}",
        "once": ONCE,
    }
    return send_letter(paper=paper, by=by, **facts | given)


def test_a_draft_is_addressed_to_the_customer(paper, ines):
    draft = draft_letter(kind="proposal", paper=paper, by=ines)
    assert (draft.to, draft.subject) == ("priya.wexley@example.com", "Proposal 0417-A: 18 Alder Row")
    assert draft.words.endswith("With kind regards,\nInes Ferrow")


def test_a_proposal_goes_out_with_paper_and_link(paper, ines):
    mail = send(paper, ines)
    assert (mail.state, mail.attach_paper, mail.with_link, mail.to, mail.job) == (
        "waiting", True, True, "tom@example.com", paper.job
    )  # fmt: skip
    assert mail.words == "Here:\n\n{link}"


def test_a_follow_up_has_no_paper_with_it(paper, ines):
    assert not send(paper, ines, kind="follow-up").attach_paper


def test_two_clicks_send_one_mail(paper, ines):
    assert send(paper, ines) == send(paper, ines)
    assert Message.objects.count() == 1


@pytest.mark.parametrize("state", ["accepted", "declined", "taken back", "withdrawn", "expired", "superseded"])
def test_only_what_stands_goes_out(paper, ines, state):
    paper.proposal.state = state
    paper.proposal.save()
    with pytest.raises(NotOut, match=f"0417-A is {state}; nothing was sent"):
        send(paper, ines)
    assert not Message.objects.exists()


def test_sending_again_settles_the_refused_one(paper, ines):
    old = MessageFactory(paper=paper, state="refused", attach_paper=True, with_link=True)
    new = send_again(message=old, to="new@example.com", subject="S", words="{link}", by=ines, once=ONCE)
    old.refresh_from_db()
    assert old.settled_at is not None
    assert (new.to, new.kind, new.attach_paper, new.with_link, new.state) == (
        "new@example.com", "proposal", True, True, "waiting"
    )  # fmt: skip
    assert new.message_id != old.message_id
    assert not Message.objects.refused_and_open().exists()


def test_what_was_withdrawn_is_not_sent_again(paper, ines):
    old = MessageFactory(paper=paper, state="refused")
    paper.proposal.state = "withdrawn"
    paper.proposal.save()
    with pytest.raises(NotOut):
        send_again(message=old, to="new@example.com", subject="S", words="W", by=ines, once=ONCE)


def test_a_refused_mail_may_be_left(paper):
    mail = MessageFactory(paper=paper, state="refused")
    leave_refused(mail)
    assert not Message.objects.refused_and_open().exists()


def test_leaving_a_follow_up_is_in_the_trail(paper, ines):
    leave_follow_up(paper=paper, by=ines)
    event = Event.objects.get()
    assert (event.kind, event.paper, event.actor) == ("follow-up left", paper, ines)
    left = event.at.date()
    assert due_day((1,), sent=left.replace(year=left.year - 1), today=left, handled=left) is None


def test_sent_is_the_first_mail_that_went(paper):
    assert sent_on(paper) == paper.issued_at
    for day in (4, 3):
        MessageFactory(paper=paper, state="sent", sent_at=datetime(2026, 6, day, tzinfo=UTC))
    MessageFactory(paper=paper, state="refused")
    assert sent_on(paper) == datetime(2026, 6, 3, tzinfo=UTC)


def test_who_is_erased_is_in_no_mail_and_gets_none(paper, ines):
    sent = MessageFactory(paper=paper, state="sent", html="<p>Dear Priya</p>")
    waiting = MessageFactory(paper=paper)
    other = MessageFactory(paper__job__number="9999")
    erase_messages(Job.objects.filter(pk=paper.job_id))
    assert (
        list(Message.objects.filter(pk__in=[sent.pk, waiting.pk]).values_list("to", "subject", "text", "html"))
        == [("", "", "", "")] * 2
    )
    assert Message.objects.get(pk=waiting.pk).fault == "Not sent: the person was erased."
    assert not Message.objects.refused_and_open().exists()
    assert lease_next() == other


def test_mails_are_told_to_whom_they_are_about(paper):
    MessageFactory(paper=paper, state="sent")
    assert export_messages(paper.job) == [
        {
            "written_at": "2026-06-01T17:00:00+00:00",
            "kind": "proposal",
            "state": "sent",
            "to": "priya.wexley@example.com",
            "subject": "Proposal",
            "text": "Dear Priya and Tom Wexley",
        }
    ]
