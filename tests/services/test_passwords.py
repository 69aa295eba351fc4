"""A forgotten password: the link by mail, once, for an hour, through a real mail server."""

import re
from datetime import timedelta

import pytest
from django.contrib.auth.tokens import default_token_generator
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone

from quoting.models import Event, Message, User
from quoting.services import passwords
from quoting.services.links import make_password_link
from quoting.services.outbox import Passed, send_due
from tests.factories import FirmFactory, OwnerFactory, UserFactory
from tests.mail_server import MailServer, running

pytestmark = pytest.mark.django_db(transaction=True)

NEW = "a quite different password"
ADDRESS = re.compile(r"http://localhost:8000(/password/\S+/)")


@pytest.fixture
def server(settings):
    with running(MailServer()) as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
        settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
        settings.EMAIL_TIMEOUT = 1
        yield server


@pytest.fixture
def ines() -> User:
    FirmFactory(name="Ferrow & Daughter")
    return OwnerFactory(email="ines@example.com", name="Ines Ferrow")


def link_in(mail) -> str:
    """The address that the mail leads to, without the site's own."""
    plain = mail.get_body(("plain",)).get_content()
    (path,) = ADDRESS.findall(plain)
    return str(path)


def test_the_mail_leads_to_the_page_of_a_new_password(server, ines):
    passwords.ask_password_link("INES@example.com")
    assert send_due() == Passed(sent=1)
    (mail,) = server.taken
    assert (mail["To"], mail["Subject"]) == ("ines@example.com", "A new password")
    html = mail.get_body(("html",)).get_content()
    assert "Set a new password" in html
    assert link_in(mail) in html
    assert "asked for a new password at Ferrow & Daughter" in mail.get_body(("plain",)).get_content()


def test_the_way_in_stands_in_no_row(server, ines):
    passwords.ask_password_link("ines@example.com")
    send_due()
    kept = Message.objects.get()
    assert "{link}" in kept.text
    assert ADDRESS.search(kept.text + kept.html) is None


def test_an_address_that_nobody_has_leaves_nothing_behind(server, ines):
    passwords.ask_password_link("nobody@example.com")
    assert (send_due(), Message.objects.count(), server.taken) == (Passed(), 0, [])


def test_who_may_not_sign_in_gets_no_link(ines):
    UserFactory(email="gone@example.com", is_active=False)
    passwords.ask_password_link("gone@example.com")
    assert not Message.objects.exists()


def test_an_account_that_was_closed_while_the_mail_waited_gets_none_either(server, ines):
    passwords.ask_password_link("ines@example.com")
    User.objects.update(is_active=False)
    assert send_due() == Passed(refused=1)
    assert Message.objects.get().fault == "Not sent: nobody who may sign in has this address."
    assert server.taken == []


def test_a_mail_that_is_sent_again_to_another_address_opens_nobody_elses_account(server, ines):
    """Who may send a refused mail again can't turn somebody's link to himself: it is made for who has the address."""
    office = UserFactory(email="office@example.com")
    passwords.ask_password_link("ines@example.com")
    Message.objects.update(to="office@example.com")
    send_due()
    client = Client()
    page = client.get(link_in(server.taken[0]), follow=True)
    assert page.context["form"].user == office


def test_a_refused_address_is_told_to_the_owner(server, ines):
    server.on_recipient = lambda address: "550 no such mailbox"
    passwords.send_password_link(person=ines, by=ines)
    assert send_due() == Passed(refused=1)
    assert passwords.last_link(ines).fault == "550 no such mailbox"


def test_the_whole_way_through_the_mail(server, ines):
    there = Client()
    there.force_login(ines)
    passwords.ask_password_link("ines@example.com")
    send_due()
    client, path = Client(), link_in(server.taken[0])
    page = client.get(path)
    assert page["Location"].endswith("/set-password/")
    done = client.post(page["Location"], {"new_password1": NEW, "new_password2": NEW})
    assert done["Location"] == "/sign-in/"
    assert User.objects.get().check_password(NEW)
    # every session of his is over, and nobody was let in by it
    assert there.get("/account/").status_code == 302
    assert client.get("/account/").status_code == 302
    # a mail tells him, and the link is worth nothing any more
    send_due()
    assert [mail["Subject"] for mail in server.taken] == ["A new password", "Your password was changed"]
    assert "This link opens nothing." in Client().get(path, follow=True).content.decode()
    assert Event.objects.filter(kind="password set by link", actor=ines).count() == 1


def test_a_link_works_for_an_hour(ines, settings):
    path = make_password_link(ines).removeprefix(settings.SITE_ADDRESS)
    later = timezone.now() + timedelta(seconds=settings.PASSWORD_RESET_TIMEOUT + 1)

    class Later(type(default_token_generator)):
        def _now(self):
            return later.replace(tzinfo=None)

    token = path.rstrip("/").rsplit("/", 1)[1]
    assert default_token_generator.check_token(ines, token)
    assert not Later().check_token(ines, token)


@pytest.mark.parametrize("change", [{"password": "x"}, {"email": "other@example.com"}, {"last_login": timezone.now()}])
def test_a_new_password_another_address_or_a_sign_in_ends_a_link(ines, change):
    token = make_password_link(ines).rstrip("/").rsplit("/", 1)[1]
    User.objects.update(**change)
    assert not default_token_generator.check_token(User.objects.get(), token)


def test_somebody_new_is_greeted_by_name_and_by_who_let_him_in(server, ines):
    mateo = User.objects.create_user("mateo@example.com", None, name="Mateo {link} Ruiz", role="crew")
    passwords.send_password_link(person=mateo, by=ines)
    send_due()
    (mail,) = server.taken
    plain = mail.get_body(("plain",)).get_content()
    assert "Dear Mateo  Ruiz," in plain
    assert "Ines Ferrow has let you in at Ferrow & Daughter." in plain
    assert len(ADDRESS.findall(plain)) == 1


def test_nobody_without_access_is_sent_one_by_the_owner(ines):
    gone = UserFactory(name="Lee", is_active=False)
    with pytest.raises(passwords.MayNotSignIn, match=r"^Lee may not sign in, so no link was sent"):
        passwords.send_password_link(person=gone, by=ines)


def test_sessions_of_others_stay(ines):
    other = Client()
    other.force_login(UserFactory())
    passwords.set_password_by_link(person=ines, password=NEW)
    assert Session.objects.count() == 1
    assert other.get("/account/").status_code == 200
