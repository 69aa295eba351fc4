"""verify proves every hand-over: the sheet's row, its sign-off, and what is kept of each slab."""

from datetime import date

import pytest
from django.utils import timezone

from quoting.models import HandOver, Paper, SlabRecord
from quoting.services import hand_over as acts
from quoting.services.customers import erase_customer
from quoting.services.verify_hand_over import hand_over_faults
from quoting.services.verify_work import work_faults
from tests.factories import JobFactory, UserFactory
from tests.frozen_rows import triggers_lifted
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet() -> Paper:
    """H-0001, issued and signed by the homeowner."""
    job = accepted_job()
    row = acts.begin_hand_over(job=job, by=job.opened_by)
    acts.keep_hand_over(row=row, version=1, note="Her dog is called Bo.")
    row.refresh_from_db()
    paper = acts.issue_hand_over(row=row, version=row.version, by=job.opened_by)
    acts.sign_hand_over(row=row, name="Priya Wexley", on=date(2026, 7, 30), how=HandOver.Signed.SHEET)
    return paper


def faults() -> list[str]:
    return list(hand_over_faults())


ROW = {
    "finished_on": (date(2026, 1, 1), "hand-over: finished_on"),
    "walk_hours": (1, "hand-over: walk_hours"),
    "furniture_hours": (1, "hand-over: furniture_hours"),
    "park_hours": (1, "hand-over: park_hours"),
    "care": ("Do nothing.", "hand-over: care"),
    "note": ("", "hand-over: note"),
    "walked": (["dry"], "hand-over: walked"),
    "slabs": ([], "hand-over: slabs"),
    "begun_at": (timezone.now(), "hand-over: begun_at"),
    "begun_by": (None, "hand-over: begun_by"),
    "salt": ("0" * 32, "hand-over: note"),
    "signed_salt": ("0" * 32, "sign-off: signed_name"),
    "signed_on": (date(2026, 1, 1), "sign-off: signed_on"),
    "signed_name": ("Tom Wexley", "sign-off: signed_name"),
    "signed_how": ("page", "sign-off: signed_how"),
}


def test_an_untouched_hand_over_has_no_faults(sheet):
    assert faults() == []


@pytest.mark.parametrize("field", ROW)
def test_a_changed_field_is_named(sheet, field):
    value, said = ROW[field]
    HandOver.objects.update(**{field: UserFactory() if field == "begun_by" else value})
    assert faults() == [f"{sheet.number}: {said}: is not what the trail was told"]


def test_every_column_is_proved():
    later = {"id", "version", "job", "paper"}
    assert {field.name for field in HandOver._meta.concrete_fields} - later == set(ROW)


def test_a_sign_off_that_nobody_made_is_named(sheet):
    HandOver.objects.update(signed_on=None, signed_name="", signed_how="")
    assert [fault.split(": ")[2] for fault in faults()] == ["signed_how", "signed_name", "signed_on"]


def test_a_row_that_is_gone_or_belongs_elsewhere_is_named(sheet):
    HandOver.objects.update(job=JobFactory())
    said = [f"{sheet.number}: hand-over: no walk-through of its folder belongs to it"]
    assert [fault for fault in faults() if "slab" not in fault] == said


SLAB = {
    "area": "Back walk", "surface": "clay pavers", "system": "Another", "seal": "penetrant", "exposures": ["pool"],
    "sealed_on": date(2020, 1, 1), "coats": 9, "coats_before": 9, "film": "9 mil", "recipe": ["x"], "lots": ["x"],
    "is_stripped": True, "film_depth": "0.001", "due_likely": date(2040, 1, 1), "readings": ["x"],
    "due_first": date(2040, 1, 1), "due_last": date(2040, 1, 1),
}  # fmt: skip


@pytest.mark.parametrize("field", SLAB)
def test_a_changed_field_of_a_slab_is_named(sheet, field):
    row = SlabRecord.objects.order_by("pk")[0]
    SlabRecord.objects.filter(pk=row.pk).update(**{field: SLAB[field]})
    assert faults() == [f"{sheet.number}: slab record {row.pk}: {field}: is not what the trail was told"]


def test_every_column_of_a_slab_is_proved():
    later = {"id", "job", "property", "settled_at", "settled_as", "settled_until", "left_because", "left_words"}
    assert {field.name for field in SlabRecord._meta.concrete_fields} - later == set(SLAB)


def test_a_dropped_and_an_added_slab_are_named(sheet):
    row = SlabRecord.objects.order_by("pk")[0]
    SlabRecord.objects.create(job=JobFactory(), property=row.property, area="Shed", system="x", seal="acrylic",
                              sealed_on=row.sealed_on, coats=1)  # fmt: skip
    pk = row.pk
    row.delete()
    assert [fault for fault in faults() if f"slab record {pk}" in fault] == [
        f"{sheet.number}: slab record {pk}: is missing"
    ]
    assert any(fault.endswith("no sheet was issued for it") for fault in faults())


def test_a_note_is_gone_without_a_fault_once_the_person_is_erased(sheet):
    customer = sheet.job.property.customer
    erase_customer(by=sheet.issued_by, customer=customer, version=customer.version)
    row = HandOver.objects.get()
    assert (row.note, row.salt, row.signed_name) == ("", "", "Priya Wexley")
    assert [*faults(), *work_faults()] == []


def test_the_trail_holds_no_name(sheet):
    with triggers_lifted():
        assert not sheet.job.events.filter(data__contains="Wexley").exists()
