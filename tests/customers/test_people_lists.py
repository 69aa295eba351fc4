"""A file of people taken over: who is known is found, all of it or nothing, once."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection
from django.utils import timezone

from customers.models import Customer, PeopleList, Property
from customers.people_doubles import ADD, JOIN, LEAVE, fingerprint, plan_people, what_is_new
from customers.people_file import read_people, write_people
from customers.people_lists import (
    OtherPlan,
    PeopleListFaults,
    Taken,
    TakenAlready,
    choose_columns,
    forget_list,
    keep_list,
    take_list,
)
from tests.factories import CustomerFactory, PropertyFactory

pytestmark = pytest.mark.django_db(transaction=True)

HEAD = "name,email,telephone,street,town\n"


def plan(text: str):
    return plan_people(read_people((HEAD + text).encode()).entries)


def keep(text: str) -> PeopleList:
    return keep_list(name="contacts.csv", content=(HEAD + text).encode())


def take(row: PeopleList, usual: str = "", said=None) -> Taken:
    reading = read_people(bytes(row.content), row.columns)
    shown = fingerprint(plan_people(reading.entries))
    return take_list(row=row, version=row.version, shown=shown, usual=usual, said=said or {})


@pytest.fixture
def priya() -> Customer:
    who = CustomerFactory(name="Priya Wexley", email="priya@example.com", phone="555-0142", notes="")
    PropertyFactory(customer=who, street="18 Alder Row", town="Larkmere")
    return who


# who is who


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("P. W.,PRIYA@example.com,,,", "email"),
        ("P. W.,,(555) 0142,,", "phone"),
        ("priya  WEXLEY,,,18 alder row,", "name"),
        ("Priya Wexley,,,,", "name"),
        ("Tom Lusk,,,18 Alder Row,Larkmere", "street"),
    ],
)
def test_somebody_who_is_there_is_found(priya, line, why):
    (each,) = plan(line)
    assert (each.known, each.why, each.usual) == (priya, why, ADD if why == "street" else JOIN)


@pytest.mark.parametrize(
    "line",
    ["Priya Wexley,other@example.com,,,", "Tom Lusk,,,18 Alder Row,Elsewhere", "Tom Lusk,tom@example.com,555-0199,,"],
)
def test_somebody_else_is_not(priya, line):
    (each,) = plan(line)
    assert (each.known, each.usual) == (None, ADD)


def test_merged_and_erased_people_are_nobody(priya):
    CustomerFactory(email="gone@example.com", merged_into=priya)
    CustomerFactory(email="erased@example.com", erased_at=timezone.now())
    assert [each.known for each in plan("A,gone@example.com,,,\nB,erased@example.com,,,")] == [None, None]


def test_lines_of_one_person_are_one_with_each_property_once():
    (each,) = plan(
        "Tom Lusk,tom@example.com,,4 Mill Lane,\n"
        "Tom Lusk,TOM@example.com,555-0117,5 Mill Lane,\n"
        "Tom Lusk,tom@example.com,,4 mill lane,"
    )
    assert (each.lines, [place.street for place in each.places], each.person.phone) == (
        [2, 3, 4], ["4 Mill Lane", "5 Mill Lane"], "555-0117"
    )  # fmt: skip


def test_two_of_one_street_stay_two():
    assert len(plan("Tom Lusk,,,4 Mill Lane,\nAda Lusk,,,4 Mill Lane,")) == 2


def test_what_differs_goes_into_the_notes_once(priya):
    other = Customer(name="Priya W.", email="second@example.com", phone="555-0150", other_phone="555-0151", notes="Dog")
    facts = what_is_new(priya, other)
    # the first further number fills the empty place, the next is noted
    assert facts == {"other_phone": "555-0150", "notes": "Dog\nAlso: telephone 555-0151; second@example.com; Priya W."}
    for name, value in facts.items():
        setattr(priya, name, value)
    assert what_is_new(priya, other) == {}


# taking it over


def test_everybody_new_is_written_down_with_his_properties():
    done = take(keep("Tom Lusk,tom@example.com,555-0117,4 Mill Lane,Larkmere\nAda Byrd,,,,\n"))
    assert done == Taken(added=2, joined=0, places=1, left=0)
    tom = Customer.objects.get(name="Tom Lusk")
    assert [(place.street, place.town) for place in tom.properties.all()] == [("4 Mill Lane", "Larkmere")]


def test_who_is_known_gets_what_he_lacks_and_keeps_what_he_has(priya):
    done = take(keep("Priya Wexley-Lusk,priya@example.com,555-0199,20 Alder Row,\n"))
    priya.refresh_from_db()
    assert done == Taken(added=0, joined=1, places=1, left=0)
    assert (priya.name, priya.phone, priya.other_phone, priya.notes, priya.version) == (
        "Priya Wexley", "555-0142", "555-0199", "Also: Priya Wexley-Lusk", 2
    )  # fmt: skip
    assert sorted(priya.properties.values_list("street", flat=True)) == ["18 Alder Row", "20 Alder Row"]


def test_two_of_the_file_put_together_with_one_lose_nothing(priya):
    take(keep("P. One,priya@example.com,,,\nP. Two,,555-0142,,\n"))
    priya.refresh_from_db()
    assert priya.notes == "Also: P. One\nAlso: P. Two"


@pytest.mark.parametrize(
    ("usual", "said", "people"),
    [("", {}, 1), (ADD, {}, 2), (LEAVE, {}, 1), (LEAVE, {"line-2": ADD}, 2), (ADD, {"line-2": JOIN}, 1)],
)
def test_what_was_said_of_one_goes_before_what_was_said_of_all(priya, usual, said, people):
    take(keep("P. W.,priya@example.com,,,\n"), usual, said)
    assert Customer.objects.count() == people


def test_nothing_is_written_where_one_line_has_a_fault():
    row = keep("Tom Lusk,,,,\nAda,nowhere,,,\n")
    with pytest.raises(PeopleListFaults):
        take(row)
    assert (Customer.objects.count(), Property.objects.count()) == (0, 0)
    row.refresh_from_db()
    assert (row.taken_at, row.version) == (None, 1)


def test_the_same_file_twice_is_one_import():
    row = keep("Tom Lusk,,,,\n")
    take(row)
    with pytest.raises(TakenAlready, match=r"contacts\.csv was taken over before"):
        keep("Tom Lusk,,,,\n")
    row.refresh_from_db()
    assert (Customer.objects.count(), bytes(row.content)) == (1, b"")


def test_the_same_people_in_another_file_bring_nothing_new():
    take(keep("Tom Lusk,tom@example.com,555-0117,4 Mill Lane,Larkmere\nAda Byrd,,,5 Mill Lane,\n"))
    text = "".join(write_people(Customer.objects.all()))
    planned = plan_people(read_people(text.encode()).entries)
    assert [each.nothing_new for each in planned] == [True, True]


def test_a_file_that_waits_is_kept_once_and_for_a_day():
    first, again = keep("Tom,,,,\n"), keep("Tom,,,,\n")
    assert first.pk == again.pk
    PeopleList.objects.update(kept_at=timezone.now() - timedelta(days=2))
    keep("Ada,,,,\n")
    assert not PeopleList.objects.filter(pk=first.pk).exists()


def test_a_change_in_the_books_asks_for_another_look(priya):
    row = keep("P. W.,priya@example.com,555-0199,,\n")
    shown = fingerprint(plan_people(read_people(bytes(row.content)).entries))
    Customer.objects.update(other_phone="555-0199", notes="Also: P. W.")
    with pytest.raises(OtherPlan):
        take_list(row=row, version=1, shown=shown, usual="", said={})
    row.refresh_from_db()
    assert row.taken_at is None


def test_columns_are_kept_with_the_file():
    row = keep_list(name="x.csv", content=b"a,b\nTom Lusk,4 Mill Lane\n")
    assert row.columns == ["", ""]
    choose_columns(row=row, columns=["name", "street"])
    row.refresh_from_db()
    take(row)
    assert Property.objects.get().customer.name == "Tom Lusk"


def test_a_file_may_be_forgotten_until_it_is_taken_over():
    row = keep("Tom,,,,\n")
    take(row)
    forget_list(row)
    forget_list(keep("Ada,,,,\n"))
    assert [row.pk for row in PeopleList.objects.all()] == [row.pk]


def test_ten_clicks_at_once_are_one_import():
    row = keep("Tom Lusk,tom@example.com,,4 Mill Lane,\n")
    shown = fingerprint(plan_people(read_people(bytes(row.content)).entries))
    gate = Barrier(10)

    def click(_number: int) -> str:
        gate.wait()
        try:
            take_list(row=PeopleList.objects.get(pk=row.pk), version=1, shown=shown, usual="", said={})
        except TakenAlready:
            return "second"
        finally:
            connection.close()
        return "first"

    with ThreadPoolExecutor(10) as pool:
        came = sorted(pool.map(click, range(10)))
    assert came == ["first"] + ["second"] * 9
    assert (Customer.objects.count(), Property.objects.count()) == (1, 1)


def test_twenty_thousand_people_are_looked_at_in_two_questions(django_assert_num_queries):
    text = "".join(
        f"Person {number},p{number}@example.com,555{number:07},{number} Mill Lane,\n" for number in range(20_000)
    )
    row = keep(text)
    with django_assert_num_queries(1):  # nobody is there, so no property is asked for
        planned = plan_people(read_people(bytes(row.content)).entries)
    assert len(planned) == 20_000
    assert take(row) == Taken(added=20_000, joined=0, places=20_000, left=0)
