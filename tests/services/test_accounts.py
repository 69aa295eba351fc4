"""The acts on accounts."""

from threading import Thread

import pytest
from django.db import connections
from django_otp.oath import totp
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from quoting.models import Attempts, Role, User
from quoting.services import accounts
from tests.factories import CrewFactory, OwnerFactory, UserFactory

LONG = "four words and a comma"


@pytest.mark.django_db
def test_the_eleventh_try_in_a_quarter_of_an_hour_is_refused():
    for _ in range(10):
        accounts.count_attempt("account and address", "ines@example.com", "192.0.2.1")
    with pytest.raises(accounts.TooManyTries) as refused:
        accounts.count_attempt("account and address", "ines@example.com", "192.0.2.1")
    assert 1 <= refused.value.minutes <= 15
    accounts.count_attempt("account and address", "ines@example.com", "192.0.2.2")  # another address still may


@pytest.mark.django_db
def test_a_try_is_counted_by_one_statement(django_assert_num_queries):
    with django_assert_num_queries(1):
        accounts.count_attempt("address", "192.0.2.1")


@pytest.mark.django_db
def test_what_is_counted_doesnt_tell_whose_it_is():
    accounts.count_attempt("account", "ines@example.com")
    assert "ines" not in Attempts.objects.get().key


@pytest.mark.django_db
def test_a_success_starts_the_count_again_and_drops_what_is_over():
    Attempts.objects.create(key="account:old", window=1, count=9)
    accounts.count_attempt("account", "ines@example.com")
    accounts.forget_attempts("account", "ines@example.com")
    assert not Attempts.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_tries_at_the_same_moment_are_all_counted():
    def try_it() -> None:
        try:
            for _ in range(5):
                accounts.count_attempt("address", "192.0.2.9")
        finally:
            connections.close_all()

    threads = [Thread(target=try_it) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sum(Attempts.objects.values_list("count", flat=True)) == 20  # 4 × 5


@pytest.mark.django_db
def test_ending_sessions_spares_others_and_the_one_named(client):
    ines, maribel = OwnerFactory(), UserFactory()
    keys = {}
    for name, user in (("phone", ines), ("desk", ines), ("other", maribel)):
        client.cookies.clear()
        client.force_login(user)
        keys[name] = client.session.session_key
    assert accounts.end_sessions(ines, but=keys["desk"]) == 1
    left = set(client.session.model.objects.values_list("pk", flat=True))
    assert keys["phone"] not in left
    assert {keys["desk"], keys["other"]} <= left


@pytest.mark.django_db
def test_a_person_is_added_in_small_letters_and_the_crew_has_no_administration():
    person = accounts.add_person(name="Mateo", email="Mateo@Example.com", role=Role.CREW, password=LONG)
    assert (person.email, person.role, person.is_staff, person.check_password(LONG)) == (
        "mateo@example.com",
        "crew",
        False,
        True,
    )


@pytest.mark.django_db
def test_the_last_owner_can_neither_step_down_nor_be_shut_out():
    ines = OwnerFactory()
    OwnerFactory(is_active=False)
    for role, active in ((Role.OFFICE, True), (Role.OWNER, False)):
        with pytest.raises(accounts.LastOwner):
            accounts.edit_person(person=ines, name=ines.name, email=ines.email, role=role, is_active=active)
    ines.refresh_from_db()
    assert (ines.role, ines.is_active) == ("owner", True)


@pytest.mark.django_db
def test_one_of_two_owners_may_step_down():
    ines, _ = OwnerFactory(), OwnerFactory()
    kept = accounts.edit_person(person=ines, name="Ines", email=ines.email, role=Role.OFFICE, is_active=True)
    assert (kept.role, kept.is_staff) == ("office", False)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "change",
    [{"role": Role.CREW}, {"is_active": False}, {"password": "another long one!"}, {"forget_factor": True}],
    ids=["role", "access", "password", "factor"],
)
def test_losing_something_ends_the_persons_sessions(client, change):
    OwnerFactory()
    maribel = UserFactory()
    client.force_login(maribel)
    as_it_is = {"name": maribel.name, "email": maribel.email, "role": maribel.role, "is_active": True}
    accounts.edit_person(person=maribel, **(as_it_is | change))
    assert not client.session.model.objects.exists()


@pytest.mark.django_db
def test_another_name_leaves_the_sessions_alone(client):
    OwnerFactory()
    maribel = UserFactory()
    client.force_login(maribel)
    accounts.edit_person(person=maribel, name="Maribel O.", email=maribel.email, role=maribel.role, is_active=True)
    assert client.session.model.objects.count() == 1


SECRET = "00112233445566778899aabbccddeeff00112233"


def code_of(device: TOTPDevice) -> str:
    return f"{totp(device.bin_key):06d}"


@pytest.mark.django_db
def test_a_phone_counts_only_after_a_code_from_it():
    ines = OwnerFactory()
    assert accounts.confirm_device(user=ines, secret=SECRET, code="not it") is None
    assert not accounts.has_second_factor(ines)
    assert not TOTPDevice.objects.exists()


@pytest.mark.django_db
def test_a_confirmed_phone_brings_ten_spare_codes_and_replaces_the_old_one():
    ines = OwnerFactory()
    old = TOTPDevice.objects.create(user=ines, name="Old phone", confirmed=True)
    code = code_of(accounts.offered_device(ines, SECRET))
    taken = accounts.confirm_device(user=ines, secret=SECRET, code=code)
    assert taken is not None
    assert len(set(taken[1])) == 10
    assert set(StaticToken.objects.filter(device__user=ines).values_list("token", flat=True)) == set(taken[1])
    assert list(TOTPDevice.objects.filter(user=ines).values_list("key", "confirmed")) == [(SECRET, True)]
    assert old.key != SECRET


@pytest.mark.django_db
def test_a_changed_password_ends_every_session_but_this_one(client):
    mateo = CrewFactory()
    client.force_login(mateo)
    here = client.session.session_key
    client.cookies.clear()
    client.force_login(mateo)
    accounts.change_password(user=mateo, password=LONG, keep_session=here)
    assert list(client.session.model.objects.values_list("pk", flat=True)) == [here]
    assert User.objects.get(pk=mateo.pk).check_password(LONG)
