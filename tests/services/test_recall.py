"""Slabs that are due to be sealed again: the list, the letter, leaving it."""

from __future__ import annotations

import json
from datetime import date

import pytest
from django.utils import timezone

from quoting.models import Event, Job, Message, SlabRecord
from quoting.services import recall as acts
from tests.factories import FirmFactory, JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db
TODAY = date(2028, 3, 15)


def sealed(
    job: Job | None = None, area: str = "Pool deck", first: date | None = date(2028, 3, 1), **more: object
) -> SlabRecord:
    """An area sealed in June 2026, whose window opens in March 2028."""
    job = job or JobFactory()
    facts = {
        "system": "Recolour", "seal": "acrylic", "sealed_on": date(2026, 6, 10), "coats": 2, "due_first": first,
        "due_last": date(2028, 9, 1),
    }  # fmt: skip
    return SlabRecord.objects.create(property=job.property, job=job, area=area, **(facts | more))


def listed(months: int = 12, words: str = "") -> list[tuple[date, list[tuple[str, list[str]]]]]:
    found = acts.due_list(TODAY, months, words)
    return [
        (
            month.month.first_day,
            [(name, [found.records[slab.key].area for slab in slabs]) for name, slabs in month.groups],
        )
        for month in found.months
    ]


def test_the_list_goes_by_month_and_neighbourhood():
    job = JobFactory(property__postcode="01234-5678")
    sealed(job)
    sealed(job, "Steps")
    sealed(area="Drive", first=date(2028, 5, 1))
    sealed(area="Later", first=date(2029, 3, 1))
    assert listed() == [
        (date(2028, 3, 1), [("01234", ["Pool deck", "Steps"])]),
        (date(2028, 5, 1), [("Larkmere", ["Drive"])]),
    ]


def test_a_window_that_went_by_stands_in_this_month():
    row = sealed(first=date(2027, 6, 1), due_last=date(2027, 12, 1))
    assert listed() == [(date(2028, 3, 1), [("Larkmere", ["Pool deck"])])]
    assert acts.window_state(row, TODAY) == "over"


def test_the_list_is_searched():
    sealed(JobFactory(property__street="3 Mill Lane"), "Walk")
    sealed(area="Pool deck")
    assert listed(words="mill") == [(date(2028, 3, 1), [("Larkmere", ["Walk"])])]


def test_a_later_job_on_the_area_takes_the_place_of_the_earlier():
    old = sealed()
    sealed(JobFactory(property=old.property), first=date(2031, 3, 1))
    assert listed() == []


def test_the_letter_says_what_was_sealed_and_when():
    FirmFactory(name="Ferrow & Daughter")
    row = sealed(exposures=["salt-pool"])
    subject, words = acts.draft_recall(job=row.job, by=OwnerFactory(), today=TODAY)
    assert subject == f"Time to think of sealing again: {row.property.street}"
    assert "we sealed the pool deck" in words
    assert "10\u00a0June\u00a02026" in words
    assert "by September 2028" in words
    assert "Pool water" in words


def test_one_letter_is_about_all_of_a_property_and_goes_once():
    FirmFactory()
    row = sealed()
    other = sealed(row.job, "Steps", first=date(2028, 8, 1))
    facts = {"to": "priya@example.com", "subject": "s", "words": "w", "once": "0" * 32, "by": OwnerFactory()}
    for _again in range(2):
        acts.send_recall(job=row.job, today=TODAY, **facts)
    assert Message.objects.filter(kind="recall").count() == 1
    assert set(SlabRecord.objects.values_list("pk", "settled_as")) == {(row.pk, "letter"), (other.pk, "letter")}
    assert (listed(), SlabRecord.objects.values_list("settled_until", flat=True)[0]) == ([], date(2029, 3, 15))
    with pytest.raises(acts.NothingDue):
        acts.send_recall(job=row.job, today=TODAY, **(facts | {"once": "1" * 32}))


def left(row: SlabRecord, until: date = date(2029, 3, 15), today: date = TODAY) -> None:
    said = {"until": until, "because": "not-now", "words": "after June"}
    acts.leave_recall(job=row.job, by=OwnerFactory(), today=today, **said)


def test_what_is_left_no_longer_stands_on_the_desk():
    row = sealed()
    assert list(acts.due_now(TODAY)) == [row]
    left(row)
    assert list(acts.due_now(TODAY)) == []
    assert json.loads(Event.objects.get(kind="recall left").data) == {"because": "not-now", "until": "2029-03-15"}
    row.refresh_from_db()
    assert (row.settled_at <= timezone.now(), row.left_because, row.left_words) == (True, "not-now", "after June")


def test_what_is_left_comes_up_again_on_its_day():
    row = sealed()
    left(row)
    assert list(acts.due_now(date(2029, 3, 14))) == []
    assert list(acts.due_now(date(2029, 3, 15))) == [row]
    assert acts.due_on(row.job, date(2029, 3, 15)) == [row]


def test_what_is_left_stands_in_the_list_in_the_month_of_its_day():
    left(sealed(), until=date(2028, 8, 20))
    assert [month for month, _groups in listed()] == [date(2028, 8, 1)]
    assert listed(months=5) == []  # March to July


def test_a_day_that_is_no_more_than_today_is_refused():
    with pytest.raises(acts.RestsToday):
        left(sealed(), until=TODAY)


def test_a_year_on_the_last_of_february_is_a_day_that_there_is():
    assert acts.rest_until(date(2028, 2, 29)) == date(2029, 2, 28)


def test_a_later_job_that_only_coloured_changes_no_date():
    old = sealed()
    sealed(JobFactory(property=old.property), first=None, due_last=None, coats=0)
    assert list(acts.due_now(TODAY)) == [old]
    assert [months[0] for months in listed()] == [date(2028, 3, 1)]
