from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from quoting.documents.findings import may_be_read_at
from quoting.models import CrewRules, Event, Finding
from tests.factories import (
    AreaFactory,
    CrewFactory,
    FirmFactory,
    IssuedProposalFactory,
    JobFactory,
    OwnerFactory,
)
from tests.found_factories import FindingFactory, PhotoFactory, WaitingFindingFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    """Signed in as the owner."""
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def found_of(area) -> str:
    return reverse("found", args=[area.job.number, area.pk])


def add_to(area, kind: str) -> str:
    return reverse("finding-add", args=[area.job.number, area.pk, kind])


def at(row: Finding) -> str:
    return reverse("finding", args=[row.job.number, row.pk])


def test_the_page_has_the_form_of_each_test_for_the_surface(owner):
    page = owner.get(found_of(AreaFactory(surface="stamped")))
    assert page.status_code == 200
    assert "Put drops on five places or more" in page.text
    assert "Solvent vapour catches fire" in page.text
    assert "16 hours; 24 hours are quoted too" in page.text
    assert "Push a nail through the sand" not in page.text


def test_joint_sand_is_asked_on_pavers(owner):
    assert "Push a nail through the sand" in owner.get(found_of(AreaFactory(surface="concrete-pavers"))).text


def test_a_test_is_kept_with_what_it_reads_as(owner):
    area = AreaFactory()
    page = owner.post(add_to(area, "water-drop"), {"result": "soaks", "seconds": "8", "places": "5"}, follow=True)
    assert page.redirect_chain == [(f"{found_of(area)}#water-drop", 302)]
    row = Finding.objects.get()
    assert (row.kind, row.answers, row.reading, row.area) == (
        "water-drop",
        {"result": "soaks", "seconds": "8", "places": "5"},
        "open",
        area,
    )
    assert "Water soaks in, 8 s, 5 places" in page.text.replace("\u00a0", " ")


def test_a_test_holds_for_several_areas_at_once(owner):
    job = JobFactory()
    one, two, three = (AreaFactory(job=job, position=n) for n in range(3))
    owner.post(add_to(one, "tape"), {"result": "clean", "same_on": [str(two.pk)]})
    assert [row.area for row in Finding.objects.order_by("area__position")] == [one, two]
    assert not three.findings.exists()


def test_a_look_holds_for_the_whole_property(owner):
    area = AreaFactory()
    owner.post(add_to(area, "water"), {"result": "works", "same_on": ["whole"]})
    assert Finding.objects.get().area is None


def test_nothing_answered_is_said_and_nothing_kept(owner):
    page = owner.post(add_to(AreaFactory(), "tape"), {"result": ""})
    assert page.status_code == 422
    assert "Nothing is answered." in page.text
    assert not Finding.objects.exists()


def test_what_was_typed_is_kept_with_the_fault_beside_it(owner):
    page = owner.post(add_to(AreaFactory(), "rinse-ph"), {"rinse": "19", "fresh": "seven"})
    assert page.status_code == 422
    assert 'value="19"' in page.text
    assert "“19”: it must be 0 at least and 14 at most." in page.text
    assert "Two things to mend" in page.text


def test_a_test_that_waits_is_begun_and_then_read(owner):
    area = AreaFactory()
    owner.post(add_to(area, "plastic-sheet"), {"result": "", "begin": "1"})
    row = Finding.objects.get()
    assert (row.found_at, row.reading) == (None, "")
    page = owner.get(found_of(area))
    assert "read it after" in page.text
    owner.post(at(row), {"result": "dark", "waited": "17", "version": "1"})
    row.refresh_from_db()
    assert (row.reading, row.found_at is None) == ("wet", False)
    assert list(Event.objects.values_list("kind", flat=True)) == ["test begun", "test read"]


def test_a_test_waits_as_long_as_the_firm_chose_when_it_was_begun(owner):
    """24 h as MIL-HDBK-1110, 9.6.7.5 says, instead of 16 h of ASTM D4263: read after 17 h it is too soon."""
    area = AreaFactory()
    rules = CrewRules.objects.create(pk=1, waits={"plastic-sheet": 86_400})
    assert "24 hours; 16 hours are quoted too" in owner.get(found_of(area)).text
    owner.post(add_to(area, "plastic-sheet"), {"result": "", "begin": "1"})
    row = Finding.objects.get()
    assert may_be_read_at(row) - row.started_at == timedelta(hours=24)
    rules.delete()  # the firm changes its mind: what was begun stays as it was begun
    owner.post(at(row), {"result": "nothing", "waited": "17", "version": "1"})
    row.refresh_from_db()
    assert row.reading == "too-soon"
    assert "less than 24 hours" in owner.get(found_of(area)).text


