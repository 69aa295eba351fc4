"""The pages about people, as the office meets them."""

import json

import pytest
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from customers.models import Customer, Property
from quoting.views import customers
from tests.factories import (
    CrewFactory,
    CustomerFactory,
    FirmFactory,
    IssuedProposalFactory,
    JobFactory,
    PropertyFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

NOBODY = 999_999


@pytest.fixture
def office(client):
    FirmFactory()
    client.force_login(UserFactory(name="Maribel"))
    return client


@pytest.fixture
def wexley():
    who = CustomerFactory(name="Priya Wexley")
    PropertyFactory(customer=who, street="18 Alder Row", town="Larkmere")
    return who


def names(response) -> list[str]:
    return [who.name for who, _ in response.context["people"]]


def person(**more: str) -> dict[str, str]:
    return {"name": "Noor Haddad", "phone": "555-0111", "email": "noor@example.com", "street": "64 Ferry Road"} | more


# who may


@pytest.mark.parametrize("page", ["", "new/", "{pk}/", "{pk}/edit/", "{pk}/properties/new/", "{pk}/export.json",
                                  "{pk}/merge/", "{pk}/erase/"])  # fmt: skip
def test_the_crew_sees_no_people(client, wexley, page):
    client.force_login(CrewFactory())
    address = "/people/" + page.format(pk=wexley.pk)
    assert (client.get(address).status_code, client.post(address).status_code) == (403, 403)


@pytest.mark.parametrize("pk", [NOBODY, 10**30])
def test_nobody_has_no_page(office, pk):
    pages = ["", "edit/", "properties/new/", "export.json", "merge/", "erase/"]
    assert {office.get(f"/people/{pk}/{page}").status_code for page in pages} == {404}


# the list


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_asks_as_often_however_long_it_is(office, rows, django_assert_num_queries):
    for at in range(rows):
        IssuedProposalFactory(job__property__customer__name=f"Person {at}")
    with django_assert_num_queries(7):  # session, user, people, properties, folders, offers, firm
        office.get("/people/")


def test_the_newest_folder_says_how_far_it_is(office, wexley):
    place = wexley.properties.get()
    IssuedProposalFactory(job=JobFactory(property=place, number="0001"), state="declined")
    JobFactory(property=place, number="0002")
    assert [(who.name, job.number) for who, job in office.get("/people/").context["people"]] == [
        ("Priya Wexley", "0002")
    ]


def test_a_search_looks_at_names_streets_and_digits(office, wexley):
    CustomerFactory(name="Noor Haddad", phone="(604) 555-0111", email="")
    assert names(office.get("/people/?q=alder")) == ["Priya Wexley"]
    assert names(office.get("/people/?q=6045550111")) == ["Noor Haddad"]
    assertContains(office.get("/people/?q=nothing+like+it"), "Nobody found")


def test_a_filter_looks_at_the_state_of_the_offers(office, wexley):
    IssuedProposalFactory(job__property__customer__name="Noor Haddad")
    assert names(office.get("/people/?state=issued")) == ["Noor Haddad"]
    assert names(office.get("/people/?state=none")) == ["Priya Wexley"]
    assert names(office.get("/people/?state=rubbish")) == ["Noor Haddad", "Priya Wexley"]


def test_leaves_are_turned_by_key_and_keep_the_search(office, monkeypatch):
    monkeypatch.setattr(customers, "LEAF", 2)
    for letter in "ABCDE":
        CustomerFactory(name=f"{letter} Wexley")
    first = office.get("/people/?q=wexley")
    second = office.get("/people/" + first.context["older_url"])
    third = office.get("/people/" + second.context["older_url"])
    back = office.get("/people/" + third.context["newer_url"])
    assert [names(leaf) for leaf in (first, second, third, back)] == [
        ["A Wexley", "B Wexley"],
        ["C Wexley", "D Wexley"],
        ["E Wexley"],
        ["C Wexley", "D Wexley"],
    ]
    assert (first.context["newer_url"], third.context["older_url"]) == ("", "")
    assert second.context["older_url"].startswith("?q=wexley&")


def test_two_of_one_name_stand_on_two_leaves(office, monkeypatch):
    monkeypatch.setattr(customers, "LEAF", 1)
    one, two = CustomerFactory(name="Wexley"), CustomerFactory(name="Wexley")
    first = office.get("/people/")
    second = office.get("/people/" + first.context["older_url"])
    assert [leaf.context["people"][0][0].pk for leaf in (first, second)] == [one.pk, two.pk]


@pytest.mark.parametrize("address", ["?after=abc", "?before=%00", "?after=9999999999999999999", "?q=%00", "?after=-1"])
def test_a_damaged_address_gets_the_list(office, wexley, address):
    assert names(office.get(f"/people/{address}")) == ["Priya Wexley"]


def test_an_empty_list_says_what_to_do_first(office):
    assertContains(office.get("/people/"), "Add the first person")


# one person


def test_everything_of_a_person_is_on_one_page(office, wexley):
    place = wexley.properties.get()
    job = IssuedProposalFactory(job=JobFactory(property=place, asked="It is grey now.")).job
    page = office.get(f"/people/{wexley.pk}/")
    for words in ("18 Alder Row", "It is grey now.", job.number, f"{job.number}-A", "issued", "555-0142"):
        assertContains(page, words)
    assertContains(page, f'href="/folders/new/?property={place.pk}"')


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_as_often_whatever_belongs_to_a_person(office, rows, django_assert_num_queries):
    who = CustomerFactory()
    for at in range(rows):
        IssuedProposalFactory(job__property=PropertyFactory(customer=who, street=f"{at} Alder Row"))
    # session, user, the person twice (merged or not, then with everything), properties, folders, offers, merged, firm
    with django_assert_num_queries(9):
        office.get(f"/people/{who.pk}/")


# adding and changing


def test_somebody_is_added_with_the_first_property(office):
    answer = office.post("/people/new/", person())
    who = Customer.objects.get()
    assertRedirects(answer, f"/people/{who.pk}/")
    assert [place.street for place in who.properties.all()] == ["64 Ferry Road"]


def test_a_name_alone_is_enough(office):
    office.post("/people/new/", {"name": "  Noor   Haddad "})
    assert Customer.objects.get().name == "Noor Haddad"


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"email": "PRIYA.wexley@example.com"}, "email"),
        ({"phone": "(555) 0142"}, "phone"),
        ({"other_phone": "+1 604 555-0142"}, "other_phone"),
        ({"street": "18 alder row"}, "street"),
    ],
)
def test_somebody_who_is_there_already_is_offered_beside_the_field(office, wexley, typed, field):
    page = office.post("/people/new/", person(**typed))
    assert page.status_code == 422
    assert page.context["form"].errors.keys() == {field}
    assertContains(page, f'href="/people/{wexley.pk}/"', status_code=422)
    assertContains(page, "No, this is somebody else", status_code=422)
    assert Customer.objects.count() == 1


