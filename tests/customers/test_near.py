import pytest

from customers.near import near_people
from tests.factories import CustomerFactory, PropertyFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def wexley():
    who = CustomerFactory(name="P. Wexley", email="priya@example.com", phone="555-0142", other_phone="555-0199")
    PropertyFactory(customer=who, street="18 Alder Row", town="Larkmere")
    return who


def told(**typed) -> list[tuple[str, str]]:
    return [(each.field, each.sentence) for each in near_people(**typed)]


def test_the_same_e_mail_in_capitals_is_the_same(wexley):
    assert told(email="Priya@Example.com") == [("email", "This e-mail belongs to P. Wexley already.")]


def test_the_same_digits_are_said_beside_the_number_that_has_them(wexley):
    assert told(phone="(555) 0142") == [("phone", "This number belongs to P. Wexley already.")]
    assert told(phone="555-0100", other_phone="555 0199") == [
        ("other_phone", "This number belongs to P. Wexley already.")
    ]


def test_the_same_street_is_the_same_unless_the_towns_differ(wexley):
    same = [("street", "18 Alder Row belongs to P. Wexley already.")]
    assert told(street="18  alder row") == same
    assert told(street="18 Alder Row", town="larkmere") == same
    assert told(street="18 Alder Row", town="Farmere") == []


def test_nobody_is_near_himself_or_one_who_is_gone(wexley):
    assert near_people(email="priya@example.com", street="18 Alder Row", but=wexley.pk) == []
    stays = CustomerFactory(name="Other", email="", phone="")
    wexley.merged_into = stays
    wexley.save()
    assert told(email="priya@example.com", street="18 Alder Row") == []


def test_nothing_typed_is_near_nobody(wexley):
    CustomerFactory(email="", phone="")
    assert told() == []
