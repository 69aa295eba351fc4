"""A file of people: read from whatever wrote it, strictly, and written for a spreadsheet."""

import pytest

from customers.models import Customer
from customers.people_file import Entry, Fault, guess_columns, read_people, write_people
from tests.factories import CustomerFactory, PropertyFactory

NOBODY = dict.fromkeys(("name", "email", "phone", "other_phone", "post_address", "notes"), "")
NOWHERE = dict.fromkeys(("street", "town", "region", "postcode", "access"), "")


def read(text: str, columns=()):
    return read_people(text.encode(), columns)


def test_a_line_is_a_person_with_his_property():
    reading = read(
        "Name,E-mail,Phone,Street,City,State,Zip\nTom Lusk,tom@example.com,555-0117,4 Mill Lane,Larkmere,NY,12345\n"
    )
    assert reading.entries == [
        Entry(
            2,
            NOBODY | {"name": "Tom Lusk", "email": "tom@example.com", "phone": "555-0117"},
            NOWHERE | {"street": "4 Mill Lane", "town": "Larkmere", "region": "NY", "postcode": "12345"},
        )
    ]
    assert reading.faults == []


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_commas_semicolons_and_tabs_cut_the_cells(sign):
    reading = read(f"name{sign}phone\nTom Lusk{sign}555-0117\n")
    assert [entry.person["phone"] for entry in reading.entries] == ["555-0117"]


def test_first_and_family_name_make_a_name():
    reading = read("First Name,Last Name\nTom,Lusk\nAda,\n")
    assert [entry.person["name"] for entry in reading.entries] == ["Tom Lusk", "Ada"]


def test_a_mark_of_the_byte_order_and_quoted_line_breaks_are_read():
    reading = read_people(b'\xef\xbb\xbfname,notes\r\n"Lusk, Tom","gate\r\ncode"\r\n')
    assert (reading.entries[0].person["name"], reading.entries[0].person["notes"]) == ("Lusk, Tom", "gate\r\ncode")


def test_columns_are_guessed_once_each_and_the_whole_name_wins():
    assert guess_columns(["Given Name", "Name", "EMAIL", "e-mail", "Fax"]) == ["", "name", "email", "", ""]


def test_columns_may_be_chosen():
    reading = read("a,b\nTom Lusk,4 Mill Lane\n", ["name", "street"])
    assert (reading.entries[0].person["name"], reading.entries[0].place["street"]) == ("Tom Lusk", "4 Mill Lane")


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", Fault(1, "", "The first line must name the columns.")),
        ("name\n", Fault(0, "", "The file holds nobody: there is no line below the heads.")),
        ("phone\n555-0117\n", Fault(0, "", "No column is the name. Say which one it is.")),
        ("name,phone\nTom\n", Fault(2, "", "It has 1 cells instead of 2.")),
        ("name,phone\n,555-0117\n", Fault(2, "name", "It is empty. Everybody needs a name.")),
        ("name,email\nTom,tom at home\n", Fault(2, "e-mail", "“tom at home” is no e-mail address.")),
        ("name,phone\nTom," + "5" * 41 + "\n", Fault(2, "telephone", "It is longer than 40 characters.")),
        ("name\nTom\x07\n", Fault(2, "name", "It holds a character that can’t be printed.")),
        (
            "name,town\nTom,Larkmere\n",
            Fault(2, "street and number", "It is empty, and the line names a town: a property needs its street."),
        ),
        ('name\n"Tom', Fault(2, "", "This is not a CSV file: unexpected end of data.")),
        ("name\n\0", Fault(0, "", "The file holds a character with the code 0: it is not a text file.")),
    ],
)  # fmt: skip
def test_each_fault_names_its_line_and_its_column(text, fault):
    assert read(text).faults[:1] == [fault]


def test_every_line_with_a_fault_is_told_up_to_fifty():
    reading = read("name,email\n" + "Tom,x\n" * 60)
    assert ([fault.line for fault in reading.faults[:3]], len(reading.faults)) == ([2, 3, 4], 50)


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"x" * (10 * 1024 * 1024 + 1), "The file is larger than 10 MB."),
        (b"name\n\xff\xfe", "The file is not in UTF-8. Save it as “CSV UTF-8”."),
        (b"name\n" + b"Tom\n" * 20_001, "The file has more than 20,000 lines."),
        (b"," * 60 + b"\n", "The first line must name the columns."),
        (b"a," * 60 + b"\n", "The file has more than 60 columns."),
    ],
)
def test_what_is_too_much_is_refused(content, sentence):
    assert read_people(content).faults[-1].sentence == sentence


@pytest.mark.django_db
def test_what_is_written_reads_back_as_it_was():
    who = CustomerFactory(
        name="=HYPERLINK(1)", email="tom@example.com", phone="+1 555-0117", notes='Two\nlines, "quoted"'
    )
    PropertyFactory(customer=who, street="4 Mill Lane", town="Larkmere")
    PropertyFactory(customer=who, street="5 Mill Lane", town="")
    text = "".join(write_people(Customer.objects.all()))
    assert "'=HYPERLINK(1)" in text
    assert "'+1 555-0117" in text
    first, second = read(text).entries
    assert (first.person, first.place["street"], second.place["street"]) == (
        second.person,
        "4 Mill Lane",
        "5 Mill Lane",
    )
    assert {name: first.person[name] for name in ("name", "phone", "notes")} == {
        "name": "=HYPERLINK(1)", "phone": "+1 555-0117", "notes": 'Two\nlines, "quoted"'
    }  # fmt: skip


@pytest.mark.django_db
def test_somebody_without_a_property_has_a_line_too():
    CustomerFactory(name="Tom")
    assert len(list(write_people(Customer.objects.all()))) == 2
