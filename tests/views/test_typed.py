"""A form that is sent after its session ran out is not lost."""

import re

import pytest
from django.test import Client

from customers.models import Customer
from quoting.views.typed import seal, unseal
from tests.factories import CustomerFactory, FirmFactory, OwnerFactory

pytestmark = pytest.mark.django_db

PASSWORD = "nine brown pavers in a row"
KNOCK = {"email": "ines@example.com", "password": PASSWORD}
TYPED = {"name": "Ada & Tom <Penhallow>", "version": "1", "initial-name": "Ada", "notes": "The gate\nsticks."}


@pytest.fixture(autouse=True)
def ines():
    FirmFactory()
    return OwnerFactory(email="ines@example.com", password=PASSWORD)


def hidden(page: str, name: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    return found[1] if found else ""


def test_what_was_typed_comes_back_after_signing_in_and_is_sent_by_hand(client):
    ada = CustomerFactory(name="Ada")
    address = f"/people/{ada.pk}/edit/"
    door = client.post(address, TYPED)
    assert (door.status_code, "What you typed is kept" in door.content.decode()) == (401, True)
    answer = client.post("/sign-in/", KNOCK | {"typed": hidden(door.content.decode(), "typed")})
    assert answer["Location"] == "/typed/"
    page = client.get("/typed/").content.decode()
    assert f'action="{address}"' in page
    assert 'name="name" value="Ada &amp; Tom &lt;Penhallow&gt;"' in page
    assert "<li>The gate<br>sticks.</li>" in page
    assert Customer.objects.get().name == "Ada"  # nothing is sent by itself
    posted = client.get("/typed/").context["posted"]
    assert posted.dict() == TYPED


def test_a_wrong_password_loses_nothing(client):
    door = client.post("/folders/new/", {"street": "9 Fern Way"}).content.decode()
    again = client.post("/sign-in/", KNOCK | {"password": "not this one, surely", "typed": hidden(door, "typed")})
    assert unseal(hidden(again.content.decode(), "typed"))[1].dict() == {"street": "9 Fern Way"}


def test_a_form_of_passwords_is_not_kept(client):
    assert (
        client.post("/account/password/", {"old": "a", "new": "b"})["Location"] == "/sign-in/?next=/account/password/"
    )


def test_what_we_did_not_seal_is_not_opened(client, rf):
    sealed = seal(rf.post("/folders/new/", {"street": "9 Fern Way"}))
    assert unseal(sealed[:-1]) is None
    assert client.post("/sign-in/", KNOCK | {"typed": sealed[:-1]})["Location"] == "/"


def test_a_very_long_form_is_not_kept(rf, monkeypatch):
    monkeypatch.setattr("quoting.views.typed.LONGEST", 100)
    assert seal(rf.post("/folders/new/", {"asked": "".join(map(chr, range(33, 400)))})) == ""


def test_an_open_page_stays_when_a_live_figure_finds_the_session_over(client):
    assert client.post("/folders/", headers={"hx-request": "true"}).status_code == 401


def test_without_anything_typed_the_page_leads_on(client, ines):
    client.force_login(ines)
    assert client.get("/typed/")["Location"] == "/"


@pytest.mark.parametrize(("origin", "kept"), [("http://testserver", True), ("https://example.com", False), ("", False)])
def test_a_form_of_an_earlier_session_is_shown_again_only_where_the_browser_says_it_is_ours(ines, origin, kept):
    client = Client(enforce_csrf_checks=True)
    client.force_login(ines)
    headers = {"origin": origin} if origin else {}
    answer = client.post("/folders/new/", {"street": "9 Fern Way"}, headers=headers)
    assert (answer.status_code, "Send it now" in answer.content.decode()) == (403, kept)
