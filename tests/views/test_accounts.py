"""The door, the second proof, your own account, and the people of the firm."""

import time
from urllib.parse import quote

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse
from django_otp.oath import totp
from django_otp.plugins.otp_static.models import StaticDevice
from django_otp.plugins.otp_totp.models import TOTPDevice

from quoting.models import User
from quoting.services import accounts
from tests.factories import CrewFactory, FirmFactory, OwnerFactory, UserFactory

pytestmark = pytest.mark.django_db

PASSWORD = "a long enough password"
ACCOUNT = "/account/"


@pytest.fixture
def ines() -> User:
    FirmFactory()
    return OwnerFactory(email="ines@example.com")


def knock(client, email="ines@example.com", password=PASSWORD, **more):
    return client.post("/sign-in/", {"email": email, "password": password, **more})


def with_phone(user: User) -> TOTPDevice:
    return TOTPDevice.objects.create(user=user, name="Phone", confirmed=True)


def sentence(response) -> str:
    return response.context["form"].non_field_errors()[0]


# the door


def test_a_stranger_is_led_to_the_door_and_back(client, ines):
    response = client.get(ACCOUNT)
    assert response["Location"] == "/sign-in/?next=" + quote(ACCOUNT)
    assert knock(client, next=ACCOUNT)["Location"] == ACCOUNT


def test_the_door_leads_to_no_other_site(client, ines):
    assert knock(client, next="https://elsewhere.example.com/")["Location"] == "/"
    assert knock(client, next="//elsewhere.example.com/")["Location"] == "/"


def test_small_and_capital_letters_of_the_address_are_the_same(client, ines):
    assert knock(client, email="Ines@Example.COM").status_code == 302


def test_unknown_wrong_and_closed_get_the_same_answer(client, ines):
    UserFactory(email="gone@example.com", is_active=False)
    answers = [
        knock(client, email="nobody@example.com"),
        knock(client, password="a wrong long password"),
        knock(client, email="gone@example.com"),
    ]
    assert {(answer.status_code, sentence(answer)) for answer in answers} == {
        (
            200,
            "E-mail and password don’t belong together, or this person may not sign in. Mind capitals; try once more.",
        )
    }


def test_the_eleventh_try_waits_even_with_the_right_password(client, ines):
    for _ in range(10):
        knock(client, password="a wrong long password")
    response = knock(client)
    assert response.status_code == 429
    assert sentence(response).startswith("That was tried too often. Wait ")
    assert "_auth_user_id" not in client.session


def test_unknown_addresses_are_limited_alike(client, ines):
    for _ in range(10):
        knock(client, email="nobody@example.com")
    assert knock(client, email="nobody@example.com").status_code == 429


def test_what_was_typed_is_kept_but_for_the_password(client, ines):
    page = knock(client, password="a wrong long password").content.decode()
    assert 'value="ines@example.com"' in page
    assert "a wrong long password" not in page


def test_damaged_input_gets_an_answer(client, ines):
    assert knock(client, email="\x00" * 9, password="x" * 5000).status_code == 200
    assert client.post("/sign-in/", {}).status_code == 200


def test_the_door_has_no_script(client, ines):
    assert b"<script" not in client.get("/sign-in/").content


def test_the_forwarded_address_counts_only_behind_a_server_of_ours(client, ines, settings):
    settings.BEHIND_PROXY = True
    for _ in range(10):
        client.post(
            "/sign-in/", {"email": "ines@example.com", "password": "x"}, headers={"x-forwarded-for": "1, 192.0.2.1"}
        )
    blocked = client.post(
        "/sign-in/", {"email": "ines@example.com", "password": "x"}, headers={"x-forwarded-for": "2, 192.0.2.1"}
    )
    other = client.post(
        "/sign-in/", {"email": "ines@example.com", "password": "x"}, headers={"x-forwarded-for": "1, 192.0.2.2"}
    )
    assert (blocked.status_code, other.status_code) == (429, 200)


def test_signing_out_needs_a_post(client, ines):
    client.force_login(ines)
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/")["Location"] == "/sign-in/"
    assert client.get(ACCOUNT).status_code == 302


# how long a session lasts


def sit(client, *, began: int, seen: int) -> None:
    """As if this session had begun and been used so many seconds ago."""
    session = client.session
    now = int(time.time())
    session["began"], session["seen"] = now - began, now - seen
    session.save()


@pytest.mark.parametrize(
    ("factory", "began", "seen", "lasts"),
    [
        (OwnerFactory, 3000, 3000, True),
        (OwnerFactory, 3700, 3700, False),  # an hour is 3600 s
        (UserFactory, 43_100, 10, True),  # twelve hours are 43,200 s
        (UserFactory, 43_300, 10, False),
        (CrewFactory, 604_700, 500_000, True),  # a week is 604,800 s
        (CrewFactory, 604_900, 10, False),
    ],
)
def test_a_session_lasts_as_long_as_the_role_allows(client, factory, began, seen, lasts):
    client.force_login(factory())
    sit(client, began=began, seen=seen)
    assert (client.get(ACCOUNT).status_code == 200) is lasts


