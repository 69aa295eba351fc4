"""The pages of what a job cost."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pytest_django.asserts import assertContains, assertRedirects

from quoting.models import CostSheet, Job, Observed
from tests.factories import AreaFactory, CrewFactory, JobFactory, OwnerFactory
from tests.sample_contract import accepted_job, sealed_areas

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/cost/"


@pytest.fixture
def job(client) -> Job:
    owner = OwnerFactory()
    client.force_login(owner)
    job = accepted_job(by=owner, data=sealed_areas())
    AreaFactory(job=job, name="Pool deck", surface="stamped", condition="worn")
    return job


def test_nothing_written_down_says_what_to_do(client, job):
    assertContains(client.get(PAGE), "Nothing written down yet")


def test_nothing_agreed_leads_back_to_the_folder(client, job):
    other = JobFactory(number="0500")
    answer = client.get("/folders/0500/cost/", follow=True)
    assertContains(answer, f"Nothing is agreed in folder {other.number} yet.")


def test_what_is_typed_is_reckoned_in_the_units_shown(client, job):
    # The first row is the deck's hours of base tone, the second its powder in ounces.
    answer = client.post(f"{PAGE}enter/", {"version": 1, "used_0": "4", "weather_0": "1", "used_1": "20"})
    assertRedirects(answer, PAGE)
    rows = {(row["of"], row["area"]): row for row in CostSheet.objects.get().rows}
    # 20 oz = 20 × 0.028349523125 kg; hours are hours.
    assert Decimal(rows["base-tone", "Pool deck"]["amount"]) == Decimal("0.5669904625")
    assert (rows["labour", "Pool deck"]["amount"], rows["labour", "Pool deck"]["weather"]) == ("4", "1")
    page = client.get(PAGE)
    assertContains(page, "The weather")
    assertContains(page, "2 of 8 are known.")


def test_more_weather_than_was_used_is_refused(client, job):
    answer = client.post(f"{PAGE}enter/", {"version": 1, "used_0": "1", "weather_0": "2"})
    assertContains(answer, "What the weather and extras took is part of what was used.", status_code=422)


def test_two_hands_lose_nothing(client, job):
    client.post(f"{PAGE}enter/", {"version": 1, "used_0": "4"})
    answer = client.post(f"{PAGE}enter/", {"version": 1, "used_0": "5"})
    assertContains(answer, "Somebody else kept figures of this job meanwhile.", status_code=422)


def test_what_it_showed_is_kept(client, job):
    client.post(f"{PAGE}enter/", {"version": 1, "used_1": "20"})
    assertContains(client.post(f"{PAGE}learn/", follow=True), "1 figure kept to learn from.")
    assert Observed.objects.count() == 1


def test_nothing_to_learn_is_said(client, job):
    assertContains(client.post(f"{PAGE}learn/", follow=True), "Nothing was written down yet from which")


def test_the_crew_does_not_come_here(client, job):
    client.force_login(CrewFactory())
    for page in (PAGE, f"{PAGE}enter/"):
        assert client.get(page).status_code == 403


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_as_often_however_much_is_known(client, job, rows, django_assert_num_queries):
    client.post(f"{PAGE}enter/", {"version": 1} | {f"used_{n}": "4" for n in range(rows)})
    # session, user, folder, sheet, acceptance, scopes, changes, entries, firm, figures kept
    with django_assert_num_queries(10):
        client.get(PAGE)