def test_a_test_that_waits_offers_the_hours_that_went_by(owner):
    row = WaitingFindingFactory(started_at=datetime(2026, 6, 1, 14, 0, tzinfo=UTC))
    assert int(owner.get(at(row)).context["form"]["waited"].value()) >= 16


def test_one_test_has_one_reading_and_a_second_is_held_beside_it(owner):
    row = FindingFactory(kind="film", answers={"look": "even"}, reading="even")
    page = owner.post(add_to(row.area, "film"), {"look": "milky"})
    assert page.status_code == 409
    asked = "What does the film look like?"
    assert page.context["rows"] == [(asked, "left open", "even and clear", "milky, blushed or bubbled, but on")]
    row.refresh_from_db()
    assert row.answers == {"look": "even"}


def test_a_reading_of_another_area_is_never_written_over(owner):
    there = FindingFactory(kind="film", answers={"look": "even"}, reading="even")
    other = AreaFactory(job=there.job, position=1)
    page = owner.post(add_to(other, "film"), {"look": "milky", "same_on": [str(there.area.pk)]})
    assert page.status_code == 422
    assert "Area A has a reading of this already." in page.text
    assert Finding.objects.count() == 1


def test_two_who_change_a_finding_see_both(owner):
    row = FindingFactory(version=2)
    page = owner.post(at(row), {"result": "places", "version": "1", "initial-result": "clean"})
    assert page.status_code == 409
    row.refresh_from_db()
    assert row.answers == {"result": "clean"}


def test_drops_and_cracks_are_noted_in_several_places(owner):
    area = AreaFactory()
    for width in ("1/8", "3/8"):
        owner.post(add_to(area, "crack"), {"width": width, "length": "18", "level": "no"})
    assert list(Finding.objects.values_list("reading", flat=True)) == ["cosmetic", "structural"]
    assert "⅛ in" in owner.get(found_of(area)).text.replace("\u00a0", " ")


def test_a_finding_is_taken_back_after_it_was_asked_once(owner):
    row = FindingFactory()
    address = reverse("finding-remove", args=[row.job.number, row.pk])
    assert "goes for good" in owner.get(address).text
    owner.post(address, {"version": "1"})
    assert not Finding.objects.exists()


def test_a_test_that_waits_stands_on_the_desk_and_in_the_folder_with_its_time(owner):
    # Laid at 14:00 UTC on 1 June, 10:00 in New York; sixteen hours later it is 2:00 on 2 June there.
    row = WaitingFindingFactory(started_at=datetime(2999, 6, 1, 14, 0, tzinfo=UTC))
    for address in ("/", reverse("folder", args=[row.job.number])):
        page = owner.get(address).text.replace("\u00a0", " ")
        assert "begun 1 June, 10:00, read it after 2 June, 2:00" in page
        assert at(row) in page


def test_a_folder_shows_what_was_not_tested_too(owner):
    row = FindingFactory()
    page = owner.get(reverse("folder", args=[row.job.number])).text
    assert "Tape takes nothing off" in page
    assert '<th scope="row">Test patch</th><td class="off">not tested</td>' in page


def test_what_was_found_on_it_is_told_once_a_day(owner):
    area = AreaFactory()
    for width in ("1/8", "1/4"):
        owner.post(add_to(area, "crack"), {"width": width, "level": "no"})
    assert [event.kind for event in area.job.events.all()] == ["slab looked at"]


def test_the_crew_reads_and_does_not_write(client):
    FirmFactory()
    client.force_login(CrewFactory())
    row = FindingFactory(area__job=IssuedProposalFactory().job)
    page = client.get(found_of(row.area))
    assert "Tape takes nothing off" in page.text
    assert "Keep it" not in page.text
    assert client.post(add_to(row.area, "scratch"), {"result": "line"}).status_code == 403


def test_a_folder_that_may_not_be_seen_does_not_exist(client):
    FirmFactory()
    client.force_login(CrewFactory())
    assert client.get(found_of(FindingFactory().area)).status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_eleven_queries(owner, count, django_assert_num_queries):
    area = AreaFactory()
    for n in range(count):
        row = FindingFactory(area=area if n == 0 else AreaFactory(job=area.job, position=n))
        PhotoFactory(job=area.job, finding=row)
    # session, person, folder, areas, findings, their photographs, systems; of the advice: choices, findings; firm;
    # the crew’s rules for the waiting times
    with django_assert_num_queries(11):
        owner.get(found_of(area))
