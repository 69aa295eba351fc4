"""The CSV file of people with their properties: written for a spreadsheet, and read from whatever wrote it.

A file comes from a telephone's contacts, a mail program or another ledger, so its columns are guessed by their heads
and may be chosen; the cells are read strictly, each fault with its line.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from customers.csv_cells import NotText, as_it_was, csv_line, harmless, text_of_file
from customers.models import Customer, CustomerQuerySet, Property

MOST_ROWS = 20_000
MOST_COLUMNS = 60
MOST_FAULTS = 50

PERSON = ("name", "email", "phone", "other_phone", "post_address", "notes")
PLACE = ("street", "town", "region", "postcode", "access")

KINDS = {
    "": "leave it out",
    "name": "name",
    "first": "first name",
    "family": "family name",
    "email": "e-mail",
    "phone": "telephone",
    "other_phone": "other telephone",
    "street": "street and number",
    "town": "town",
    "region": "state or province",
    "postcode": "postcode",
    "access": "access",
    "post_address": "postal address",
    "notes": "notes",
}
"""What a column can be."""

HEADS = {
    "name": ("name", "full name", "customer", "customer name", "client", "contact", "display name", "homeowner"),
    "first": ("first name", "first", "given name", "forename"),
    "family": ("last name", "last", "family name", "surname"),
    "email": ("e-mail", "email", "e-mail address", "email address", "mail", "e-mail 1 - value", "email 1"),
    "phone": ("telephone", "phone", "phone number", "mobile", "cell", "mobile phone", "phone 1 - value", "tel"),
    "other_phone": ("other telephone", "other phone", "phone 2", "home phone", "second phone", "phone 2 - value"),
    "street": ("street and number", "street", "address", "street address", "address 1", "address line 1", "property"),
    "town": ("town", "city", "place"),
    "region": ("state or province", "state", "province", "region", "county"),
    "postcode": ("postcode", "zip", "zip code", "postal code", "zipcode"),
    "access": ("access",),
    "post_address": ("postal address", "mailing address", "billing address"),
    "notes": ("notes", "note", "comments", "remarks"),
}
"""By which heads each is known, in small letters; the first is the one that we write."""

WRITTEN = ("name", "email", "phone", "other_phone", *PLACE, "post_address", "notes")


class Fault(NamedTuple):
    """What is wrong in the file, and where: the line as a spreadsheet counts it (0: the whole file), the column."""

    line: int
    column: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the file: a person, and a property where it names one."""

    line: int
    person: dict[str, str]
    place: dict[str, str]


@dataclass(slots=True)
class Reading:
    """What a file says when its columns are read so."""

    heads: list[str] = field(default_factory=list)
    columns: list[str] = field(default_factory=list)
    sample: list[list[str]] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def write_people(people: CustomerQuerySet) -> Iterator[str]:
    """These people as CSV, a line a property; a text that a spreadsheet would run gets a ' before it."""
    yield csv_line([HEADS[kind][0] for kind in WRITTEN])
    for who in people.prefetch_related("properties").iterator(chunk_size=500):
        for place in list(who.properties.all()) or [Property()]:
            yield csv_line([harmless(getattr(who if kind in PERSON else place, kind)) for kind in WRITTEN])


def read_people(content: bytes, columns: Sequence[str] = ()) -> Reading:
    """What the file says, with these columns or, without any, with those that its heads suggest. Nothing is written."""
    reading = Reading()
    try:
        text = text_of_file(content)
    except NotText as fault:
        reading.faults.append(Fault(fault.line, "", str(fault)))
        return reading
    _read_lines(text, columns, reading)
    if not reading.faults and not reading.entries:
        reading.faults.append(Fault(0, "", "The file holds nobody: there is no line below the heads."))
    return reading


def guess_columns(heads: Sequence[str]) -> list[str]:
    """What each column seems to be, by its head; each thing once, the first column wins."""
    by_head = {head: kind for kind, heads_of in HEADS.items() for head in heads_of}
    taken: set[str] = set()
    columns = []
    for head in heads:
        kind = by_head.get(" ".join(head.lower().replace("_", " ").split()), "")
        columns.append("" if kind in taken else kind)
        taken.add(kind)
    if "name" in columns:
        columns = ["" if kind in {"first", "family"} else kind for kind in columns]
    return columns


