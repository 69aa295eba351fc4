"""Who of a file is in the books already, and which of its lines are one person: a plan, before anything is written."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from hashlib import sha256

from customers.models import SHORTEST_NUMBER, Customer, Property, digits_of, same_number
from customers.people_file import PERSON, Entry

ADD, JOIN, LEAVE = "add", "join", "leave"
"""What is done with somebody of the file: written down anew, put together with who is there, left out."""

ACTS = {JOIN: "put together", ADD: "add as somebody else", LEAVE: "leave out"}


@dataclass(slots=True)
class Planned:
    """One person of the file: the lines that name him, his properties, and who he may be."""

    lines: list[int]
    person: Customer
    places: list[Property] = field(default_factory=list)
    known: Customer | None = None
    why: str = ""
    facts: dict[str, str] = field(default_factory=dict)
    """What the one who is there would get."""
    new_places: list[Property] = field(default_factory=list)

    @property
    def key(self) -> str:
        """By which he is named in a form: his first line."""
        return f"line-{self.lines[0]}"

    @property
    def usual(self) -> str:
        """What is done unless somebody says otherwise. The same street alone may be who bought the house."""
        return JOIN if self.known and self.why != STREET else ADD

    @property
    def nothing_new(self) -> bool:
        """Whether the one who is there has all of it."""
        return self.usual == JOIN and not self.facts and not self.new_places

    @property
    def gains(self) -> str:
        """What putting together would bring, in words."""
        told = [FACTS[name] for name in self.facts] + [place.street for place in self.new_places]
        return ", ".join(told)


STREET = "street"
WHYS = {
    "email": "the same e-mail",
    "phone": "the same telephone",
    "name": "the same name and street",
    STREET: "the same street",
}
FACTS = {
    "email": "e-mail",
    "phone": "telephone",
    "other_phone": "other telephone",
    "post_address": "postal address",
    "notes": "notes",
}


class Known:
    """People by what tells them apart: in the books, or in the file so far."""

    def __init__(self) -> None:
        self.by_email: dict[str, int] = {}
        self.by_end: dict[str, list[tuple[str, int]]] = defaultdict(list)
        self.by_name: dict[tuple[str, str], int] = {}
        self.by_street: dict[str, list[tuple[str, int]]] = defaultdict(list)

    def add(self, at: int, who: Customer, places: Iterable[Property]) -> None:
        """Remember somebody under the number `at`."""
        if who.email:
            self.by_email.setdefault(who.email.lower(), at)
        for number in (digits_of(who.phone), digits_of(who.other_phone)):
            if len(number) >= SHORTEST_NUMBER:
                self.by_end[number[-SHORTEST_NUMBER:]].append((number, at))
        self.by_name.setdefault((_plain(who.name), ""), at)
        for place in places:
            self.by_name.setdefault((_plain(who.name), _plain(place.street)), at)
            self.by_street[_plain(place.street)].append((_plain(place.town), at))

    def find(self, who: Customer, places: Sequence[Property]) -> tuple[int, str] | None:
        """Whom this may be, and why; the strongest reason first."""
        if who.email and (at := self.by_email.get(who.email.lower())) is not None:
            return at, "email"
        for number in (digits_of(who.phone), digits_of(who.other_phone)):
            for other, at in self.by_end.get(number[-SHORTEST_NUMBER:], ()) if len(number) >= SHORTEST_NUMBER else ():
                if same_number(number, other):
                    return at, "phone"
        streets = [_plain(place.street) for place in places] or [""]
        for street in streets:
            if (at := self.by_name.get((_plain(who.name), street))) is not None and (street or not _reachable(who)):
                return at, "name"
        for place in places:
            for town, at in self.by_street.get(_plain(place.street), ()):
                if not town or not place.town or town == _plain(place.town):
                    return at, STREET
        return None


def plan_people(entries: Sequence[Entry]) -> list[Planned]:
    """Everybody of the file once, with who he may be in the books. Reads all people and properties in two queries."""
    planned = _of_the_file(entries)
    people = list(Customer.objects.current().filter(erased_at=None).prefetch_related("properties"))
    known = Known()
    for at, who in enumerate(people):
        known.add(at, who, who.properties.all())
    for each in planned:
        if found := known.find(each.person, each.places):
            each.known, each.why = people[found[0]], found[1]
            each.facts = what_is_new(each.known, each.person)
            there = list(each.known.properties.all())
            each.new_places = [place for place in each.places if not _is_there(place, there)]
    return planned


def fingerprint(planned: Sequence[Planned]) -> str:
    """Of the plan as it was shown: another plan has another, when somebody changed the books meanwhile."""
    told = [f"{each.key} {each.known.pk if each.known else ''} {each.gains}" for each in planned]
    return sha256("\n".join(told).encode()).hexdigest()


def what_is_new(stays: Customer, other: Customer) -> dict[str, str]:
    """What `stays` gets of `other`: whatever it lacks, and in the notes whatever differs and stands nowhere yet."""
    facts = {}
    numbers = [number for number in (other.phone, other.other_phone) if number]
    numbers = [one for one in numbers if not any(same_number(one, own) for own in (stays.phone, stays.other_phone))]
    for name in ("phone", "other_phone"):
        if numbers and not getattr(stays, name):
            facts[name] = numbers.pop(0)
    left = [f"telephone {number}" for number in numbers]
    for name in ("email", "post_address"):
        new, own = getattr(other, name), getattr(stays, name)
        if new and not own:
            facts[name] = new
        elif new and _plain(new) != _plain(own):
            left.append(new)
    if _plain(other.name) != _plain(stays.name):
        left.append(other.name)
    left = [words for words in left if words not in stays.notes]
    lines = [other.notes] if other.notes and other.notes not in stays.notes else []
    lines += [f"Also: {'; '.join(left)}"] if left else []
    if lines:
        notes = "\n".join([*filter(None, [stays.notes]), *lines])
        if len(notes) <= (Customer._meta.get_field("notes").max_length or 0):
            facts["notes"] = notes
    return facts


def _of_the_file(entries: Sequence[Entry]) -> list[Planned]:
    """The lines as people: a second line with the same e-mail, telephone, or name and street is the same person."""
    planned: list[Planned] = []
    seen = Known()
    for entry in entries:
        who = Customer(**{name: entry.person[name] for name in PERSON})
        places = [Property(**entry.place)] if entry.place else []
        found = seen.find(who, places)
        if found is None or found[1] == STREET:
            planned.append(Planned([entry.line], who, places))
            seen.add(len(planned) - 1, who, places)
            continue
        first = planned[found[0]]
        first.lines.append(entry.line)
        for name, value in what_is_new(first.person, who).items():
            setattr(first.person, name, value)
        new = [place for place in places if not _is_there(place, first.places)]
        first.places += new
        seen.add(found[0], who, new)
    return planned


def _is_there(place: Property, places: Iterable[Property]) -> bool:
    return any(
        _plain(place.street) == _plain(other.street)
        and (not place.town or not other.town or _plain(place.town) == _plain(other.town))
        for other in places
    )


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _reachable(who: Customer) -> bool:
    """Whether there is anything by which he can be told from somebody else of the same name."""
    return bool(who.email or who.phone or who.other_phone)
