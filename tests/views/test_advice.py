import pytest
from django.urls import reverse

from quoting.models import AdviceChoice, Edition
from tests.factories import (
    AreaFactory,
    CrewFactory,
    EditionFactory,
    FirmFactory,
    OwnerFactory,
    RestorationSystemFactory,
)
from tests.found_factories import AdviceChoiceFactory, FindingFactory
from tests.sample_visits import planned_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    """Signed in as the owner."""
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def pale(area) -> None:
    """A film that holds everywhere, looks even, and a colour that doesn't please even wet: recolouring suits."""
    for kind, answers in (
        ("tape", {"result": "clean"}),
        ("scratch", {"result": "line"}),
        ("film", {"look": "worn"}),
        ("solvent-drop", {"result": "tacky", "waited": "60"}),
        ("wet-colour", {"result": "pale"}),
    ):
        FindingFactory(area=area, kind=kind, answers=answers)


def publish_systems(*approaches: str) -> None:
    """A published price book with one system for each approach, called like it."""
    edition = EditionFactory()
    for approach in approaches:
        RestorationSystemFactory(edition=edition, name=f"To {approach}", approach=approach, surfaces=["stamped"])
    Edition.objects.filter(pk=edition.pk).update(state="published")


def advice_of(area) -> str:
    return reverse("advice", args=[area.job.number, area.pk])


def test_a_system_of_today_s_price_book_is_named_with_reason_rule_and_standing(owner):
    area = AreaFactory(surface="stamped")
    publish_systems("recolour")
    pale(area)
    page = owner.get(reverse("found", args=[area.job.number, area.pk]))
    assert [line.name for line in page.context["advised"].suits] == ["To recolour"]
    assert "so it has to be put back or changed." in page.text
    assert "common practice, rule recolour-wrong-colour" in page.text


def test_the_advice_is_followed_without_a_reason(owner):
    area = AreaFactory()
    pale(area)
    owner.post(advice_of(area), {"approach": "recolour", "reason": "", "version": "0"})
    row = AdviceChoice.objects.get()
    assert (row.approach, row.against, row.rules) == ("recolour", False, ["recolour-wrong-colour"])
    assert [event.kind for event in area.job.events.all()] == ["advice followed"]


def test_going_against_it_asks_why_and_is_kept_and_told(owner):
    area = AreaFactory()
    pale(area)
    asked = owner.post(advice_of(area), {"approach": "reseal", "reason": "", "version": "0"})
    assert asked.status_code == 422
    assert "Write why you choose it all the same" in asked.text
    owner.post(advice_of(area), {"approach": "reseal", "reason": "They sell in autumn.", "version": "0"})
    row = AdviceChoice.objects.get()
    assert (row.against, row.reason) == (True, "They sell in autumn.")
    event = area.job.events.get()
    assert event.kind == "advice gone against"
    assert "autumn" not in event.data


def test_two_who_choose_see_both(owner):
    row = AdviceChoiceFactory(version=2)
    typed = {"approach": "strip", "reason": "I am sure.", "version": "1", "initial-approach": "reseal"}
    assert owner.post(advice_of(row.area), typed).status_code == 409
    row.refresh_from_db()
    assert row.approach == "recolour"


def test_a_choice_that_somebody_made_meanwhile_is_not_written_over(owner):
    row = AdviceChoiceFactory()
    typed = {"approach": "strip", "reason": "I am sure.", "version": "0", "initial-approach": ""}
    assert owner.post(advice_of(row.area), typed).status_code == 409


def test_the_advice_stands_beside_each_system_of_an_option(owner):
    area = AreaFactory(surface="stamped")
    publish_systems("reseal", "recolour")
    pale(area)
    page = owner.get(reverse("option-add", args=[area.job.number]))
    assert "suits A" in page.text
    assert "ruled out on A" in page.text


@pytest.mark.parametrize(("person", "shown"), [(OwnerFactory, True), (CrewFactory, False)])
def test_what_to_allow_for_in_the_offer_is_for_the_office(client, person, shown):
    job = planned_job()
    area = AreaFactory(job=job, surface="stamped")
    publish_systems("recolour")
    FindingFactory(area=area, kind="crack", answers={"width": "1/16", "length": "18", "level": "no"})
    client.force_login(person())
    answer = client.get(reverse("found", args=[job.number, area.pk]))
    assert (answer.status_code, "as a unit price" in answer.text, "To allow for" in answer.text) == (200, shown, shown)
