"""The pages of how long a sealing lasts."""

from __future__ import annotations

import pytest
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from quoting.models import RecallRules
from tests.factories import CrewFactory, FirmFactory, OwnerFactory, UserFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db
PAGE = "/firm/sealing-again/"


@pytest.fixture
def owner(client):
    FirmFactory(id=1)
    client.force_login(OwnerFactory())
    return client


def test_every_figure_says_where_it_is_from(owner):
    page = owner.get(PAGE)
    assertContains(page, '<span class="note-under">starting value</span>', count=19, html=True)  # 3 films × 6 and 1
    assertContains(page, "they have no published source")
    assertContains(page, "not shortened", count=5)


def test_the_owner_sets_years_with_their_source(owner):
    sent = sent_from(owner.get(f"{PAGE}acrylic/"))
    more = {"pool-low": "1", "pool-likely": "1.5", "pool-high": "2", "source": "our jobs since 2015"}
    assertRedirects(owner.post(f"{PAGE}acrylic/", sent | more), PAGE)
    assert RecallRules.objects.get().lives == {"acrylic/pool": ["1", "1.5", "2"]}
    assertContains(owner.get(PAGE), "our jobs since 2015")


@pytest.mark.parametrize(
    "wrong",
    [
        {"itself-low": "", "itself-likely": "", "itself-high": ""},
        {"pool-low": "3"},  # more than likely and high, which are 1
        {"pool-low": ""},
        {"pool-low": "0"},
        {"pool-high": "51"},
    ],
)
def test_what_cannot_be_is_refused(owner, wrong):
    sent = sent_from(owner.get(f"{PAGE}acrylic/"))
    assert owner.post(f"{PAGE}acrylic/", sent | wrong).status_code == 422
    assert not RecallRules.objects.exists()


def test_the_season_is_set(owner):
    assertRedirects(owner.post(f"{PAGE}season/", {"first": "3", "last": "10"}), PAGE)
    assertContains(owner.get(PAGE), "March to October")
    assert owner.post(f"{PAGE}season/", {"first": "3", "last": "", "version": "1"}).status_code == 422


def test_two_hands_are_shown_both(owner):
    opened = sent_from(owner.get(f"{PAGE}paver/"))
    owner.post(f"{PAGE}paver/", opened | {"itself-high": "4"})
    answer = owner.post(f"{PAGE}paver/", opened | {"itself-high": "5"})
    assertContains(answer, "By itself, high", status_code=409)


def test_the_office_reads_and_the_crew_does_not(owner):
    owner.force_login(UserFactory())
    assertNotContains(owner.get(PAGE), "acrylic/")
    assert owner.get(f"{PAGE}acrylic/").status_code == 403
    owner.force_login(CrewFactory())
    assert owner.get(PAGE).status_code == 403


def test_a_seal_that_there_is_not_is_not_found(owner):
    assert owner.get(f"{PAGE}wax/").status_code == 404
