import pytest

from customers.models import ChangedMeanwhile, Customer
from customers.services import (
    MergeRefused,
    add_customer,
    keep_customer,
    keep_property,
    merge_rows,
    merged_facts,
    refuse_merge,
)
from tests.factories import CustomerFactory, PropertyFactory

pytestmark = pytest.mark.django_db


def test_somebody_is_added_with_a_place_or_without_one():
    with_place = add_customer(person={"name": "Wexley"}, place={"street": "18 Alder Row", "town": ""})
    without = add_customer(person={"name": "Salcedo"}, place={"street": "", "town": "Larkmere"})
    assert [place.street for place in with_place.properties.all()] == ["18 Alder Row"]
    assert not without.properties.exists()


def test_a_second_hand_overwrites_nothing():
    who, place = CustomerFactory(name="Wexley"), PropertyFactory(street="18 Alder Row")
    keep_customer(customer=Customer.objects.get(pk=who.pk), version=1, person={"name": "Wexley & Co"})
    with pytest.raises(ChangedMeanwhile):
        keep_customer(customer=who, version=1, person={"name": "Vexley"})
    with pytest.raises(ChangedMeanwhile):
        keep_property(property=place, version=7, place={"street": "20 Alder Row"})
    who.refresh_from_db()
    place.refresh_from_db()
    assert (who.name, who.version, place.street) == ("Wexley & Co", 2, "18 Alder Row")


def test_the_one_who_stays_takes_over_what_it_has_not():
    stays = CustomerFactory(email="", phone="555-0142", notes="Dog.")
    goes = CustomerFactory(email="tom@example.com", phone="555-0177", post_address="Box 9", notes="Gate code.")
    assert merged_facts(stays, goes) == {
        "email": "tom@example.com",
        "phone": "555-0142",
        "other_phone": "555-0177",
        "post_address": "Box 9",
        "notes": "Dog.\nGate code.",
    }


def test_what_finds_no_place_goes_into_the_notes_so_that_nothing_is_lost():
    stays = CustomerFactory(email="a@example.com", phone="555-0101", other_phone="555-0102", post_address="Box 1")
    goes = CustomerFactory(email="b@example.com", phone="555-0103", other_phone="555-0104", post_address="Box 2")
    assert merged_facts(stays, goes)["notes"] == "Also: 555-0103; 555-0104; b@example.com; Box 2"


def test_merging_moves_places_and_whoever_was_merged_before():
    stays, goes = CustomerFactory(name="Stays"), CustomerFactory(name="Goes")
    older = CustomerFactory(name="Older", merged_into=goes)
    PropertyFactory(customer=goes, street="1 First Lane")
    PropertyFactory(customer=stays, street="2 Second Lane")
    assert merge_rows(stays=stays, goes=goes) == 1
    older.refresh_from_db()
    goes.refresh_from_db()
    assert [place.street for place in stays.properties.all()] == ["1 First Lane", "2 Second Lane"]
    assert (older.merged_into, goes.merged_into) == (stays, stays)


def test_nothing_turns_in_a_circle():
    stays = CustomerFactory(name="Stays")
    goes = CustomerFactory(name="Goes", merged_into=stays)
    for one, other in ((stays, stays), (goes, stays), (stays, goes)):
        with pytest.raises(MergeRefused):
            refuse_merge(one, other)
