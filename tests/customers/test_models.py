import pytest

from customers.models import Customer, digits_of, same_number
from tests.factories import CustomerFactory, PropertyFactory

pytestmark = pytest.mark.django_db


def names(found) -> list[str]:
    return [each.name for each in found]


@pytest.mark.parametrize("typed", ["555-0142", "(555) 0142", "555.0142", " 555 0142", "+5550142"])
def test_only_the_digits_of_a_number_count(typed):
    assert digits_of(typed) == "5550142"


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("555-0142", "+1 (604) 555-0142", True),
        ("604 555 0142", "1-604-555-0142", True),
        ("555-0142", "555-0143", False),
        ("604 555 0142", "416 555 0142", False),
        ("0142", "555-0142", False),
        ("", "", False),
    ],
)
def test_a_number_without_its_area_code_may_be_the_same(one, other, same):
    assert same_number(one, other) is same
    assert same_number(other, one) is same


def test_a_number_is_found_however_either_was_typed():
    CustomerFactory(name="Wexley", phone="(604) 555-0142")
    CustomerFactory(name="Salcedo", phone="", other_phone="555.0143")
    CustomerFactory(name="Haddad", phone="416-555-0142")
    assert names(Customer.objects.with_number("604 5550142")) == ["Wexley"]
    assert names(Customer.objects.with_number("555 0142", "5550143")) == ["Haddad", "Salcedo", "Wexley"]
    assert names(Customer.objects.with_number("", "12")) == []


def test_every_word_must_be_found_somewhere():
    wexley = CustomerFactory(name="Priya and Tom Wexley", phone="(604) 555-0142", email="priya@example.com")
    PropertyFactory(customer=wexley, street="18 Alder Row", town="Larkmere")
    PropertyFactory(customer=wexley, street="3 Alder Row", town="Larkmere")
    CustomerFactory(name="Tom Salcedo", phone="", email="")
    for words in ("tom wexley", "alder", "priya larkmere", "6045550142", "555-0142", "PRIYA@"):
        assert names(Customer.objects.found_by(words)) == ["Priya and Tom Wexley"], words
    assert names(Customer.objects.found_by("tom")) == ["Priya and Tom Wexley", "Tom Salcedo"]
    assert names(Customer.objects.found_by("tom nobody")) == []


@pytest.mark.parametrize("words", ["%", "_", "'; --", "\\", "1 2 3 4 5 6 7 8 9 10", "🙂"])
def test_a_search_takes_any_words_as_words(words):
    CustomerFactory()
    assert names(Customer.objects.found_by(words)) == []
