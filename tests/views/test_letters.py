"""Pages of letters: read over, sent once, seen on the folder, sent again; none waits for a mail server."""

from __future__ import annotations

import time

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from quoting.models import Event, Message
from tests.factories import CrewFactory, FirmFactory, IssuedProposalFactory, MessageFactory, OwnerFactory
from tests.mail_server import MailServer, running
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(client):
    FirmFactory()
    owner = OwnerFactory()
    client.force_login(owner)
    return client


@pytest.fixture
def paper():
    return IssuedProposalFactory(paper__number="0417-A", job__number="0417").paper


def typed(client, url: str, **changes: str) -> dict:
    return sent_from(client.get(url)) | changes


def test_the_letter_is_there_to_be_read_over(ines, paper):
    blanks = typed(ines, "/papers/0417-A/send/")
    assert (blanks["to"], blanks["subject"]) == ("priya.wexley@example.com", "Proposal 0417-A: 18 Alder Row")
    assert "\n\n{link}\n\n" in blanks["words"]
    assert not Message.objects.exists()


def test_what_was_edited_is_what_is_sent(ines, paper):
    blanks = typed(ines, "/papers/0417-A/send/", to="tom@example.com", subject="Your deck", words="Look:\n\n{link}")
    page = ines.post("/papers/0417-A/send/", blanks, follow=True)
    assertContains(page, "On its way to tom@example.com.")
    mail = Message.objects.get()
    assert (mail.to, mail.subject, mail.words, mail.kind, mail.attach_paper) == (
        "tom@example.com", "Your deck", "Look:\n\n{link}", "proposal", True
    )  # fmt: skip


def test_a_second_click_sends_nothing_more(ines, paper):
    blanks = typed(ines, "/papers/0417-A/send/")
    for _ in range(2):
        ines.post("/papers/0417-A/send/", blanks)
    assert Message.objects.count() == 1


def test_a_second_letter_is_said_to_be_one(ines, paper):
    MessageFactory(paper=paper, state="sent", sent_at=paper.issued_at)
    assertContains(ines.get("/papers/0417-A/send/"), "Sent once already,")


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (
            {"words": "No place for it"},
            "Nothing says where the private link is to stand. Write {link} on a line of its own.",
        ),
        ({"subject": "{link}"}, "The link can’t stand in a subject. Take {link} out of it."),
        ({"to": "tom at example"}, "Enter a valid email address."),
        ({"words": "{link} {link} {link} {link}"}, "{link} stands there 4 times; once is enough."),
        ({"words": "x" * 10_001 + "{link}"}, "Ensure this value has at most 10000 characters"),
    ],
)
def test_what_can_not_be_sent_is_said_beside_its_field(ines, paper, changes, sentence):
    page = ines.post("/papers/0417-A/send/", typed(ines, "/papers/0417-A/send/", **changes))
    assert page.status_code == 422
    assertContains(page, sentence, status_code=422)
    assert not Message.objects.exists()


def test_a_forged_act_is_refused(ines, paper):
    page = ines.post("/papers/0417-A/send/", typed(ines, "/papers/0417-A/send/", once="x@evil.example.com>"))
    assert (page.status_code, Message.objects.count()) == (422, 0)


def test_what_does_not_stand_is_not_sent(ines, paper):
    blanks = typed(ines, "/papers/0417-A/send/")
    paper.proposal.state = "withdrawn"
    paper.proposal.save()
    assertContains(ines.post("/papers/0417-A/send/", blanks, follow=True), "0417-A is withdrawn; nothing was sent.")
    assert not Message.objects.exists()


def test_a_follow_up_may_be_left(ines, paper):
    assertContains(ines.get("/papers/0417-A/follow-up/"), "Don’t write this time")
    ines.post("/papers/0417-A/follow-up/leave/")
    assert Event.objects.get().kind == "follow-up left"


def test_a_follow_up_goes_out_when_it_is_sent_and_not_before(ines, paper):
    blanks = typed(ines, "/papers/0417-A/follow-up/")
    assert not Message.objects.exists()
    ines.post("/papers/0417-A/follow-up/", blanks)
    assert (Message.objects.get().kind, Message.objects.get().attach_paper) == ("follow-up", False)


def test_the_folder_shows_what_was_refused_and_why(ines, paper):
    mail = MessageFactory(paper=paper, state="refused", fault="550 5.1.1 No such mailbox")
    page = ines.get("/folders/0417/")
    assertContains(page, "550 5.1.1 No such mailbox")
    assertContains(page, f'href="/mails/{mail.pk}/again/"')


def test_sending_again_takes_a_mended_address(ines, paper):
    mail = MessageFactory(paper=paper, state="refused", text="Look:\n\n{link}\n\n-- \nThe firm", with_link=True)
    blanks = typed(ines, f"/mails/{mail.pk}/again/", to="new@example.com")
    assert blanks["words"] == "Look:\n\n{link}"
    ines.post(f"/mails/{mail.pk}/again/", blanks)
    assert Message.objects.get(state="waiting").to == "new@example.com"
    assertNotContains(ines.get("/folders/0417/"), "Send it again")


def test_a_refused_mail_may_be_left(ines, paper):
    mail = MessageFactory(paper=paper, state="refused")
    ines.post(f"/mails/{mail.pk}/leave/")
    mail.refresh_from_db()
    assert mail.settled_at is not None


def test_a_mail_that_nobody_fetches_says_so(ines, paper):
    mail = MessageFactory(paper=paper)  # due since June, never tried
    for page in ("/folders/0417/", f"/mails/{mail.pk}/"):
        assertContains(ines.get(page), "No sender has come by.")


@pytest.mark.parametrize("state", ["waiting", "sent", "refused"])
def test_a_mail_has_a_page_in_every_state(ines, paper, state):
    mail = MessageFactory(
        paper=paper, state=state, sent_at=paper.issued_at if state == "sent" else None, fault="451 Later"
    )
    assertContains(ines.get(f"/mails/{mail.pk}/"), "Dear Priya and Tom Wexley")


@pytest.mark.parametrize(
    "path", ["papers/0417-A/send/", "papers/0417-A/follow-up/", "mails/{pk}/", "mails/{pk}/again/"]
)
def test_the_crew_sees_no_mail(client, paper, path):
    client.force_login(CrewFactory())
    assert client.get("/" + path.format(pk=MessageFactory(paper=paper).pk)).status_code == 403


@pytest.mark.parametrize("rows", [1, 3])
def test_the_folder_asks_for_its_mail_once(ines, paper, rows, django_assert_num_queries):
    from quoting.views.mails import mails_of  # counted alone: the rest of the page is counted in test_jobs.py

    MessageFactory.create_batch(rows, paper=paper)
    with django_assert_num_queries(1):
        listed = mails_of(job=paper.job)["mails"]
        assert [mail.paper.number for mail in listed] == ["0417-A"] * rows


def test_a_mail_server_that_never_answers_slows_no_page(ines, paper, settings):
    with running(MailServer(delay=30)) as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS = "127.0.0.1", server.port, False
        blanks = typed(ines, "/papers/0417-A/send/")
        began = time.monotonic()
        ines.post("/papers/0417-A/send/", blanks, follow=True)
        ines.get("/folders/0417/")
        took = time.monotonic() - began
    assert server.connections == 0
    assert took < 5  # seconds; the server would have taken thirty
