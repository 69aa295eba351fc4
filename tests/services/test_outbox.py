"""The outbox against a real mail server: nothing lost, nothing sent by two, refusals final, the rest tried again."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection, transaction
from django.utils import timezone

from quoting.models import Event, Message, PrivateLink
from quoting.services import outbox
from quoting.services.outbox import Passed, lease_next, mark, next_try, send_due, write_message
from tests.factories import FirmFactory, IssuedProposalFactory, MessageFactory, OwnerFactory
from tests.mail_server import MailServer, free_port, running

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def server(settings):
    with running(MailServer()) as server:
        use(settings, server.port)
        yield server


def use(settings, port: int) -> None:
    """Mail goes to the server on this port."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    settings.EMAIL_TIMEOUT = 1


@pytest.fixture
def paper():
    FirmFactory(name="Ferrow & Daughter", email="office@example.com", phone="555-0100")
    return IssuedProposalFactory().paper


def write(paper, **given) -> Message:
    facts = {"kind": "proposal", "to": "priya.wexley@example.com", "subject": "Proposal", "words": "Dear Priya"}
    with transaction.atomic():
        return write_message(paper=paper, **facts | given)


# writing


def test_a_mail_is_written_with_its_change_or_not_at_all(paper):
    with transaction.atomic():
        write_message(kind="proposal", to="a@example.com", subject="x", words="y", paper=paper)
        transaction.set_rollback(True)
    assert not Message.objects.exists()


def test_a_mail_outside_a_transaction_is_refused(paper):
    with pytest.raises(transaction.TransactionManagementError):
        write_message(kind="proposal", to="a@example.com", subject="x", words="y", paper=paper)


def test_the_same_act_writes_one_mail(paper):
    first, second = write(paper, once="ab12"), write(paper, once="ab12", words="Something else")
    assert (first.pk, Message.objects.count()) == (second.pk, 1)
    assert first.message_id == "<ab12@localhost>"


def test_a_subject_is_one_line(paper):
    assert write(paper, subject="Your deck\r\nBcc: all@example.com").subject == "Your deck Bcc: all@example.com"


# sending


def test_a_mail_arrives_whole(server, paper):
    write(
        paper,
        subject="Ihr Hof – größer: 3 × 14′ 6″",
        words="Dear Priya,\n\nhere:\n\n{link}\n\nÇa va?",
        with_link=True,
        attach_paper=True,
    )
    assert send_due() == Passed(sent=1)
    (mail,) = server.taken
    link = PrivateLink.objects.get()
    assert mail["Subject"] == "Ihr Hof – größer: 3 × 14′ 6″"
    assert (mail["From"], mail["To"], mail["Reply-To"]) == (
        'Ferrow & Daughter <office@example.com>', "priya.wexley@example.com", "office@example.com"
    )  # fmt: skip
    plain = mail.get_body(("plain",)).get_content().replace("\r\n", "\n")
    html = mail.get_body(("html",)).get_content()
    (url,) = [line for line in plain.splitlines() if line.startswith("http://localhost:8000/")]
    assert plain.startswith(
        f"Dear Priya,\n\nhere:\n\n{url}\n\nÇa va?\n\n-- \nFerrow & Daughter\n2 Kiln Lane\nLarkmere\n"
    )
    assert html.count(f'href="{url}"') == 2
    assert "Ferrow &amp; Daughter" in html
    assert [part.get_filename() for part in mail.iter_attachments()] == [f"proposal-{paper.number}.pdf"]
    assert [part.get_content() for part in mail.iter_attachments()] == [b"%PDF"]
    assert link.token_sha256 not in plain


def test_the_html_fetches_nothing(server, paper):
    write(paper, words="<img src=https://tracker.example.com/a.png> and {link}", with_link=True)
    send_due()
    html = server.taken[0].get_body(("html",)).get_content()
    assert "<img" not in html
    assert [word for word in ("src=", "url(", "<link", "@import") if word in html.replace("&lt;img src=", "")] == []


def test_the_token_is_kept_nowhere(server, paper):
    message = write(paper, words="{link}", with_link=True)
    send_due()
    url = next(word for word in server.taken[0].get_body(("plain",)).get_content().split() if word.startswith("http"))
    token = url.rstrip("/").rpartition("/")[2]
    message.refresh_from_db()
    assert len(token) == 43  # 32 bytes in base 64 without padding
    kept = [*Message.objects.values_list(), *PrivateLink.objects.values_list(), *Event.objects.values_list()]
    assert not any(token in str(value) for row in kept for value in row)
    assert "{link}" in message.text


def test_sending_is_marked_and_told_to_the_trail(server, paper):
    message = write(paper, by=OwnerFactory())
    send_due()
    message.refresh_from_db()
    assert (message.state, message.attempts, message.fault, message.leased_until) == ("sent", 1, "", None)
    event = Event.objects.get()
    assert (event.kind, event.paper_id, event.job_id) == ("mail sent", paper.pk, paper.job_id)
    assert "priya" not in event.data
    assert send_due() == Passed()


def test_it_also_works_with_files(settings, tmp_path, paper):
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path / "mail"
    write(paper, words="Dear Priya")
    assert send_due() == Passed(sent=1)
    (file,) = (tmp_path / "mail").iterdir()
    assert b"Message-ID: <" in file.read_bytes()


def test_an_offer_that_was_withdrawn_meanwhile_is_not_sent(server, paper):
    message = write(paper)
    paper.proposal.state = "withdrawn"
    paper.proposal.save()
    assert send_due() == Passed(refused=1)
    message.refresh_from_db()
    assert (message.state, message.fault, server.taken) == ("refused", f"Not sent: {paper.number} is withdrawn.", [])


