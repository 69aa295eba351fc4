"""The pages of the firm's gear."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from quoting.models import GearItem
from tests.factories import CrewFactory, FirmFactory, OwnerFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db
PAGE = "/firm/gear/"


@pytest.fixture
def owner(client):
    FirmFactory(id=1)
    client.force_login(OwnerFactory())
    return client


def typed(**more: str) -> dict[str, str]:
    return {"name": "Big fan", "for_seal": "on", "count": "2", "per": "visit"} | more


def test_before_the_firm_has_a_list_the_one_to_begin_with_is_shown(owner):
    page = owner.get(PAGE)
    assertContains(page, "This is a list to begin with")
    assertContains(page, "Conos")
    assertRedirects(owner.post(f"{PAGE}begin/"), PAGE)
    assertNotContains(owner.get(PAGE), "This is a list to begin with")


def test_a_row_is_changed(owner):
    owner.post(f"{PAGE}begin/")
    row = GearItem.objects.get(key="goggles")
    page = owner.get(f"{PAGE}{row.pk}/")
    assertContains(page, "A starting value: common practice, no published source")
    assertRedirects(owner.post(f"{PAGE}{row.pk}/", sent_from(page) | {"count": "3", "place": "Van, left"}), PAGE)
    row.refresh_from_db()
    assert (row.count, row.place, row.works) == (3, "Van, left", ["wash", "strip", "sand", "colour", "seal"])


def test_a_roll_is_written_in_feet_and_kept_in_metres(owner):
    answer = owner.post(
        f"{PAGE}new/masking/",
        {"name": "Tape", "for_seal": "on", "roll": "60", "rows": "2", "waste": "10", "place": "Box"},
    )
    assertRedirects(answer, PAGE)
    row = GearItem.objects.get(name="Tape")
    # 60 × 0.3048 = 18.288.
    assert (row.roll, row.rows, row.waste, row.works) == (Decimal("18.288"), 2, Decimal("0.1"), ["seal"])
    assertContains(owner.get(PAGE), "60\u00a0ft a roll, 2 times along the edge, 10\u00a0% waste")


def test_missing_spanish_is_named(owner):
    owner.post(f"{PAGE}new/tool/", typed())
    assertContains(owner.get(PAGE), '<b class="hand">no Spanish</b>', html=True)


@pytest.mark.parametrize("wrong", [{"name": ""}, {"count": "0"}, {"for_seal": ""}])
def test_what_cannot_be_is_refused(owner, wrong):
    sent = {key: value for key, value in typed(**wrong).items() if value}
    assert owner.post(f"{PAGE}new/tool/", sent).status_code == 422
    assert not GearItem.objects.exists()


def test_two_hands_are_shown_both(owner):
    owner.post(f"{PAGE}new/tool/", typed())
    row = GearItem.objects.get(name="Big fan")
    opened = sent_from(owner.get(f"{PAGE}{row.pk}/"))
    owner.post(f"{PAGE}{row.pk}/", opened | {"count": "4"})
    assertContains(owner.post(f"{PAGE}{row.pk}/", opened | {"count": "5"}), "Two hands", status_code=409)


def test_a_row_is_taken_off(owner):
    owner.post(f"{PAGE}begin/")
    row = GearItem.objects.get(key="cones")
    assertContains(owner.get(f"{PAGE}{row.pk}/remove/"), "Take it off")
    owner.post(f"{PAGE}{row.pk}/remove/", {"version": "7"})
    assert GearItem.objects.filter(key="cones").exists()
    assertRedirects(owner.post(f"{PAGE}{row.pk}/remove/", {"version": "1"}), PAGE)
    assert not GearItem.objects.filter(key="cones").exists()


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_asks_as_often_however_long_it_is(owner, rows, django_assert_num_queries):
    for n in range(rows):
        GearItem.objects.create(key=f"fan-{n}", kind="tool", name="Fan", works=["seal"])
    with django_assert_num_queries(4):  # session, user, rows, firm
        owner.get(PAGE)


def test_an_unknown_kind_is_not_found(owner):
    assert owner.get(f"{PAGE}new/nothing/").status_code == 404


def test_the_crew_does_not_come_here(owner):
    owner.force_login(CrewFactory())
    for page in (PAGE, f"{PAGE}new/tool/", f"{PAGE}1/", f"{PAGE}1/remove/"):
        assert owner.get(page).status_code == 403
