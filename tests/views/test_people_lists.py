"""The pages of a file of people: read, looked at, taken over; and everybody as a file."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from pytest_django.asserts import assertContains, assertNotContains

from customers.models import Customer, PeopleList
from quoting.models import Event
from tests.factories import CrewFactory, CustomerFactory, FirmFactory, OwnerFactory, PeopleListFactory, PropertyFactory

pytestmark = pytest.mark.django_db

NEW = "/people/files/new/"
FILE = "name,email,telephone,street\nTom Lusk,tom@example.com,555-0117,4 Mill Lane\nP. W.,priya@example.com,555-0199,\n"


@pytest.fixture
def ines(client):
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


@pytest.fixture
def priya() -> Customer:
    return CustomerFactory(name="Priya Wexley", email="priya@example.com", phone="555-0142")


def send(client, text: str = FILE, name: str = "contacts.csv"):
    return client.post(NEW, {"file": SimpleUploadedFile(name, text.encode(), "text/csv")})


def taken(client, address: str, **said):
    form = client.get(address).context["form"]
    return client.post(address, {"version": form["version"].initial, "shown": form["shown"].initial, **said})


def test_the_list_of_people_leads_to_both(ines):
    for page in (ines.get("/people/"), ines.get(NEW)):
        assertContains(page, "/people/all.csv")
    assertContains(ines.get("/people/"), NEW)


def test_the_report_says_who_is_new_and_who_is_known(ines, priya):
    page = ines.get(send(ines)["Location"])
    assertContains(page, "4 Mill Lane")
    assertContains(page, "the same e-mail")
    assertContains(page, "other telephone, notes")
    assertContains(page, f'href="/people/{priya.pk}/"')
    assert (page.context["new_count"], page.context["known_count"], Customer.objects.count()) == (1, 1, 1)


def test_taking_it_over_writes_and_tells_the_trail(ines, priya):
    address = send(ines)["Location"]
    answer = taken(ines, address)
    assert answer["Location"] == "/people/"
    assertContains(
        ines.get("/people/"), "1 added, 1 put together with somebody who was there, 1 properties written down."
    )
    event = Event.objects.get(kind="people read from a file")
    assert '"added":1,"file_sha256":' in event.data
    assert "Lusk" not in event.data
    assert ines.get(address).status_code == 404


def test_one_may_be_left_out(ines, priya):
    taken(ines, send(ines)["Location"], **{"line-3": "leave"})
    priya.refresh_from_db()
    assert (priya.other_phone, Customer.objects.count()) == ("", 2)


def test_faults_are_told_line_by_line_and_nothing_can_be_taken_over(ines):
    address = send(ines, "name,email\nTom,x\n,y@example.com\n")["Location"]
    page = ines.get(address)
    assertContains(page, "Line 2, e-mail: “x” is no e-mail address.")
    assertContains(page, "Line 3, name: It is empty. Everybody needs a name.")
    assertNotContains(page, "Take it over")
    ines.post(address, {"version": 1, "shown": "x"})
    assert not Customer.objects.exists()


def test_columns_that_nobody_knows_are_chosen(ines):
    address = send(ines, "wer,wo\nTom Lusk,4 Mill Lane\n")["Location"]
    assertContains(ines.get(address), "No column is the name. Say which one it is.")
    twice = ines.post(f"{address}columns/", {"column-0": "name", "column-1": "name"})
    assertContains(twice, "Two columns are the name. Choose one", status_code=422)
    assert ines.post(f"{address}columns/", {"column-0": "name", "column-1": "street"})["Location"] == address
    assertContains(ines.get(address), "4 Mill Lane")
    assert ines.post(f"{address}columns/", {"column-0": "nonsense"}).status_code == 422


def test_a_changed_book_asks_for_another_look(ines, priya):
    address = send(ines)["Location"]
    form = ines.get(address).context["form"]
    Customer.objects.update(email="")
    answer = ines.post(address, {"version": 1, "shown": form["shown"].initial})
    assert answer["Location"] == address
    assertContains(ines.get(address), "The people in the books changed since this was shown.")


def test_the_same_file_again_is_said_beside_the_field(ines):
    taken(ines, send(ines)["Location"])
    assertContains(
        send(ines), "contacts.csv was taken over before. Nothing has happened a second time.", status_code=422
    )


def test_a_file_is_forgotten(ines):
    ines.post(f"{send(ines)['Location']}forget/")
    assert (PeopleList.objects.count(), Customer.objects.count()) == (0, 0)


def test_hostile_words_are_only_words(ines):
    address = send(ines, "name,<b>x</b>\n<script>alert(1)</script>,y\n")["Location"]
    page = ines.get(address).content.decode()
    assert "<script>alert" not in page
    assert "<b>x</b>" not in page


@pytest.mark.parametrize("rows", [1, 3])
def test_the_report_asks_as_often_whatever_the_file_holds(ines, rows, django_assert_num_queries):
    who = CustomerFactory(email="p0@example.com")
    PropertyFactory(customer=who)
    address = send(ines, "name,email\n" + "".join(f"P,p{n}@example.com\n" for n in range(rows)))["Location"]
    with django_assert_num_queries(6):  # session, user, file, people, properties, firm
        ines.get(address)


def test_everybody_is_written_a_line_a_property(ines, priya):
    PropertyFactory(customer=priya, street="18 Alder Row")
    CustomerFactory(name="Merged", merged_into=priya)
    answer = ines.get("/people/all.csv")
    rows = list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode())))
    assert [(row["name"], row["street and number"]) for row in rows] == [("Priya Wexley", "18 Alder Row")]
    assert answer["Content-Disposition"].startswith('attachment; filename="people-')


def test_the_crew_gets_none_of_it(client):
    FirmFactory()
    client.force_login(CrewFactory())
    row = PeopleListFactory()
    for address in ("/people/all.csv", NEW, f"/people/files/{row.pk}/"):
        assert client.get(address).status_code == 403
