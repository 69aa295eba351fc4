"""verify proves the crew's work: days, entries, holds, notices, bookings; each field that is changed is named."""

import json
from datetime import date, time
from uuid import UUID

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from quoting.models import Booked, DayPlan, Entry, Hold, Job, Message, Visit, VisitStep
from quoting.services.customers import erase_customer
from quoting.services.entries import keep_entry
from quoting.services.verify_work import work_faults
from quoting.services.visits import finish_visit, hold_visit, move_visit, plan_visits, tell_homeowner
from tests.factories import CrewFactory, UserFactory
from tests.frozen_rows import triggers_lifted
from tests.sample_visits import planned_job, visit_of

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 7, 20)
GOOD = {
    "work": "colour", "units": "us", "air": "74", "slab": "71", "humidity": "57", "wind": "4", "air_lowest": "55",
    "since_wash": "30", "since_rain": "48", "until_rain": "20",
}  # fmt: skip
USED = {
    "material": "sealer", "place": 2, "area": "Pool deck", "coat": 2, "lot": "S-18", "called": "2.5 gal",
    "magnitude": "0.009463529460", "dimension": "VOLUME", "packs": 1,
}  # fmt: skip
KINDS = {
    "tick": {"step": "0.1.1"},
    "untick": {"step": "0.1.1"},
    "reading": GOOD,
    "used": USED,
    "left": {"material": "sealer", "called": "1 gal", "magnitude": "0.003785411784", "dimension": "VOLUME", "lot": ""},
    "hours": {"who": 1, "place": 0, "hours": "2.5"},
    "note": {"words": "Mrs Wexley is away."},
}


@pytest.fixture
def job() -> Job:
    """A folder with one entry of each kind, a moved visit, a held one of which the homeowner was told, one done."""
    job = planned_job(property__customer__email="priya@example.com")
    by, visit = CrewFactory(), visit_of(job)
    for count, (kind, data) in enumerate(KINDS.items(), start=1):
        keep_entry(visit=visit, by=by, once=UUID(int=count), kind=kind, data=data)
    hold = hold_visit(visit=visit, version=1, by=by, day=MONDAY, reason="rain", words="Mr Wexley asked.")
    tell_homeowner(hold=hold, by=job.opened_by, subject="s", words="w")
    third = visit_of(job, 3)
    move_visit(visit=third, version=third.version, by=by, day=date(2026, 7, 27), reason="The Wexleys' party")
    finish_visit(visit=visit_of(job), version=visit_of(job).version, by=by)
    return job


def faults() -> list[str]:
    return list(work_faults())


def change(rows, **values) -> list[str]:
    """What verify says after somebody with the keys of the database did this; put back afterwards."""
    kept = list(rows.values("pk", *values))
    with triggers_lifted():
        rows.update(**values)
    found = faults()
    with triggers_lifted():
        for row in kept:
            pk = row.pop("pk")
            type(rows.first() or rows.model()).objects.filter(pk=pk).update(**row)
    assert faults() == []
    return found


def test_untouched_work_has_no_faults(job):
    assert faults() == []


ENTRY = {
    "visit": lambda: visit_of(Job.objects.get(), 2),
    "once": lambda: UUID(int=99),
    "kind": lambda: "done",
    "words": lambda: "Nobody is away.",
    "salt": lambda: "0" * 32,
    "words_sha256": lambda: "0" * 64,
    "made_at": timezone.now,
    "arrived_at": timezone.now,
    "by": lambda: UserFactory(),
}


@pytest.mark.parametrize("field", ENTRY)
def test_a_changed_field_of_an_entry_is_named(job, field):
    found = change(Entry.objects.filter(kind="note"), **{field: ENTRY[field]()})
    said = {"salt": "words"}.get(field, field)
    assert any(f": {said}: " in fault and "entry" in fault for fault in found), found


def test_every_column_of_an_entry_is_proved():
    assert {field.name for field in Entry._meta.concrete_fields} - {"id", "data"} == set(ENTRY)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "note"])
def test_a_changed_or_dropped_figure_of_an_entry_is_named(job, kind):
    entry = Entry.objects.get(kind=kind)
    for name in entry.data:
        for data in ({**entry.data, name: "7"}, {key: value for key, value in entry.data.items() if key != name}):
            found = change(Entry.objects.filter(pk=entry.pk), data=data)
            assert any(f"0417: visit 1: entry {entry.pk} ({kind}): data.{name}: " in fault for fault in found), name


def test_a_verdict_is_reckoned_again_from_the_limits_kept_with_it(job):
    data = Entry.objects.get(kind="reading").data
    found = change(Entry.objects.filter(kind="reading"), data=data | {"slab": "95"})
    assert any(fault.endswith("word: is go, the readings give pre-wet") for fault in found)


def test_an_amount_is_read_again_from_its_words(job):
    data = Entry.objects.get(kind="used").data
    found = change(Entry.objects.filter(kind="used"), data=data | {"magnitude": "0.004"})
    assert any(fault.endswith("magnitude: is not what “2.5 gal” is") for fault in found)


def test_a_dropped_entry_is_missed_and_an_added_one_is_found(job):
    row = Entry.objects.get(kind="hours")
    with triggers_lifted():
        row.delete()
    assert faults() == [f"entry {row.once} (hours) of visit {row.visit_id}: is missing"]
    Entry.objects.create(visit=row.visit, once=UUID(int=50), kind="tick", data={"step": "0.1.1"}, by=row.by,
                         made_at=timezone.now(), arrived_at=timezone.now())  # fmt: skip
    assert any("once: the trail tells of no such entry" in fault for fault in faults())


