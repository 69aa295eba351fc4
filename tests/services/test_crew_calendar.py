"""The crew's calendar after RFC 5545, and its private address."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from quoting.models import Visit
from quoting.services.crew_calendar import calendar_of, make_key, person_of, take_back_key
from tests.factories import CrewFactory
from tests.sample_visits import THURSDAY, planned_job, visit_of

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 7, 1, 15, 30, tzinfo=UTC)


def told(visit: Visit) -> list[str]:
    return calendar_of([visit], "Ferrow, Daughter; sons", NOW).replace("\r\n ", "").split("\r\n")


def test_a_visit_is_an_event_by_the_clock_of_the_place() -> None:
    job = planned_job()
    Visit.objects.update(planned_again_at=NOW)
    lines = told(visit_of(job))
    assert lines[:5] == [
        "BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//crew days//EN", "METHOD:PUBLISH",
        "X-WR-CALNAME:Ferrow\\, Daughter\\; sons",
    ]  # fmt: skip
    assert [line for line in lines if line.startswith(("DT", "SUMMARY", "SEQUENCE", "LAST"))] == [
        "DTSTAMP:20260701T153000Z", "LAST-MODIFIED:20260701T153000Z", "SEQUENCE:1", "DTSTART:20260716T080000",
        "DTEND:20260716T093000", "SUMMARY:18 Alder Row: Wash / Lavar",
    ]  # fmt: skip


def test_no_line_is_longer_than_75_octets() -> None:
    # RFC 5545, 3.1
    visit = visit_of(planned_job())
    visit.job.property.street = "Calle del Río Ñandú " * 12
    text = calendar_of([visit], "x", NOW)
    assert max(len(line.encode()) for line in text.split("\r\n")) <= 75
    assert "Calle del Río Ñandú " * 12 in text.replace("\r\n ", "")


def test_the_address_opens_the_calendar_without_signing_in() -> None:
    Visit.objects.filter(job=planned_job()).update(day=datetime.now(UTC).date())
    secret = make_key(person=CrewFactory())
    page = Client().get(f"/crew/calendar/{secret}.ics")
    assert (page.status_code, page["Content-Type"], page.content.decode().count("BEGIN:VEVENT")) == (
        200, "text/calendar; charset=utf-8", 3,
    )  # fmt: skip


def test_no_name_and_no_telephone_stands_in_it() -> None:
    job = planned_job(property__customer__name="Priya Wexley", property__customer__phone="555-0142")
    text = calendar_of(list(Visit.objects.filter(day=THURSDAY).with_place()), "x", NOW)
    assert (job.property.customer.name in text, "555-0142" in text) == (False, False)


def test_an_address_taken_back_opens_nothing() -> None:
    person = CrewFactory()
    secret = make_key(person=person)
    take_back_key(person=person)
    assert Client().get(f"/crew/calendar/{secret}.ics").status_code == 404


def test_a_new_address_shuts_the_one_before() -> None:
    person = CrewFactory()
    old, new = make_key(person=person), make_key(person=person)
    assert (person_of(old), person_of(new)) == (None, person)


def test_somebody_who_left_sees_nothing_more() -> None:
    person = CrewFactory()
    secret = make_key(person=person)
    person.is_active = False
    person.save()
    assert person_of(secret) is None


def test_the_page_shows_the_address_once() -> None:
    client = Client()
    client.force_login(CrewFactory())
    made = client.post("/crew/calendar/", {"do": "make"}).content.decode()
    assert (".ics" in made, ".ics" in client.get("/crew/calendar/").content.decode()) == (True, False)


def test_a_visit_that_is_held_says_so_in_both_languages() -> None:
    planned_job()
    Visit.objects.update(state=Visit.State.HELD)
    summary = next(line for line in told(Visit.objects.get(number=1)) if line.startswith("SUMMARY:"))
    assert summary.endswith("Wash / Lavar (held / detenida)")
