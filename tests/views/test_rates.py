"""Labour tasks, charges and unit prices: added, changed, removed."""

import pytest
from django.test import Client
from django.urls import reverse

from quoting.models import Edition
from quoting.services.starter_edition import create_starter_edition
from tests.factories import FirmFactory, UserFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db
NEW = {
    "labour": {"name": "Blow joints", "rate": "900", "unit": "ft**2/hour", "setup": "0.25"},
    "charges": {"name": "Water tank", "category": "equipment", "amount": "60", "per": "job", "always": ""},
    "unit-prices": {"name": "A further coat, a square foot", "price": "0.85"},
}
KEPT_AS = {"labour": "tasks", "charges": "charges", "unit-prices": "unit_prices"}


@pytest.fixture
def office(client: Client) -> Client:
    FirmFactory(currency="USD")
    client.force_login(UserFactory())
    return client


@pytest.fixture
def draft() -> Edition:
    return create_starter_edition(name="2026-1")


@pytest.mark.parametrize("noun", NEW)
def test_a_row_is_added_at_the_end(office, draft, noun):
    rows = getattr(draft, KEPT_AS[noun])
    page = reverse("rate-add", args=[draft.pk, noun])
    response = office.post(page, {**sent_from(office.get(page)), **NEW[noun]})
    assert response.url == reverse("edition", args=[draft.pk])
    assert rows.last().name == NEW[noun]["name"]


@pytest.mark.parametrize("noun", NEW)
def test_a_row_is_changed(office, draft, noun):
    row = getattr(draft, KEPT_AS[noun]).first()
    page = reverse("rate", args=[draft.pk, noun, row.pk])
    office.post(page, {**sent_from(office.get(page)), "name": "Called otherwise"})
    row.refresh_from_db()
    assert row.name == "Called otherwise"


@pytest.mark.parametrize("noun", NEW)
def test_what_is_wrong_is_said_and_kept(office, draft, noun):
    page = reverse("rate-add", args=[draft.pk, noun])
    response = office.post(page, {**sent_from(office.get(page)), **NEW[noun], "name": ""})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["name"]


@pytest.mark.parametrize("noun", ["charges", "unit-prices"])
def test_a_row_is_removed_after_it_was_asked(office, draft, noun):
    rows = getattr(draft, KEPT_AS[noun])
    row = rows.first()
    page = reverse("rate-remove", args=[draft.pk, noun, row.pk])
    assert office.get(page).status_code == 200
    assert rows.filter(pk=row.pk).exists()
    office.post(page)
    assert not rows.filter(pk=row.pk).exists()


def test_a_task_that_a_step_needs_stays(office, draft):
    task = draft.tasks.get(key="seal")
    response = office.post(reverse("rate-remove", args=[draft.pk, "labour", task.pk]), follow=True)
    assert "is still used by" in response.content.decode()
    assert draft.tasks.filter(key="seal").exists()


def test_two_who_changed_one_rate_choose(office, draft):
    task = draft.tasks.get(key="seal")
    page = reverse("rate", args=[draft.pk, "labour", task.pk])
    sent = sent_from(office.get(page))
    office.post(page, {**sent, "rate": "330"})
    response = office.post(page, {**sent, "rate": "340"})
    assert response.status_code == 409
    assert response.context["rows"] == [("One person does in an hour", "350", "330", "340")]


def test_there_are_no_other_rows(office, draft):
    assert office.get(f"/prices/{draft.pk}/wishes/new/").status_code == 404
