"""The demo is made once, in a database of its own; an interrupted one goes on."""

import pytest

from quoting.models import Event, Job, Option, Paper
from quoting.services.demo import NotTheDemo, demo_people, make_demo, need_demo, new_password
from tests.factories import FirmFactory, UserFactory

PASSWORDS = {person["email"]: f"a password of {person['name']}" for person in demo_people()}


@pytest.mark.django_db
def test_an_interrupted_demo_goes_on_where_it_was(monkeypatch):
    class Pulled(Exception):
        pass

    def say(words: str) -> None:
        if "Alder" in words:
            raise Pulled

    with pytest.raises(Pulled):
        make_demo(passwords=PASSWORDS, say=say)
    # all but 0417-A; its draft is there, and 0418 has not asked yet
    assert (Paper.objects.count(), Job.objects.count(), Event.objects.filter(kind="proposal drafted").count()) == (
        18,
        6,
        7,
    )
    assert make_demo(passwords=PASSWORDS, say=[].append).number == "0417-A"
    assert (Paper.objects.count(), Job.objects.count(), Option.objects.count()) == (19, 7, 12)


@pytest.mark.django_db
@pytest.mark.parametrize("kept", [UserFactory, FirmFactory])
def test_the_database_of_a_firm_is_left_alone(kept):
    kept()
    with pytest.raises(NotTheDemo, match="in use already"):
        need_demo()


def test_passwords_are_long_and_never_the_same():
    made = {new_password() for _ in range(50)}
    assert len(made) == 50
    assert {len(password) for password in made} == {23}  # 4 × 5 letters and 3 hyphens