HOLD = {
    "visit": lambda: visit_of(Job.objects.get(), 2),
    "reason": lambda: "cold",
    "words": lambda: "Nobody asked.",
    "salt": lambda: "0" * 32,
    "words_sha256": lambda: "0" * 64,
    "entry": lambda: Entry.objects.get(kind="note"),
    "from_day": lambda: date(2026, 7, 1),
    "to_day": lambda: date(2026, 7, 30),
    "at": timezone.now,
    "by": lambda: UserFactory(),
    "notice": lambda: None,
}


@pytest.mark.parametrize("field", HOLD)
def test_a_changed_field_of_a_hold_is_named(job, field):
    found = change(Hold.objects.all(), **{field: HOLD[field]()})
    said = {"salt": "words"}.get(field, field)
    assert any(f"hold {Hold.objects.get().pk}: {said}: " in fault for fault in found), found


def test_every_column_of_a_hold_is_proved():
    assert {field.name for field in Hold._meta.concrete_fields} - {"id"} == set(HOLD)


def test_a_dropped_hold_is_missed(job):
    pk = Hold.objects.get().pk
    with triggers_lifted():
        Hold.objects.all().delete()
    assert faults() == [f"hold {pk}: is missing"]


VISIT = {
    "number": 9,
    "day": date(2026, 7, 28),
    "starts": time(7),
    "ends": time(17),
    "state": "planned",
    "purpose": "seal",
    "waits_for": "No reason.",
    "planned_again_at": timezone.now(),
    "version": 40,
}


@pytest.mark.parametrize("field", VISIT)
def test_a_changed_field_of_a_visit_is_named(job, field):
    found = change(Visit.objects.filter(number=1), **{field: VISIT[field]})
    said = {"number": "visit 1: is missing"}.get(field, f"visit 1: {field}: ")
    assert any(fault.startswith(f"0417: {said}") for fault in found), found


def test_every_column_of_a_visit_is_proved():
    assert {field.name for field in Visit._meta.concrete_fields} - {"id", "job"} == set(VISIT)


STEP = {
    "position": 7, "place": 7, "name": "Rinse", "areas": [], "work": "sand", "starts": time(7), "hours": "9",
    "hold": "9", "coat": 7, "coats": 7, "part": 7, "parts": 7,
}  # fmt: skip


@pytest.mark.parametrize("field", STEP)
def test_a_changed_field_of_a_step_is_found(job, field):
    found = change(VisitStep.objects.filter(visit__number=1, position=0), **{field: STEP[field]})
    assert found == ["0417: visit 1: step 1: is not what the trail was told"]


def test_every_column_of_a_step_is_proved():
    assert {field.name for field in VisitStep._meta.concrete_fields} - {"id", "visit"} == set(STEP)


PLAN = {
    "first_day": date(2026, 7, 1), "crew": 9, "pins": [], "reserve": 9, "latest": date(2026, 9, 1),
    "scope_sha256": "0" * 64, "salt": "0" * 32, "version": 9,
}  # fmt: skip


@pytest.mark.parametrize("field", PLAN)
def test_a_changed_field_of_the_plan_is_named(job, field):
    found = change(DayPlan.objects.all(), **{field: PLAN[field]})
    said = {"salt": "pins"}.get(field, field)
    assert f"0417: days: {said}: is not what the trail was told" in found


def test_every_column_of_the_plan_is_proved():
    assert {field.name for field in DayPlan._meta.concrete_fields} - {"id", "job"} == set(PLAN)


def test_a_dropped_visit_is_missed(job):
    with triggers_lifted():
        VisitStep.objects.filter(visit__number=2).delete()
        Visit.objects.filter(number=2).delete()
    assert faults() == ["0417: visit 2: is missing"]


def test_days_laid_by_nobody_are_found(job):
    other = planned_job(number="0418")
    with triggers_lifted():
        Visit.objects.filter(job=other, number=1).update(job=job, number=90)
    assert any(fault.startswith("0417: visit 90: ") for fault in faults())


def test_words_that_are_gone_are_a_fault_unless_the_person_was_erased(job):
    assert any(": words: " in fault for fault in change(Entry.objects.filter(kind="note"), words="", salt=""))
    customer = job.property.customer
    erase_customer(by=job.opened_by, customer=customer, version=customer.version)
    assert [*Entry.objects.exclude(words=""), *Hold.objects.exclude(words="")] == []
    assert faults() == []
    assert "Wexley" not in json.dumps(list(Visit.objects.values("waits_for")) + list(DayPlan.objects.values("pins")))


def test_of_what_was_written_down_only_the_words_can_be_erased(job):
    Entry.objects.filter(kind="note").update(words="", salt="")
    for wrong in ({"words": "else"}, {"words": "", "salt": "", "kind": "tick"}, {"data": {"x": 1}}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Entry.objects.filter(kind="note").update(**wrong)


def test_of_a_hold_only_the_mail_is_named_later(job):
    other = Message.objects.get()
    for wrong in ({"reason": "cold"}, {"to_day": date(2026, 9, 1)}, {"notice": None}, {"words": "else"}):
        with pytest.raises(DatabaseError), transaction.atomic():
            Hold.objects.update(**wrong)
    Hold.objects.update(notice=other)


def test_the_trail_holds_no_word_of_the_crew(job):
    kept = json.dumps(list(job.events.values_list("data", flat=True)))
    assert [word for word in ("Wexley", "away", "party", "S-18", "Pool deck") if word in kept] == []


def test_days_laid_anew_are_told_anew():
    job = planned_job()
    plan_visits(job=job, by=job.opened_by, first_day=MONDAY, crew=3)
    assert faults() == []


def test_a_booking_is_proved(job):
    entry = Entry.objects.get(kind="used")
    Booked.objects.create(entry=entry, once=UUID(int=7), at=timezone.now(), by=job.opened_by)
    assert faults() == [f"entry {entry.pk}: booked: is not what the trail was told"]
