"""The crew's calendar as iCalendar (RFC 5545), at a private address that can be taken back.

It holds days, streets and kinds of work: no customer, no telephone, no price. Times are by the clock of the place and
carry no zone (floating, 3.3.5), since that is how the crew is told them.
"""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from quoting.documents.crew_words import say
from quoting.documents.freeze import sha256_of
from quoting.documents.visit_days import works_pair
from quoting.models import CalendarKey, User, Visit
from quoting.services.trail import record

PAST_DAYS = 30
LINE = 75
"""Octets of a line, RFC 5545, 3.1."""


def make_key(*, person: User) -> str:
    """A new secret for this person's calendar; the one before opens nothing any more."""
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        CalendarKey.objects.filter(person=person, taken_back_at=None).update(taken_back_at=timezone.now())
        CalendarKey.objects.create(secret_sha256=sha256_of(secret), person=person, made_at=timezone.now())
        record("calendar address made", actor=person)
    return secret


def take_back_key(*, person: User) -> None:
    """Shut this person's calendar."""
    with transaction.atomic():
        CalendarKey.objects.filter(person=person, taken_back_at=None).update(taken_back_at=timezone.now())
        record("calendar address taken back", actor=person)


def person_of(secret: str) -> User | None:
    """Whose calendar this secret opens: somebody who may still sign in; None for any other."""
    found = CalendarKey.objects.filter(secret_sha256=sha256_of(secret), taken_back_at=None).select_related("person")
    key = found.first()
    return key.person if key is not None and key.person.is_active else None


def calendar_of(visits: list[Visit], name: str, now: datetime) -> str:
    """The calendar of these visits. Reads job and property."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//crew days//EN",
        "METHOD:PUBLISH",
        f"X-WR-CALNAME:{_text(name)}",
    ]
    for visit in visits:
        lines += _event(visit, now)
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines)


def visits_to_show(today: datetime) -> list[Visit]:
    """All visits but those of long ago."""
    since = (today - timedelta(days=PAST_DAYS)).date()
    return list(Visit.objects.filter(day__gte=since).with_place().order_by("day", "starts", "pk")[:1000])


def _event(visit: Visit, now: datetime) -> list[str]:
    place = visit.job.property
    works = works_pair(visit)
    state = say(f"visit.state_{visit.state}")
    held = f" ({state.en} / {state.es})" if visit.state != Visit.State.PLANNED else ""
    said = f"{place.street}: {works.en} / {works.es}{held}"
    return [
        "BEGIN:VEVENT",
        f"UID:visit-{visit.pk}@{settings.SITE_ADDRESS.partition('://')[2].partition(':')[0].strip('/') or 'site'}",
        f"DTSTAMP:{now.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        f"LAST-MODIFIED:{visit.planned_again_at.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        f"SEQUENCE:{visit.version}",
        f"DTSTART:{visit.day:%Y%m%d}T{visit.starts:%H%M%S}",
        f"DTEND:{visit.day:%Y%m%d}T{visit.ends:%H%M%S}",
        f"SUMMARY:{_text(said)}",
        f"LOCATION:{_text(', '.join(place.address_lines))}",
        f"URL:{settings.SITE_ADDRESS.rstrip('/')}/folders/{visit.job.number}/visits/{visit.number}/",
        "END:VEVENT",
    ]


def _text(words: str) -> str:
    """Escaped after RFC 5545, 3.3.11."""
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n"), ("\r", "\\n")):
        words = words.replace(plain, escaped)
    return words


def _folded(line: str) -> str:
    """No more than 75 octets a line, and no letter cut apart; RFC 5545, 3.1."""
    pieces: list[str] = []
    piece = ""
    for letter in line:
        if len((piece + letter).encode()) > LINE - (1 if pieces else 0):
            pieces.append(piece)
            piece = ""
        piece += letter
    return "\r\n ".join([*pieces, piece])
