"""Restoration systems: words, steps in order, what a step uses up."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from quoting.models import Edition, RestorationSystem, StepMaterial, SystemStep
from quoting.services.editions import publish_edition
from quoting.services.starter_edition import create_starter_edition
from quoting.views.systems import said_of_use
from tests.factories import FirmFactory, UserFactory
from tests.views.sent import sent_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(client: Client) -> Client:
    FirmFactory()
    client.force_login(UserFactory())
    return client


@pytest.fixture
def draft() -> Edition:
    return create_starter_edition(name="2026-1")


@pytest.fixture
def pavers(draft: Edition) -> RestorationSystem:
    """Wash, joint sand, one coat."""
    return draft.systems.get(key="clean-sand-seal")


def page_of(row: RestorationSystem | SystemStep) -> str:
    edition = row.edition_id if isinstance(row, RestorationSystem) else row.system.edition_id
    return reverse("system" if isinstance(row, RestorationSystem) else "system-step", args=[edition, row.pk])


def text_of(response) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", response.content.decode())).replace("\xa0", " ")


def steps(system: RestorationSystem) -> list[str]:
    return list(system.steps.values_list("key", flat=True))


def test_a_system_of_a_published_edition_is_read(office, draft, pavers):
    publish_edition(edition=draft, version=1)
    words = text_of(office.get(page_of(pavers)))
    assert "Visit 2 · Sand joints and wet them, by the area · then wait 24 h" in words
    sand = "swept into the joints of pavers: pavers 8 in long, 4 in wide, joints of 1/8 in, 1 in deep"
    assert f"Joint sand, plain grey , {sand}" in words
    assert "concrete pavers, clay pavers; sound old film, worn or patchy, stripped or bare" in words


@pytest.mark.parametrize(
    ("use", "said"),
    [
        (
            {"by": "dilution", "parts_water": "4", "coats": 1, "condition": "bare"},
            "concentrate let down with water: 1 part to 4 of water, 1 coat, slab reckoned as stripped or bare",
        ),
        (
            {"by": "length", "per_length": "0.01 each/ft", "length": "edge"},
            "so much a length: 0.01 each/ft, along the edge",
        ),
        (
            {"by": "coverage", "coverage": "65 ft**2/oz", "coats": 2, "first_coat": 2},
            "spread over the area: 2 coats, beginning with coat 2, 65 ft²/oz",
        ),
        ({"by": "each", "per_area": "100 ft**2"}, "counted: one for each 100 ft²"),
    ],
)
def test_a_use_is_told_in_words(use, said):
    assert said_of_use(StepMaterial(use=use)) == said


def test_the_words_of_a_system_are_kept(office, pavers):
    sent = sent_from(office.get(page_of(pavers)))
    office.post(page_of(pavers), {**sent, "life": "3 to 4 years", "conditions": ["worn"]})
    pavers.refresh_from_db()
    assert (pavers.life, pavers.conditions, pavers.surfaces) == (
        "3 to 4 years",
        ["worn"],
        ["concrete-pavers", "clay-pavers"],
    )


def test_a_system_is_added(office, draft):
    page = reverse("system-add", args=[draft.pk])
    sent = {"version": 1, "name": "Wash only", "surfaces": ["stamped"], "conditions": ["sound"]}
    response = office.post(page, sent)
    system = draft.systems.get(key="wash-only")
    assert response.url == page_of(system)
    assert system.position == 6


def test_a_system_is_removed_after_it_was_asked(office, draft, pavers):
    page = reverse("system-remove", args=[draft.pk, pavers.pk])
    assert "Remove Clean, sand and seal pavers?" in text_of(office.get(page))
    office.post(page)
    assert not draft.systems.filter(key="clean-sand-seal").exists()


@pytest.mark.parametrize(
    ("key", "to", "order"),
    [
        ("sand", "up", ["sand", "wash", "seal"]),
        ("sand", "down", ["wash", "seal", "sand"]),
        ("wash", "up", ["wash", "sand", "seal"]),
        ("seal", "down", ["wash", "sand", "seal"]),
    ],
)
def test_a_step_moves_one_place(office, pavers, key, to, order):
    step = pavers.steps.get(key=key)
    office.post(reverse("system-step-move", args=[pavers.edition_id, step.pk]), {"to": to})
    assert steps(pavers) == order


def test_a_step_is_added_at_the_end(office, pavers):
    page = reverse("system-step-add", args=[pavers.edition_id, pavers.pk])
    sent = sent_from(office.get(page))
    assert sent["visit"] == "3"
    office.post(page, {**sent, "name": "Sweep", "measure": "hours", "hours": "0.5"})
    assert steps(pavers) == ["wash", "sand", "seal", "sweep"]


def test_a_step_and_what_it_uses_are_kept_together(office, pavers):
    step = pavers.steps.get(key="sand")
    used = step.materials.get()
    sent = sent_from(office.get(page_of(step)))
    office.post(
        page_of(step), {**sent, "hold_hours": "48", f"use-{used.pk}-depth": "2 in", f"use-{used.pk}-waste": "8"}
    )
    step.refresh_from_db()
    used.refresh_from_db()
    assert (step.hold_hours, used.use["depth"], str(used.waste)) == (48, "2 in", "0.0800")


def test_a_step_sent_back_as_it_is_changes_nothing(office, draft):
    before = list(StepMaterial.objects.values("id", "use", "waste", "material"))
    for step in SystemStep.objects.filter(system__key__in=["strip-and-restore", "clean-sand-seal"]):
        response = office.post(page_of(step), sent_from(office.get(page_of(step))))
        assert response.status_code == 302, response.context["form"].errors
    assert list(StepMaterial.objects.values("id", "use", "waste", "material")) == before


def test_a_use_that_can_not_be_read_is_said_at_its_field(office, pavers):
    step = pavers.steps.get(key="sand")
    used = step.materials.get()
    sent = sent_from(office.get(page_of(step)))
    response = office.post(page_of(step), {**sent, f"use-{used.pk}-depth": "2 lb"})
    assert response.status_code == 422
    assert list(response.context["uses"][0].errors) == ["depth"]


def test_a_material_is_added_to_a_step_with_figures_to_begin_with(office, pavers):
    step = pavers.steps.get(key="seal")
    grit = pavers.edition.materials.get(key="grit")
    page = reverse("use-add", args=[pavers.edition_id, step.pk])
    office.post(page, {"material": grit.pk, "by": "coverage"})
    assert step.materials.last().use == {"by": "coverage", "coats": 1}


def test_a_material_of_another_edition_is_not_added(office, pavers):
    other = create_starter_edition().materials.first()
    step = pavers.steps.get(key="seal")
    page = reverse("use-add", args=[pavers.edition_id, step.pk])
    response = office.post(page, {"material": other.pk, "by": "coverage"}, follow=True)
    assert "Choose a material, and how it is used up." in text_of(response)
    assert step.materials.count() == 1


def test_a_material_is_taken_out_of_a_step(office, pavers):
    used = StepMaterial.objects.get(step__system=pavers, step__key="sand")
    office.post(reverse("use-remove", args=[pavers.edition_id, used.pk]))
    assert not StepMaterial.objects.filter(pk=used.pk).exists()


def test_a_step_is_removed_after_it_was_asked(office, pavers):
    step = pavers.steps.get(key="sand")
    page = reverse("system-step-remove", args=[pavers.edition_id, step.pk])
    assert "Remove “Joint sand” from Clean, sand and seal pavers?" in text_of(office.get(page))
    office.post(page)
    assert steps(pavers) == ["wash", "seal"]


def test_two_who_changed_one_figure_of_a_step_choose(office, pavers):
    step = pavers.steps.get(key="sand")
    sent = sent_from(office.get(page_of(step)))
    office.post(page_of(step), {**sent, "hold_hours": "36"})
    response = office.post(page_of(step), {**sent, "hold_hours": "48"})
    assert response.status_code == 409
    assert response.context["rows"] == [("Then wait, hours", "24", "36", "48")]


@pytest.mark.parametrize("count", [1, 3])
def test_a_system_is_shown_in_a_constant_number_of_queries(office, pavers, count, django_assert_num_queries):
    keep = [step.pk for step in pavers.steps.all()[:count]]
    pavers.steps.exclude(pk__in=keep).delete()
    # session, user, edition; the system, its steps, their tasks, uses and materials; the firm
    with django_assert_num_queries(3 + 5 + 1):
        office.get(page_of(pavers))
