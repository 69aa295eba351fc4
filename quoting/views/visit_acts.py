"""What the crew says of a visit on its page: held, done, not done after all; what of it is left to the office."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from quoting.documents.asides import aside_words, hold_words, office_words
from quoting.documents.crew_words import Pair, say
from quoting.forms.entries import EntryForm, HeldForm
from quoting.models import Entry, Hold, Job, Visit
from quoting.services.crew_acts import set_aside


def end_of(visit: Visit, refused: EntryForm | None) -> dict[str, Any]:
    """The blanks under the page, with what was typed where it was refused."""
    form = refused if isinstance(refused, HeldForm) else None
    again = max(visit.day, timezone.localdate()) + timedelta(days=1)
    return {
        "seen": visit.day.isoformat(),
        "onces": [str(uuid4()) for _ in range(2)],
        "reasons": [(value, say(f"hold.reason.{value}")) for value in Hold.Reason.values],
        "reason": form.data.get("reason", "") if form else Hold.Reason.RAIN.value,
        "day": form.data.get("day", "") if form else again.isoformat(),
        "words": form.data.get("words", "") if form else "",
        "faults": [str(error) for errors in form.errors.values() for error in errors] if form else [],
        "asides": [line for line in asides_of([visit.job]) if line[0].visit_id == visit.pk],
    }


def asides_of(jobs: Iterable[Job]) -> list[tuple[Entry, Pair, Pair | None]]:
    """What the crew said that was not done, each with its words and why."""
    return [(entry, act_words(entry), aside_words(entry)) for entry in set_aside(jobs)]


def asides_for_office(jobs: Iterable[Job]) -> list[tuple[Entry, str, str]]:
    """The same for the office, in English."""
    return [(entry, act_words(entry).en, office_words(entry)) for entry in set_aside(jobs)]


def act_words(entry: Entry) -> Pair:
    """What the crew said, in a line."""
    said = say(f"write.{entry.kind}")
    if entry.kind != Entry.Kind.HOLD:
        return said
    why = hold_words(entry)
    return Pair(f"{said.en}: {why.en}", f"{said.es}: {why.es}")