def test_the_door_says_why_a_session_is_over(client, ines):
    client.force_login(ines)
    sit(client, began=4000, seen=4000)
    response = client.get(ACCOUNT, follow=True)
    assert response.redirect_chain == [("/sign-in/?next=/account/", 302)]
    assert [str(message) for message in response.context["messages"]] == [
        "An hour has passed without a page. Please sign in again."
    ]


def test_reading_pages_writes_no_session_for_five_minutes(client, ines, django_assert_num_queries):
    client.force_login(ines)
    sit(client, began=200, seen=200)
    # session, user, whether a phone is set up, firm
    with django_assert_num_queries(4):
        client.get(ACCOUNT)


# the second proof


def test_without_the_setting_nobody_without_a_phone_is_asked(client, ines):
    assert knock(client)["Location"] == "/"


@pytest.mark.parametrize("factory", [OwnerFactory, UserFactory])
def test_owner_and_office_must_set_up_a_phone_where_it_is_required(client, settings, factory):
    settings.REQUIRE_SECOND_FACTOR = True
    client.force_login(factory())
    assert client.get(ACCOUNT)["Location"] == "/second-factor/"
    assert client.get("/second-factor/")["Location"] == "/second-factor/set-up/"


def test_the_crew_needs_none(client, settings):
    settings.REQUIRE_SECOND_FACTOR = True
    client.force_login(CrewFactory())
    assert client.get(ACCOUNT).status_code == 200


def test_the_phones_code_opens_the_page_that_was_asked_for(client, ines):
    device = with_phone(ines)
    assert knock(client, next=ACCOUNT)["Location"] == "/second-factor/"
    assert client.get(ACCOUNT)["Location"] == "/second-factor/"
    code = f"{totp(device.bin_key):06d}"
    assert client.post("/second-factor/", {"code": f"{code[:3]} {code[3:]}"})["Location"] == ACCOUNT
    assert client.get(ACCOUNT).status_code == 200


def test_a_code_opens_once(client, ines):
    device = with_phone(ines)
    code = f"{totp(device.bin_key):06d}"
    knock(client)
    client.post("/second-factor/", {"code": code})
    client.post("/sign-out/")
    knock(client)
    response = client.post("/second-factor/", {"code": code})
    assert response.context["form"].errors["code"] == [
        "This code isn’t right or was used already. Wait for the next one and type that."
    ]


def test_a_spare_code_opens_once(client, ines):
    with_phone(ines)
    StaticDevice.objects.create(user=ines).token_set.create(token="abcd2345")
    knock(client)
    assert client.post("/second-factor/", {"code": "ABCD2345"})["Location"] == "/"
    client.post("/sign-out/")
    knock(client)
    assert client.post("/second-factor/", {"code": "abcd2345"}).status_code == 200


def test_codes_are_limited(client, ines):
    with_phone(ines)
    knock(client)
    for _ in range(10):
        client.post("/second-factor/", {"code": "000000"})
    assert client.post("/second-factor/", {"code": "000000"}).status_code == 429


def test_a_password_alone_doesnt_set_up_another_phone(client, ines):
    with_phone(ines)
    knock(client)
    assert client.get("/second-factor/set-up/")["Location"] == "/second-factor/"
    assert client.get("/second-factor/picture.svg").status_code == 404


def test_setting_up_shows_picture_and_letters_and_then_spare_codes(client, ines):
    client.force_login(ines)
    page = client.get("/second-factor/set-up/")
    device = accounts.offered_device(ines, client.session["offered_secret"])
    assert page.context["letters"].replace(" ", "") in device.config_url
    picture = client.get("/second-factor/picture.svg")
    assert picture["Content-Type"] == "image/svg+xml"
    assert b"style=" not in picture.content
    assert "no-store" in picture["Cache-Control"]
    done = client.post("/second-factor/set-up/", {"code": f"{totp(device.bin_key):06d}"})
    assert len(done.context["codes"]) == accounts.SPARE_CODES
    assert client.get(ACCOUNT).status_code == 200


# your own account


