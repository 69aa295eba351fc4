"""verify proves what a job cost outside its scope: each field that is changed is named."""

from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest

from quoting.models import ExtraCost, Job
from quoting.services.extra_costs import take_back_extra_cost, write_extra_cost
from quoting.services.verify import Counted, verify_all
from quoting.services.verify_costs import extra_cost_faults
from tests.factories import FirmFactory, JobFactory, OwnerFactory
from tests.frozen_rows import triggers_lifted

pytestmark = pytest.mark.django_db


@pytest.fixture
def row() -> ExtraCost:
    """A lift hired for 120.50, and a fee that was taken back."""
    FirmFactory(id=1)
    job = JobFactory(number="0417")
    facts = {"job": job, "by": job.opened_by, "words": "Lift", "on": date(2026, 6, 1)}
    hired = write_extra_cost(once=UUID(int=1), kind="hire", amount=Decimal("120.50"), **facts)
    fee = write_extra_cost(once=UUID(int=2), kind="fee", amount=Decimal("40.00"), **facts)
    take_back_extra_cost(row=fee, by=job.opened_by)
    return hired


def change(row: ExtraCost, **values: object) -> list[str]:
    with triggers_lifted():
        ExtraCost.objects.filter(pk=row.pk).update(**values)
    return list(extra_cost_faults())


def test_what_was_written_down_is_what_the_trail_was_told(row):
    assert list(extra_cost_faults()) == []
    assert list(verify_all(Counted())) == []


@pytest.mark.parametrize(
    ("field", "value"),
    [("amount", 1), ("kind", "fee"), ("currency", "EUR"), ("on", date(2026, 6, 2)), ("once", UUID(int=9))],
)
def test_a_field_that_was_changed_is_named(row, field, value):
    assert change(row, **{field: value}) == [f"0417: extra cost {row.pk}: {field}: is not what the trail was told"]


def test_another_writer_is_named(row):
    assert change(row, by=OwnerFactory()) == [f"0417: extra cost {row.pk}: by: is not what the trail was told"]


def test_another_folder_is_named(row):
    other: Job = JobFactory(number="0418")
    assert change(row, job=other) == [f"0418: extra cost {row.pk}: job: the trail tells of another"]


def test_one_that_is_gone_and_one_that_nobody_wrote_are_named(row):
    gone = row.pk
    with triggers_lifted():
        ExtraCost.objects.filter(pk=gone).delete()
        strange = ExtraCost.objects.create(
            job=row.job,
            once=UUID(int=7),
            kind="trip",
            words="",
            amount=1,
            currency="USD",
            on=row.on,
            at=row.at,
            by=row.by,
        )
    assert list(extra_cost_faults()) == [
        f"0417: extra cost {strange.pk}: the trail tells of no such cost",
        f"extra cost {gone}: is missing",
    ]


def test_a_counter_entry_that_counters_nothing_any_more_is_named(row):
    counter = ExtraCost.objects.get(takes_back__isnull=False)
    assert change(counter, takes_back=None, amount=4000) == [
        f"0417: extra cost {counter.pk}: amount: is not what the trail was told",
        f"0417: extra cost {counter.pk}: takes_back: is not what the trail was told",
    ]
