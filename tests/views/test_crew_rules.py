"""The firm's rules for its crew: kept by the owner, checked beside their blank, and used."""

from datetime import time
from decimal import Decimal

import pytest
from django.test import Client

from quoting.core.scope import Units
from quoting.models import CrewRules
from quoting.services.crew_rules import current_rules
from tests.factories import FirmFactory, OwnerFactory, UserFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Client:
    FirmFactory(id=1)
    client = Client()
    client.force_login(OwnerFactory())
    return client


def typed(owner: Client, **changes: str) -> dict[str, object]:
    return sent_from(owner.get("/firm/crew/")) | changes


def test_kept_as_it_stands_no_limit_is_the_firms_own(owner: Client) -> None:
    assert owner.post("/firm/crew/", typed(owner)).status_code == 302
    assert (CrewRules.objects.get().limits, CrewRules.objects.get().opens) == ({}, time(8))


def test_a_limit_of_the_firms_own_is_used_and_one_left_empty_is_off(owner: Client) -> None:
    owner.post("/firm/crew/", typed(owner, **{"limit-wind-most": "12", "limit-humidity-most": ""}))
    limits = current_rules().limits(Units.US)
    assert (limits["wind-most"].us, limits["wind-most"].own, limits["humidity-most"].us) == (Decimal(12), True, None)


def test_kept_as_it_stands_nothing_waits_otherwise(owner: Client) -> None:
    owner.post("/firm/crew/", typed(owner))
    assert (CrewRules.objects.get().waits, CrewRules.objects.get().recoat_hours) == ({}, 24)


def test_the_firm_chooses_among_the_waiting_times_that_are_quoted(owner: Client) -> None:
    page = owner.get("/firm/crew/").content.decode()
    assert all(words in page for words in ("24 hours: MIL-HDBK-1110", "16 hours: ASTM D4263-24", "15 seconds: common"))
    owner.post("/firm/crew/", typed(owner, **{"wait-plastic-sheet": "86400", "recoat_hours": "6"}))
    assert (CrewRules.objects.get().waits, CrewRules.objects.get().recoat_hours) == ({"plastic-sheet": 86_400}, 6)
    assert current_rules().kind("plastic-sheet").wait.words == "24 hours; 16 hours are quoted too"


def test_a_waiting_time_that_nobody_quotes_is_refused(owner: Client) -> None:
    page = owner.post("/firm/crew/", typed(owner, **{"wait-plastic-sheet": "3600"}))
    assert (page.status_code, CrewRules.objects.count()) == (422, 0)


@pytest.mark.parametrize(
    "wrong",
    [{"closes": "07:00"}, {"limit-wind-most": "windy"}, {"limit-air-most": "5000"}, {"scale_step": "0"}, {"opens": ""}],
)
def test_what_cannot_be_is_refused(owner: Client, wrong: dict[str, str]) -> None:
    page = owner.post("/firm/crew/", typed(owner, **wrong))
    assert (page.status_code, "to mend" in page.content.decode(), CrewRules.objects.count()) == (422, True, 0)


def test_of_two_who_change_the_rules_one_is_told(owner: Client) -> None:
    owner.post("/firm/crew/", typed(owner))
    first, second = typed(owner, rain_days="2"), typed(owner, rain_days="3")
    assert [owner.post("/firm/crew/", each).status_code for each in (first, second)] == [302, 422]
    assert CrewRules.objects.get().rain_days == 2


def test_the_rules_are_the_owners(owner: Client) -> None:
    client = Client()
    client.force_login(UserFactory())
    assert client.get("/firm/crew/").status_code == 403