def column_fault(columns: Sequence[str]) -> str:
    """Why these columns can't be read, as a sentence; empty where they can."""
    chosen = [kind for kind in columns if kind]
    twice = sorted({kind for kind in chosen if chosen.count(kind) > 1})
    if twice:
        return f"Two columns are the {KINDS[twice[0]]}. Choose one, and leave the other out."
    if not {"name", "first", "family"} & set(chosen):
        return "No column is the name. Say which one it is."
    return ""


def _read_lines(text: str, columns: Sequence[str], reading: Reading) -> None:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True, delimiter=_delimiter(text))
    try:
        reading.heads = [as_it_was(cell.strip())[:80] for cell in next(reader, [])]
        if not any(reading.heads):
            reading.faults.append(Fault(1, "", "The first line must name the columns."))
            return
        if len(reading.heads) > MOST_COLUMNS:
            reading.faults.append(Fault(1, "", f"The file has more than {MOST_COLUMNS} columns."))
            return
        fits = len(columns) == len(reading.heads) and set(columns) <= KINDS.keys()
        reading.columns = list(columns) if fits else guess_columns(reading.heads)
        if sentence := column_fault(reading.columns):
            reading.faults.append(Fault(0, "", sentence))
        _read_rows(reader, reading)
    except csv.Error as error:
        reading.faults.append(Fault(reader.line_num, "", f"This is not a CSV file: {error}."))


def _read_rows(reader: Iterator[list[str]], reading: Reading) -> None:
    legible = not reading.faults
    for cells in reader:
        line: int = reader.line_num  # type: ignore[attr-defined]
        if not any(cell.strip() for cell in cells):
            continue
        if len(reading.sample) < 3:
            reading.sample.append([as_it_was(cell.strip())[:80] for cell in cells])
        if not legible:
            return
        if len(reading.entries) >= MOST_ROWS:
            reading.faults.append(Fault(line, "", "The file has more than 20,000 lines."))
            return
        _read_row(cells, line, reading)
        if len(reading.faults) >= MOST_FAULTS:
            return


def _delimiter(text: str) -> str:
    """Comma, semicolon or tab: whichever cuts the first line into most cells."""
    first = text.split("\n", 1)[0]
    return max(",;\t", key=first.count)


def _read_row(cells: list[str], line: int, reading: Reading) -> None:
    if len(cells) != len(reading.heads):
        reading.faults.append(Fault(line, "", f"It has {len(cells)} cells instead of {len(reading.heads)}."))
        return
    words = dict.fromkeys(KINDS, "")
    for kind, cell in zip(reading.columns, cells, strict=True):
        words[kind] = as_it_was(cell.strip())
    words["name"] = words["name"] or " ".join(part for part in (words["first"], words["family"]) if part)
    for kind in ("name", "street", "town", "region", "postcode", "phone", "other_phone", "email"):
        words[kind] = " ".join(words[kind].split())
    before = len(reading.faults)
    for kind, sentence in _faults_of(words):
        reading.faults.append(Fault(line, KINDS[kind], sentence))
    if len(reading.faults) == before:
        person = {kind: words[kind] for kind in PERSON}
        place = {kind: words[kind] for kind in PLACE} if words["street"] else {}
        reading.entries.append(Entry(line, person, place))


def _faults_of(words: dict[str, str]) -> Iterator[tuple[str, str]]:
    if not words["name"]:
        yield "name", "It is empty. Everybody needs a name."
    for kind in (*PERSON, *PLACE):
        text = words[kind]
        longest = (Customer if kind in PERSON else Property)._meta.get_field(kind).max_length or 0
        if len(text) > longest:
            yield kind, f"It is longer than {longest} characters."
        elif not all(sign.isprintable() or sign in "\n\r\t" for sign in text):
            yield kind, "It holds a character that can’t be printed."
    if words["email"]:
        try:
            validate_email(words["email"])
        except ValidationError:
            yield "email", f"“{words['email'][:40]}” is no e-mail address."
    if not words["street"] and any(words[kind] for kind in PLACE):
        yield "street", "It is empty, and the line names a town: a property needs its street."