def test_a_new_password_keeps_this_session_and_ends_the_others(client, ines):
    client.force_login(ines)
    elsewhere = Client()
    elsewhere.force_login(ines)
    new = "another long password"
    response = client.post("/account/password/", {"old": PASSWORD, "new": new, "again": new})
    assert response["Location"] == ACCOUNT
    assert client.get(ACCOUNT).status_code == 200
    assert elsewhere.get(ACCOUNT).status_code == 302
    assert User.objects.get(pk=ines.pk).check_password(new)


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        (
            {"old": "not the password"},
            "old",
            "This is not your password. Mind capitals and the language of the keyboard.",
        ),
        ({"new": "too short 14ch", "again": "too short 14ch"}, "new", None),
        ({"again": "a differing password"}, "again", "The two new passwords differ. Type the new one once more."),
    ],
)
def test_a_bad_new_password_is_refused_beside_its_field(client, ines, typed, field, said):
    client.force_login(ines)
    good = {"old": PASSWORD, "new": "another long password", "again": "another long password"}
    errors = client.post("/account/password/", good | typed).context["form"].errors
    assert list(errors) == [field]
    assert said is None or errors[field] == [said]


def test_signing_out_everywhere_asks_once_and_ends_all(client, ines):
    client.force_login(ines)
    elsewhere = Client()
    elsewhere.force_login(ines)
    assert "this one included" in client.get("/account/sign-out-everywhere/").content.decode()
    assert elsewhere.get(ACCOUNT).status_code == 200
    client.post("/account/sign-out-everywhere/")
    assert [c.get(ACCOUNT).status_code for c in (client, elsewhere)] == [302, 302]


# the people of the firm


@pytest.mark.parametrize("factory", [UserFactory, CrewFactory])
def test_only_the_owner_sees_the_people(client, factory):
    FirmFactory()
    client.force_login(factory())
    assert [client.get(path).status_code for path in ("/firm/people/", "/firm/people/add/", "/firm/people/1/")] == [
        403
    ] * 3


def test_the_list_costs_the_same_whatever_its_length(client, ines, django_assert_num_queries):
    client.force_login(ines)
    for _ in range(3):
        # session, user, people, firm
        with django_assert_num_queries(4):
            client.get("/firm/people/")
        CrewFactory()


def test_the_owner_lets_somebody_in(client, ines):
    client.force_login(ines)
    typed = {"name": "Mateo Ruiz", "email": "Mateo@example.com", "role": "crew", "password": PASSWORD}
    response = client.post("/firm/people/add/", typed)
    assert response["Location"] == "/firm/people/"
    assert [str(message) for message in get_messages(response.wsgi_request)] == ["Mateo Ruiz may sign in as crew."]
    assert knock(Client(), email="mateo@example.com")["Location"] == "/"


def test_a_taken_address_is_refused_with_the_reason(client, ines):
    client.force_login(ines)
    typed = {"name": "Ines", "email": "INES@example.com", "role": "crew", "password": PASSWORD}
    assert client.post("/firm/people/add/", typed).context["form"].errors == {
        "email": ["Somebody of the firm has this address already. Each person needs his own."]
    }


def test_the_only_owner_cant_shut_himself_out(client, ines):
    client.force_login(ines)
    typed = {"name": ines.name, "email": ines.email, "role": "office", "is_active": "on", "password": ""}
    response = client.post(f"/firm/people/{ines.pk}/", typed)
    assert sentence(response) == "This is the only owner who can sign in. Make someone else an owner first."
    assert client.get("/firm/people/").status_code == 200


def test_somebody_shut_out_is_out_at_once(client, ines):
    mateo = CrewFactory()
    phone = Client()
    phone.force_login(mateo)
    client.force_login(ines)
    client.post(f"/firm/people/{mateo.pk}/", {"name": mateo.name, "email": mateo.email, "role": "crew", "password": ""})
    assert phone.get(ACCOUNT).status_code == 302


# what every page carries


def test_the_crews_mast_has_no_word_that_leads_to_money(client):
    client.force_login(CrewFactory())
    words = {item.word for item in client.get(ACCOUNT).context["mast"]}
    assert words <= {"Desk", "Folders"}


@pytest.mark.parametrize(
    "name", ["sign-in", "account", "change-password", "sign-out-everywhere", "second-factor-set-up"]
)
def test_pages_have_no_inline_style_or_script(client, ines, name):
    if name != "sign-in":
        client.force_login(ines)
    response = client.get(reverse(name))
    page = response.content.decode()
    assert response.status_code == 200
    assert " style=" not in page
    assert "<style" not in page
    assert page.count("<script") == page.count("<script src=") + page.count("<script defer src=") + page.count(
        '<script type="application/json"'
    )
    assert "default-src 'none'" in response["Content-Security-Policy"]


def test_a_page_that_isnt_there_stands_in_the_look(client, ines):
    response = client.get("/nothing/here/")
    assert response.status_code == 404
    assert "No page of yours stands at this address" in response.content.decode()


def test_there_is_no_administration_beside_the_rooms(client, ines):
    client.force_login(ines)
    assert client.get("/admin/").status_code == 404
    assert client.get("/admin/login/").status_code == 404
