"""The slab's record: the page, the paper, and who may see it."""

from __future__ import annotations

from datetime import date

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from quoting.models import Job
from tests.factories import CrewFactory, FirmFactory, JobFactory, OwnerFactory
from tests.reading_pdf import text_of
from tests.sample_visits import planned_job
from tests.services.test_recall import sealed

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/slab/"


@pytest.fixture
def job(client) -> Job:
    FirmFactory(id=1)
    client.force_login(OwnerFactory())
    return JobFactory(number="0417")


def test_nothing_of_ours_says_what_comes_first(client, job):
    assertContains(client.get(PAGE), "Nothing of ours lies on it")


def test_every_job_of_the_property_is_a_layer(client, job):
    sealed(job, coats_before=1, recipe=["Sealer: 250 ft²/gal"], lots=["Sealer, lot L7"], readings=["slab 71 °F"])
    sealed(JobFactory(number="0520", property=job.property), sealed_on=date(2028, 6, 1), coats=1, coats_before=3)
    page = client.get(PAGE)
    assertContains(page, "4 in all")
    for words in ("Sealer, lot L7", "slab 71 °F", '<a href="/folders/0520/">0520</a>'):
        assertContains(page, words)


def test_the_paper_says_the_same(client, job):
    sealed(job, coats_before=1, lots=["Sealer, lot L7"])
    sheet = client.get("/folders/0417/slab.pdf")
    text = text_of(sheet.content)
    assert (sheet.status_code, "3 in all" in text, "Sealer, lot L7" in text) == (200, True, True)


@pytest.mark.parametrize("rows", [1, 3])
def test_the_page_asks_as_often_however_many_layers_there_are(client, job, rows, django_assert_num_queries):
    for place in range(rows):
        sealed(JobFactory(property=job.property), area=f"Area {place}")
    with django_assert_num_queries(5):  # session, user, folder, firm, records
        client.get(PAGE)


def test_the_crew_reads_what_lies_there_on_a_job_that_it_works_on(client):
    job = planned_job()
    sealed(job, lots=["Sealer, lot L7"])
    client.force_login(CrewFactory())
    address = f"/folders/{job.number}/slab/"
    assertContains(client.get(f"/folders/{job.number}/visits/1/"), f'href="{address}"')
    page = client.get(address)
    assertContains(page, "Sealer, lot L7")
    assertNotContains(page, f'href="/folders/{job.number}/"')
    assert client.get(f"/folders/{job.number}/slab.pdf").status_code == 200


def test_the_crew_is_led_nowhere_from_a_slab_without_layers(client):
    job = planned_job()
    client.force_login(CrewFactory())
    page = client.get(f"/folders/{job.number}/slab/")
    assertContains(page, "Nothing of ours lies on it")
    assertNotContains(page, "To the hand-over")


def test_the_crew_finds_no_slab_of_a_folder_that_it_may_not_open(client, job):
    client.force_login(CrewFactory())
    assert client.get(PAGE).status_code == client.get("/folders/0417/slab.pdf").status_code == 404