# refusals


@pytest.mark.parametrize(
    ("where", "answer"),
    [
        ("on_recipient", "550 5.1.1 No such mailbox"),
        ("on_recipient", "553 Bad address"),
        ("on_data", "554 Looks like spam"),
    ],
)
def test_a_refusal_is_final_at_once_with_the_servers_words(server, paper, where, answer):
    setattr(server, where, lambda _: answer)
    message = write(paper, words="{link}", with_link=True)
    assert send_due() == Passed(refused=1)
    message.refresh_from_db()
    assert (message.state, message.fault, message.attempts) == ("refused", answer, 1)
    assert (server.taken, PrivateLink.objects.count()) == ([], 0)
    assert Event.objects.get().kind == "mail refused"


def test_one_refusal_holds_up_nobody_else(server, paper):
    server.on_recipient = lambda address: "550 No" if address == "gone@example.com" else "250 OK"
    write(paper, to="gone@example.com")
    write(paper)
    assert send_due() == Passed(sent=1, refused=1)


@pytest.mark.parametrize(
    ("where", "answer"),
    [("on_recipient", "450 Mailbox busy"), ("on_data", "452 Disk full"), ("on_data", "451 Greylisted")],
)
def test_a_not_now_is_tried_again(server, paper, where, answer):
    setattr(server, where, lambda _: answer)
    message = write(paper, words="{link}", with_link=True)
    assert send_due() == Passed(later=1)
    message.refresh_from_db()
    assert (message.state, message.fault, message.attempts) == ("waiting", answer, 1)
    assert timedelta(seconds=55) < message.due_at - timezone.now() < timedelta(seconds=61)
    assert (PrivateLink.objects.count(), send_due()) == (0, Passed())
    setattr(server, where, lambda _: "250 OK")
    Message.objects.update(due_at=timezone.now())
    assert send_due() == Passed(sent=1)
    assert server.ids == [message.message_id]


def test_a_line_that_breaks_after_the_mail_was_taken_gives_the_same_mail_twice(server, paper):
    server.drop_before_answer = True
    message = write(paper, words="{link}", with_link=True)
    assert send_due() == Passed(later=1)
    server.drop_before_answer = False
    Message.objects.update(due_at=timezone.now())
    assert send_due() == Passed(sent=1)
    assert server.ids == [message.message_id, message.message_id]
    assert len({mail["Date"] for mail in server.taken}) == 1
    assert PrivateLink.objects.count() == 2  # the first mail may have arrived, and its link must open


def test_a_server_that_takes_too_long_is_tried_again(server, paper):
    server.delay = 3
    message = write(paper)
    assert send_due() == Passed(later=1)
    message.refresh_from_db()
    assert (message.state, message.attempts) == ("waiting", 1)
    assert message.fault.startswith("The line to the mail server broke: ")


def test_without_a_server_the_pass_ends_and_everything_waits(settings, paper):
    use(settings, free_port())
    write(paper)
    write(paper)
    assert send_due() == Passed(later=1, reached=False)
    assert sorted(Message.objects.values_list("state", "attempts")) == [("waiting", 0), ("waiting", 1)]
    assert Message.objects.get(attempts=1).fault == "The mail server can’t be reached: Connection refused"


def test_a_wrong_password_of_ours_is_no_refusal(settings, server, paper):
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "office", "wrong"
    write(paper)
    assert send_due() == Passed(later=1, reached=False)


# waiting


def test_waits_grow_to_six_hours():
    now = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
    minutes = []
    for attempts in range(1, 12):
        again = next_try(Message(attempts=attempts, written_at=now), now)
        minutes.append((again - now).total_seconds() / 60)
    assert minutes == [1, 2, 4, 8, 16, 32, 64, 128, 256, 360, 360]


def test_after_five_days_it_is_given_up(server, paper):
    server.on_data = lambda _: "451 Later"
    message = write(paper)
    Message.objects.update(written_at=timezone.now() - timedelta(days=4, hours=23, minutes=50), attempts=20)
    assert send_due() == Passed(later=1)
    message.refresh_from_db()
    assert (message.state, message.fault) == ("refused", "451 Later")


# senders


def test_a_lease_keeps_others_away_until_it_runs_out(paper):
    message = write(paper)
    assert lease_next() == message
    assert lease_next() is None
    Message.objects.update(leased_until=timezone.now() - timedelta(seconds=1))
    assert lease_next() == message


def test_who_lost_his_lease_marks_only_what_went(paper):
    write(paper)
    late = lease_next()
    Message.objects.update(leased_until=timezone.now() - timedelta(seconds=1))
    lease_next()
    mark(late, outbox.Outcome(outbox.Came.LATER, "451 Later"))
    assert Message.objects.get().leased_until > timezone.now()
    mark(late, outbox.Outcome(outbox.Came.SENT))
    assert Message.objects.get().state == "sent"


def test_senders_side_by_side_send_each_mail_once(server, paper):
    MessageFactory.create_batch(24, paper=paper, written_at=timezone.now())
    ready = threading.Barrier(4)

    def send() -> None:
        ready.wait()
        try:
            send_due()
        finally:
            connection.close()

    senders = [threading.Thread(target=send) for _ in range(4)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join()
    assert sorted(server.ids) == sorted(Message.objects.values_list("message_id", flat=True))
    assert set(Message.objects.values_list("state", "attempts")) == {("sent", 1)}


def test_it_ends_between_two_mails(server, paper):
    write(paper)
    write(paper)
    assert send_due(stop=lambda: len(server.taken) == 1) == Passed(sent=1)
    assert Message.objects.filter(state="waiting", leased_until=None).count() == 1