def test_somebody_else_with_the_same_street_is_added_all_the_same(office, wexley):
    office.post("/people/new/", person(street="18 Alder Row", somebody_else="on"))
    assert Property.objects.filter(street="18 Alder Row").count() == 2


def test_faults_stand_beside_their_fields_and_what_was_typed_is_kept(office):
    page = office.post("/people/new/", {"name": "", "email": "no", "notes": "Dog.", "street": "x" * 201})
    assert page.context["form"].errors.keys() == {"name", "email", "street"}
    assertContains(page, "Dog.", status_code=422)


def test_what_is_typed_is_shown_as_words_only(office):
    office.post("/people/new/", {"name": "<script>x</script>", "notes": "<b>y</b>"})
    page = office.get(f"/people/{Customer.objects.get().pk}/")
    assertContains(page, "&lt;script&gt;x&lt;/script&gt;")
    assertNotContains(page, "<b>y</b>")


def test_two_who_change_one_person_see_what_differs(office, wexley):
    Customer.objects.update(phone="555-0199", version=2)
    typed = {"name": "Priya Wexley", "phone": "555-0150", "email": wexley.email, "version": "1"}
    opened = {"initial-name": "Priya Wexley", "initial-phone": "555-0142", "initial-email": wexley.email}
    page = office.post(f"/people/{wexley.pk}/edit/", typed | opened)
    assert page.status_code == 409
    assert page.context["rows"] == [("Telephone", "555-0142", "555-0199", "555-0150")]
    assert Customer.objects.get().phone == "555-0199"
    again = office.post(f"/people/{wexley.pk}/edit/", typed | opened | {"version": "2"})
    assertRedirects(again, f"/people/{wexley.pk}/")
    assert Customer.objects.get().phone == "555-0150"


def test_a_property_is_added_and_changed(office, wexley):
    office.post(f"/people/{wexley.pk}/properties/new/", {"street": "9 Second Lane", "access": "Gate 4711."})
    place = wexley.properties.get(street="9 Second Lane")
    address = f"/people/{wexley.pk}/properties/{place.pk}/"
    office.post(address, {"street": "9 Second Lane", "access": "Gate 4712.", "version": "1"})
    place.refresh_from_db()
    assert (place.access, place.version) == ("Gate 4712.", 2)
    assert office.post(address, {"street": "10 Second Lane", "version": "1"}).status_code == 409


def test_a_property_of_somebody_else_is_asked_about(office, wexley):
    other = CustomerFactory(name="Noor Haddad")
    page = office.post(f"/people/{other.pk}/properties/new/", {"street": "18 Alder Row"})
    assertContains(page, "18 Alder Row belongs to Priya Wexley already.", status_code=422)


