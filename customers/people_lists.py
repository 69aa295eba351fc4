"""Acts on files of people: kept until somebody has looked at what they would do, then all of it or nothing."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from customers.csv_cells import LARGEST_FILE
from customers.models import ChangedMeanwhile, Customer, PeopleList, Property
from customers.people_doubles import ADD, JOIN, LEAVE, Planned, fingerprint, plan_people, what_is_new
from customers.people_file import Fault, read_people

WAITS = timedelta(days=1)
"""How long a file that nobody takes over is kept; it holds people's addresses."""


class PeopleListFaults(Exception):
    """A file of people can't be taken over; `faults` says why, with the lines."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(" ".join(fault.sentence for fault in faults))


class TakenAlready(Exception):
    """The same file was taken over before; nothing has happened a second time."""

    def __init__(self, row: PeopleList) -> None:
        super().__init__(f"{row.name} was taken over before. Nothing has happened a second time.")


class OtherPlan(Exception):
    """Who is in the books is not what it was when the report was shown."""

    def __init__(self) -> None:
        super().__init__("The people in the books changed since this was shown. Nothing was written; look once more.")


@dataclass(frozen=True, slots=True)
class Taken:
    """What a file did."""

    added: int = 0
    joined: int = 0
    places: int = 0
    left: int = 0


def keep_list(*, name: str, content: bytes) -> PeopleList:
    """Keep a file until it is taken over. Raises PeopleListFaults when it is too large, or TakenAlready."""
    if len(content) > LARGEST_FILE:
        raise PeopleListFaults([Fault(0, "", "The file is larger than 10 MB.")])
    sha256, now = hashlib.sha256(content).hexdigest(), timezone.now()
    with transaction.atomic():
        PeopleList.objects.filter(taken_at=None, kept_at__lt=now - WAITS).delete()
        if taken := PeopleList.objects.filter(sha256=sha256, taken_at__isnull=False).first():
            raise TakenAlready(taken)
        first = {"name": name[:120] or "people.csv", "content": content, "kept_at": now}
        kept, _ = PeopleList.objects.get_or_create(
            sha256=sha256, defaults=first | {"columns": read_people(content).columns}
        )
    return kept


def choose_columns(*, row: PeopleList, columns: Sequence[str]) -> None:
    """Say what each column of the file is."""
    PeopleList.objects.filter(pk=row.pk, taken_at=None).update(columns=list(columns))


def forget_list(row: PeopleList) -> None:
    """Forget a file that was not taken over."""
    PeopleList.objects.filter(pk=row.pk, taken_at=None).delete()


def take_list(*, row: PeopleList, version: int, shown: str, usual: str, said: Mapping[str, str]) -> Taken:
    """Write down everybody of a kept file, or nobody. Gives what was done.

    `shown` is the fingerprint of the plan that was looked at; `usual` is what is done with those who are known ("" for
    what each suggests), `said` the exceptions by the key of each. Raises PeopleListFaults, TakenAlready, OtherPlan, or
    ChangedMeanwhile.
    """
    with transaction.atomic():
        try:
            row.claim(version)  # of two at once one comes second, and finds the other's version
        except ChangedMeanwhile:
            if taken := PeopleList.objects.filter(pk=row.pk, taken_at__isnull=False).first():
                raise TakenAlready(taken) from None
            raise
        held = PeopleList.objects.get(pk=row.pk)
        reading = read_people(bytes(held.content), held.columns)
        if reading.faults:
            raise PeopleListFaults(reading.faults)
        planned = plan_people(reading.entries)
        if fingerprint(planned) != shown:
            raise OtherPlan
        done = _write(planned, {each.key: act_for(each, usual, said) for each in planned})
        held.content, held.taken_at = b"", timezone.now()
        held.save(update_fields=["content", "taken_at"])
    return done


def act_for(each: Planned, usual: str, said: Mapping[str, str]) -> str:
    """What is done with somebody: what was said of him, else what was said of all who are known, else the usual."""
    if each.known is None:
        return ADD
    return said.get(each.key) or usual or each.usual


def _write(planned: Sequence[Planned], acts: Mapping[str, str]) -> Taken:
    new = [each for each in planned if acts[each.key] == ADD]
    joined = [each for each in planned if acts[each.key] == JOIN and (each.facts or each.new_places)]
    Customer.objects.bulk_create([each.person for each in new], batch_size=500)
    places: list[Property] = []
    for each in new:
        places += _of(each.person, each.places)
    for each in joined:
        places += _join(each)
    Property.objects.bulk_create(places, batch_size=500)
    left = sum(act == LEAVE for act in acts.values())
    return Taken(added=len(new), joined=len(joined), places=len(places), left=left)


def _join(each: Planned) -> list[Property]:
    """Give the one who is there what he lacks, and the properties that are new: asked again, since two people of the
    file may be put together with the same one."""
    who = each.known
    if who is None:
        raise ValueError("only with somebody who is there can anybody be put together")
    if facts := what_is_new(who, each.person):
        who.claim(who.version)
        for name, value in facts.items():
            setattr(who, name, value)
        who.save(update_fields=list(facts))
    return _of(who, each.new_places)


def _of(who: Customer, places: Sequence[Property]) -> list[Property]:
    for place in places:
        place.customer = who
    return list(places)
