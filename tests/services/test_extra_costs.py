"""What a job cost outside its scope: written once, taken back once, never changed."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest
from django.db import DatabaseError, connection, transaction

from quoting.models import Event, ExtraCost, Job
from quoting.services.extra_costs import TakenBack, take_back_extra_cost, write_extra_cost
from tests.factories import FirmFactory, JobFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    FirmFactory(id=1)
    return JobFactory()


def write(job: Job, once: int = 1, amount: str = "120.50") -> ExtraCost:
    return write_extra_cost(
        job=job, by=job.opened_by, once=UUID(int=once), kind="hire", words="Lift", amount=Decimal(amount),
        on=date(2026, 6, 1),
    )  # fmt: skip


def test_a_second_click_writes_nothing_more(job):
    assert write(job) == write(job)
    assert (ExtraCost.objects.get().amount, ExtraCost.objects.get().sum) == (12_050, Decimal("120.50"))
    assert Event.objects.filter(kind="extra cost written").count() == 1


def test_it_is_taken_back_once_by_the_same_sum_with_the_other_sign(job):
    row = write(job)
    counter = take_back_extra_cost(row=row, by=job.opened_by)
    assert (counter.amount, counter.takes_back) == (-12_050, row)
    assert [each.stands for each in ExtraCost.objects.with_counter()] == [False, False]
    for again in (row, counter):
        with pytest.raises(TakenBack):
            take_back_extra_cost(row=again, by=job.opened_by)


def test_the_trail_keeps_no_words_of_it(job):
    write(job)
    assert "Lift" not in Event.objects.get(kind="extra cost written").data


@pytest.mark.parametrize("sql", ["UPDATE quoting_extracost SET amount = 1", "DELETE FROM quoting_extracost"])
def test_the_database_refuses_to_change_it(job, sql):
    write(job)
    with (
        pytest.raises(DatabaseError),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql)
    assert ExtraCost.objects.get().amount == 12_050
