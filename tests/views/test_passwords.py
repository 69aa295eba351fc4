"""The pages of a forgotten password: one answer for every address, limits, the second proof, the owner's button."""

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django_otp.plugins.otp_totp.models import TOTPDevice

from quoting.models import Message, User
from quoting.services.links import make_password_link
from tests.factories import CrewFactory, FirmFactory, OwnerFactory, UserFactory

pytestmark = pytest.mark.django_db

NEW = "a quite different password"
LOST = "/password/lost/"


@pytest.fixture
def ines() -> User:
    FirmFactory()
    return OwnerFactory(email="ines@example.com")


def ask(client, email="ines@example.com"):
    return client.post(LOST, {"email": email})


def come_by_link(client, person: User) -> str:
    """The clean address that the mailed link leads to."""
    return client.get(make_password_link(person).removeprefix("http://localhost:8000"))["Location"]


def test_the_door_leads_there(client, ines):
    assert f'href="{LOST}"' in client.get("/sign-in/").content.decode()
    assert "Mail me a link" in client.get(LOST).content.decode()


def test_known_unknown_and_closed_get_the_same_page(client, ines):
    UserFactory(email="gone@example.com", is_active=False)
    pages = [ask(client, email) for email in ("ines@example.com", "nobody@example.com", "gone@example.com")]
    assert [page.status_code for page in pages] == [200, 200, 200]
    assert len({page.content for page in pages}) == 1
    assert [message.to for message in Message.objects.all()] == ["ines@example.com"]


def test_known_and_unknown_write_as_often(client, ines, django_assert_num_queries):
    with django_assert_num_queries(12):
        ask(client)
    with django_assert_num_queries(14):  # two more, which take the mail out again
        ask(client, "nobody@example.com")


@pytest.mark.parametrize("email", ["ines@example.com", "nobody@example.com"])
def test_the_fourth_time_waits_whoever_it_is(client, ines, email):
    answers = [ask(client, email).status_code for _ in range(4)]
    assert answers == [200, 200, 200, 429]
    assert Message.objects.count() == (3 if email == "ines@example.com" else 0)


def test_one_network_address_may_not_ask_for_everybody(client, ines):
    answers = [ask(client, f"n{number}@example.com").status_code for number in range(11)]
    assert answers == [200] * 10 + [429]


def test_no_address_is_no_question(client, ines):
    page = client.post(LOST, {"email": "ines"})
    assert page.context["form"].errors
    assert not Message.objects.exists()


def test_pages_are_kept_by_nobody(client, ines):
    for page in (client.get(LOST), client.get("/password/MQ/abc-def/"), client.get(come_by_link(client, ines))):
        assert (page["Cache-Control"], page["Referrer-Policy"]) == ("no-store", "same-origin")
        assert b"<script" not in page.content


@pytest.mark.parametrize(
    "path", ["MQ/abc-def", "AA/x", "%00/x", "MQ/" + "a" * 300, "LTE/abc", "OTk5OTk5OTk5OTk5OTk5OTk5OTk/x"]
)
def test_a_guessed_link_opens_nothing(client, ines, path):
    page = client.get(f"/password/{path}/", follow=True)
    assert "This link opens nothing." in page.content.decode()


def test_a_bad_password_is_refused_beside_its_field(client, ines):
    path = come_by_link(client, ines)
    short = client.post(path, {"new_password1": "short", "new_password2": "short"})
    differ = client.post(path, {"new_password1": NEW, "new_password2": NEW + "!"})
    assert "at least 15 characters" in str(short.context["form"].errors)
    assert "The two passwords differ." in str(differ.context["form"].errors)
    assert client.post(path, {"new_password1": "x" * 5000, "new_password2": "x" * 5000}).context["form"].errors


def test_a_double_click_sets_it_once_and_says_so_plainly(client, ines):
    path = come_by_link(client, ines)
    typed = {"new_password1": NEW, "new_password2": NEW}
    assert client.post(path, typed)["Location"] == "/sign-in/"
    assert "This link opens nothing." in client.post(path, typed).content.decode()


def test_the_second_proof_is_still_asked_for(client, ines):
    TOTPDevice.objects.create(user=ines, name="Phone", confirmed=True)
    client.post(come_by_link(client, ines), {"new_password1": NEW, "new_password2": NEW})
    signed = client.post("/sign-in/", {"email": ines.email, "password": NEW})
    assert signed["Location"] == "/second-factor/"
    assert client.get("/account/")["Location"] == "/second-factor/"


def test_somebody_signed_in_sets_it_and_is_signed_out(client, ines):
    client.force_login(ines)
    done = client.post(come_by_link(client, ines), {"new_password1": NEW, "new_password2": NEW})
    assert done["Location"] == "/sign-in/"
    assert client.get("/account/").status_code == 302


def test_who_owes_the_second_proof_can_still_follow_the_link(client, ines):
    TOTPDevice.objects.create(user=ines, name="Phone", confirmed=True)
    client.post("/sign-in/", {"email": ines.email, "password": "a long enough password"})
    ines.refresh_from_db()  # the sign-in ended every earlier link
    assert client.get(come_by_link(client, ines)).status_code == 200


def test_a_closed_account_gets_no_new_password(client, ines):
    gone = UserFactory(email="gone@example.com", is_active=False)
    page = client.get(make_password_link(gone).removeprefix("http://localhost:8000"), follow=True)
    assert "This link opens nothing." in page.content.decode()


# the owner's side


def test_the_owner_sends_a_link_to_one_of_his_people(client, ines):
    client.force_login(ines)
    mateo = CrewFactory(email="mateo@example.com", name="Mateo Ruiz")
    page = client.get(f"/firm/people/{mateo.pk}/").content.decode()
    assert "Mail Mateo Ruiz a link" in page
    answer = client.post(f"/firm/people/{mateo.pk}/link/")
    assert answer["Location"] == f"/firm/people/{mateo.pk}/"
    assert [str(said) for said in get_messages(answer.wsgi_request)] == [
        "A link to a new password is on its way to mateo@example.com."
    ]
    assert Message.objects.get().to == "mateo@example.com"
    assert "on its way." in client.get(f"/firm/people/{mateo.pk}/").content.decode()


def test_only_the_owner_may(client, ines):
    client.force_login(UserFactory())
    assert client.post(f"/firm/people/{ines.pk}/link/").status_code == 403
    assert not Message.objects.exists()


def test_somebody_new_without_a_first_password_gets_a_link(client, ines):
    client.force_login(ines)
    typed = {"name": "Mateo Ruiz", "email": "mateo@example.com", "role": "crew", "password": ""}
    client.post("/firm/people/add/", typed)
    mateo = User.objects.get(email="mateo@example.com")
    assert (mateo.has_usable_password(), Message.objects.get().subject) == (
        False, f"Your way into the books of {Message.objects.get().subject.rpartition(' of ')[2]}"
    )  # fmt: skip
    phone = Client()
    phone.post(come_by_link(phone, mateo), {"new_password1": NEW, "new_password2": NEW})
    assert phone.post("/sign-in/", {"email": mateo.email, "password": NEW})["Location"] == "/"
