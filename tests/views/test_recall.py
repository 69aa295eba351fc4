"""The pages of sealing again: the list, the letter, the line on the desk."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from quoting.models import Message, SlabRecord
from tests.factories import CrewFactory, FirmFactory, JobFactory, OwnerFactory
from tests.services.test_recall import sealed

pytestmark = pytest.mark.django_db


@pytest.fixture
def row(client) -> SlabRecord:
    """A slab that is due this month, and the owner signed in."""
    FirmFactory()
    client.force_login(OwnerFactory())
    return due()


def due(**more: object) -> SlabRecord:
    month = timezone.localdate().replace(day=1)
    return sealed(JobFactory(**more), first=month, due_last=month + timedelta(days=200))


def test_the_list_names_place_and_system(client, row):
    page = client.get("/sealing-again/")
    assertContains(page, row.property.street)
    assertContains(page, "Recolour, acrylic film on concrete")


def test_nothing_due_says_what_comes_first(client, row):
    SlabRecord.objects.all().delete()
    assertContains(client.get("/sealing-again/"), "Nothing is due")
    assertContains(client.get("/sealing-again/?q=nowhere"), "Nothing found")


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_asks_as_often_however_long_it_is(client, row, rows, django_assert_num_queries):
    for _more in range(rows - 1):
        due()
    with django_assert_num_queries(4):  # session, user, slabs, firm
        client.get("/sealing-again/")


def test_a_letter_is_read_over_and_sent(client, row):
    url = f"/folders/{row.job.number}/sealing-again/"
    first = client.get(url).context["form"].initial
    assertRedirects(client.post(url, first), "/sealing-again/")
    assert Message.objects.get(kind="recall").to == row.property.customer.email
    assertNotContains(client.get("/sealing-again/"), url)


def test_it_is_left_until_a_day_with_its_reason(client, row):
    page = f"/folders/{row.job.number}/sealing-again/leave/"
    first = client.get(page).context["form"].initial["until"]
    assert first > timezone.localdate() + timedelta(days=330)
    until = timezone.localdate() + timedelta(days=200)
    answer = client.post(page, {"until": until.isoformat(), "because": "sound", "words": "beads well"}, follow=True)
    assertContains(answer, "Left. It comes up again on")
    row.refresh_from_db()
    assert (row.settled_as, row.settled_until, row.left_because) == ("left", until, "sound")
    assertContains(client.get("/sealing-again/"), "looked at: it is still sound, “beads well”")
    assertNotContains(client.get("/sealing-again/"), page)
    assertContains(client.post(page, follow=True), "Nothing here is due")


@pytest.mark.parametrize("until", ["", "2020-01-01", "2999-01-01"])
def test_a_day_that_cannot_be_is_refused(client, row, until):
    page = f"/folders/{row.job.number}/sealing-again/leave/"
    assert client.post(page, {"until": until, "because": "no"}).status_code == 422
    row.refresh_from_db()
    assert row.settled_until is None


def test_the_desk_names_it(client, row):
    assertContains(client.get("/"), f"/folders/{row.job.number}/sealing-again/")


def test_the_crew_does_not_come_here(client, row):
    client.force_login(CrewFactory())
    assert client.get("/sealing-again/").status_code == 403
    assertNotContains(client.get("/"), "sealing-again")


def test_the_folders_lead_to_it(client, row):
    assertContains(client.get("/folders/"), '<a class="act" href="/sealing-again/">Sealing again</a>', html=True)
