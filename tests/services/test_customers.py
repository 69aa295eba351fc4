import json

import pytest

from customers.models import ChangedMeanwhile, Customer, Property
from customers.services import MergeRefused
from quoting.models import Area, Event, Job, Paper, Question
from quoting.services import customers as acts
from quoting.services.trail import walk_chain
from tests.factories import (
    AgreedAreaFactory,
    CustomerFactory,
    IssuedProposalFactory,
    JobFactory,
    PartFactory,
    PropertyFactory,
    ProposalFactory,
    QuestionFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

SECRETS = ["Wexley", "priya", "555-0142", "555-0199", "Alder", "Box 9", "Dog", "Gate", "grey", "Mrs"]


@pytest.fixture
def wexley() -> Customer:
    return CustomerFactory(
        name="Priya Wexley", email="priya@example.com", phone="555-0142", other_phone="555-0199",
        post_address="Box 9", notes="Dog.",
    )  # fmt: skip


def folder(who: Customer, **more) -> Job:
    place = PropertyFactory(customer=who, street="18 Alder Row", access="Gate code.")
    job = JobFactory(property=place, asked="It is grey now.", wanted_by="Mrs Wexley's party", **more)
    AgreedAreaFactory(job=job, note="Dog in the yard.")
    return job


def everything_kept() -> str:
    """All words of people, places, folders, areas and trail, in one text."""
    rows = [Customer, Property, Job, Area, Event]
    return json.dumps([list(row.objects.values()) for row in rows], default=str)


def left_of(words: list[str]) -> list[str]:
    kept = everything_kept()
    return [word for word in words if word in kept]


# merging


def merge(stays: Customer, goes: Customer, version: int = 1, goes_version: int = 1) -> Customer:
    return acts.merge_customers(by=UserFactory(), stays=stays, version=version, goes=goes, goes_version=goes_version)


def test_a_merge_is_told_in_the_trail_without_a_name(wexley):
    stays = CustomerFactory(name="P. Wexley")
    PropertyFactory(customer=wexley)
    merge(stays, wexley)
    assert list(Event.objects.values_list("kind", "data")) == [
        ("people merged", f'{{"from":{wexley.pk},"into":{stays.pk},"properties":1}}')
    ]
    assert list(walk_chain()) == []


def test_a_merge_that_is_refused_leaves_everything_as_it_was(wexley):
    with pytest.raises(MergeRefused):
        merge(wexley, wexley)
    stays = CustomerFactory()
    merge(stays, wexley)
    with pytest.raises(MergeRefused):
        merge(wexley, stays, version=2, goes_version=2)
    stays.refresh_from_db()
    assert (stays.merged_into, stays.version, Event.objects.count()) == (None, 2, 1)


@pytest.mark.parametrize(("version", "goes_version"), [(2, 1), (1, 2)])
def test_a_merge_of_what_was_changed_meanwhile_does_nothing(wexley, version, goes_version):
    stays = CustomerFactory()
    PropertyFactory(customer=wexley)
    with pytest.raises(ChangedMeanwhile):
        merge(stays, wexley, version, goes_version)
    wexley.refresh_from_db()
    assert (wexley.merged_into, wexley.version, wexley.properties.count()) == (None, 1, 1)


# erasing


def erase(who: Customer) -> Customer | None:
    return acts.erase_customer(by=UserFactory(name="Maribel"), customer=who, version=1)


def test_somebody_without_folders_is_gone_with_all_that_was_merged(wexley):
    PropertyFactory(customer=wexley)
    CustomerFactory(name="Old Wexley", merged_into=wexley)
    pk = wexley.pk
    assert erase(wexley) is None
    assert (Customer.objects.count(), Property.objects.count()) == (0, 0)
    assert list(Event.objects.values_list("kind", "data")) == [
        ("person erased", f'{{"customer":{pk},"folders":[],"papers_kept":0}}')
    ]


def test_with_folders_and_no_paper_no_word_is_left(wexley):
    folder(wexley)
    CustomerFactory(name="Old Wexley", email="priya.old@example.com", merged_into=wexley)
    assert left_of(SECRETS) == SECRETS
    left = erase(wexley)
    assert (left.name, left.erased_at is not None) == ("Erased", True)
    assert left_of(SECRETS) == []


def test_with_a_paper_name_and_address_and_the_paper_stay(wexley):
    job = folder(wexley)
    IssuedProposalFactory(job=job, state="accepted", paper__facts='{"customer":"Priya Wexley"}')
    PropertyFactory(customer=wexley, street="9 Second Lane")
    erase(wexley)
    assert left_of(SECRETS) == ["Wexley", "Alder", "Mrs"]
    assert Paper.objects.get().facts == '{"customer":"Priya Wexley"}'
    assert Area.objects.get().agreed_with == "Mrs Wexley"  # who agreed to the measures is part of the contract
    assert list(Property.objects.values_list("street", "access")) == [("18 Alder Row", "")]


def test_what_was_asked_and_answered_on_the_page_is_gone(wexley):
    issued = IssuedProposalFactory(job=folder(wexley), state="accepted")
    QuestionFactory(paper=issued.paper, asked="Priya here.", answer="Yes, Mrs Wexley.")
    erase(wexley)
    assert list(Question.objects.values_list("asked", "answer")) == [("", "")]


def test_the_address_of_a_place_without_a_paper_goes(wexley):
    IssuedProposalFactory(job=folder(wexley), state="declined")
    JobFactory(property=PropertyFactory(customer=wexley, street="9 Second Lane", town="Farmere"))
    erase(wexley)
    assert list(Property.objects.order_by("pk").values_list("street", "town")) == [
        ("18 Alder Row", "Larkmere"), ("Erased", "")
    ]  # fmt: skip


@pytest.mark.parametrize("offer", [ProposalFactory, IssuedProposalFactory])
def test_while_an_offer_is_open_nothing_is_erased(wexley, offer):
    job = folder(wexley)
    offer(job=job)
    with pytest.raises(acts.StillOut, match=f"in folder {job.number}"):
        erase(wexley)
    wexley.refresh_from_db()
    assert (wexley.phone, wexley.version) == ("555-0142", 1)


def test_what_was_changed_meanwhile_is_not_erased(wexley):
    with pytest.raises(ChangedMeanwhile):
        acts.erase_customer(by=UserFactory(), customer=wexley, version=2)
    assert Customer.objects.filter(name="Priya Wexley").exists()


# telling all that is kept


def test_everything_that_is_kept_is_told(wexley):
    job = folder(wexley)
    PartFactory(area=job.areas.get())
    IssuedProposalFactory(job=job, paper__facts='{"total":"1810.00"}')
    CustomerFactory(name="Old Wexley", email="old@example.com", merged_into=wexley)
    told = json.loads(json.dumps(acts.export_customer(wexley)))
    assert [word for word in [*SECRETS, "Old Wexley", "old@example.com"] if word not in json.dumps(told)] == []
    (place,) = told["properties"]
    (kept,) = place["folders"]
    assert kept["areas"][0]["parts"] == [{"shape": "rectangle", "length": "32 ft", "width": "14' 6\""}]
    assert kept["papers"][0]["facts"] == {"total": "1810.00"}
    assert [offer["state"] for offer in kept["offers"]] == ["issued"]


def test_nothing_of_somebody_else_is_told(wexley):
    folder(CustomerFactory(name="Noor Haddad"))
    assert acts.export_customer(wexley)["properties"] == []