def test_a_property_is_found_below_its_owner_only(office, wexley):
    other = CustomerFactory()
    assert office.get(f"/people/{other.pk}/properties/{wexley.properties.get().pk}/").status_code == 404


# merging


def test_the_double_is_found_and_both_are_seen_side_by_side(office, wexley):
    double = CustomerFactory(name="P. Wexley", email="")
    found = office.get(f"/people/{wexley.pk}/merge/?q=wexley")
    assert [each.name for each in found.context["found"]] == ["P. Wexley"]
    page = office.get(f"/people/{wexley.pk}/merge/?other={double.pk}")
    assert page.context["rows"][1] == ("E-mail", wexley.email, "", wexley.email)
    assertContains(page, "This can’t be undone.")
    double.refresh_from_db()
    assert double.merged_into is None


def test_after_a_merge_old_addresses_lead_to_the_one_who_stays(office, wexley):
    stays = CustomerFactory(name="P. Wexley")
    sent = {"other": wexley.pk, "version": "1", "other_version": "1"}
    assertRedirects(office.post(f"/people/{stays.pk}/merge/", sent), f"/people/{stays.pk}/")
    for page in ("", "merge/", "erase/"):
        answer = office.get(f"/people/{wexley.pk}/{page}")
        assert (answer.status_code, answer["Location"]) == (302, f"/people/{stays.pk}/")
    assert names(office.get("/people/")) == ["P. Wexley"]
    assertContains(office.get(f"/people/{stays.pk}/"), "18 Alder Row")


def test_a_merge_of_what_was_changed_meanwhile_asks_again(office, wexley):
    stays = CustomerFactory(name="P. Wexley")
    Customer.objects.filter(pk=wexley.pk).update(version=2, notes="Dog.")
    page = office.post(f"/people/{stays.pk}/merge/", {"other": wexley.pk, "version": "1", "other_version": "1"})
    assertContains(page, "Look at both once more.", status_code=409)
    assertContains(page, 'name="other_version" value="2"', status_code=409)


@pytest.mark.parametrize("sent", [{}, {"other": "x"}, {"other": "999999", "version": "1", "other_version": "1"}])
def test_a_damaged_merge_changes_nothing(office, wexley, sent):
    assertRedirects(office.post(f"/people/{wexley.pk}/merge/", sent), f"/people/{wexley.pk}/merge/")


def test_nobody_is_merged_with_himself(office, wexley):
    assertRedirects(office.get(f"/people/{wexley.pk}/merge/?other={wexley.pk}"), f"/people/{wexley.pk}/")
    sent = {"other": wexley.pk, "version": "1", "other_version": "1"}
    office.post(f"/people/{wexley.pk}/merge/", sent)
    wexley.refresh_from_db()
    assert wexley.merged_into is None


# what is kept


def test_all_that_is_kept_is_handed_over_as_a_file(office, wexley):
    answer = office.get(f"/people/{wexley.pk}/export.json")
    assert answer["Content-Disposition"] == f'attachment; filename="person-{wexley.pk}.json"'
    assert "no-store" in answer["Cache-Control"]
    assert json.loads(answer.content)["person"]["name"] == "Priya Wexley"


def test_erasing_is_asked_once_with_what_follows(office, wexley):
    page = office.get(f"/people/{wexley.pk}/erase/")
    assertContains(page, "Nothing was ever issued to this person, so everything goes")
    assertRedirects(office.post(f"/people/{wexley.pk}/erase/", {"version": "1"}), "/people/")
    assert not Customer.objects.exists()


def test_what_must_stay_is_named(office, wexley):
    job = JobFactory(property=wexley.properties.get())
    IssuedProposalFactory(job=job, state="declined")
    assertContains(office.get(f"/people/{wexley.pk}/erase/"), f"Staying papers: {job.number}-A")
    assertRedirects(office.post(f"/people/{wexley.pk}/erase/", {"version": "1"}), f"/people/{wexley.pk}/")
    page = office.get(f"/people/{wexley.pk}/")
    assertContains(page, "which contracts and taxes ask to be kept")
    assertNotContains(page, "555-0142")


def test_an_open_offer_is_closed_before_anything_is_erased(office, wexley):
    IssuedProposalFactory(job__property=wexley.properties.get())
    page = office.post(f"/people/{wexley.pk}/erase/", {"version": "1"})
    assertContains(page, "Withdraw or close it first, then erase.", status_code=409)


def test_reading_changes_nothing(office, wexley):
    before = list(Customer.objects.values()), list(Property.objects.values())
    for page in ("", "edit/", "merge/", f"merge/?other={CustomerFactory().pk}", "erase/", "export.json"):
        office.get(f"/people/{wexley.pk}/{page}")
    assert (list(Customer.objects.filter(pk=wexley.pk).values()), list(Property.objects.values())) == before
