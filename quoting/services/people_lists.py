"""Taking over a file of people, told to the trail."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from customers.models import PeopleList
from customers.people_lists import Taken, take_list
from quoting.models import User
from quoting.services.trail import record


def take_people(*, by: User, row: PeopleList, version: int, shown: str, usual: str, said: Mapping[str, str]) -> Taken:
    """Everybody of a kept file, or nobody; raises what `take_list` raises."""
    with transaction.atomic():
        done = take_list(row=row, version=version, shown=shown, usual=usual, said=said)
        told = {"added": done.added, "joined": done.joined, "places": done.places, "file_sha256": row.sha256}
        record("people read from a file", actor=by, data=told)
    return done
