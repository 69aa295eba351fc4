"""The starter edition: what it must hold. Figures: common practice, no published source; prices invented."""

from decimal import Decimal

import pytest

from quoting.models import Charge, Edition, LabourTask, Material, RestorationSystem, StepMaterial, SystemStep
from quoting.services.starter_edition import create_starter_edition

pytestmark = pytest.mark.django_db


def test_is_a_draft_whose_figures_are_marked_as_starting_values():
    edition = create_starter_edition(name="2026-1")
    assert (edition.name, edition.state) == ("2026-1", Edition.State.DRAFTED)
    assert set(edition.materials.values_list("is_starting_value", flat=True)) == {True}
    assert set(edition.tasks.values_list("is_starting_value", flat=True)) == {True}


def test_takes_the_next_free_name_of_the_year():
    first, second = create_starter_edition(), create_starter_edition()
    assert [first.name[-2:], second.name[-2:]] == ["-1", "-2"]


def test_holds_the_powders_with_scoop_and_strength():
    edition = create_starter_edition()
    powders = edition.materials.filter(group=Material.Group.POWDERS)
    assert list(powders.values_list("name", "scoop", "strength")) == [
        ("Base tone, graphite", Decimal(2), Decimal(6)),
        ("Base tone, walnut", Decimal(2), Decimal(6)),
        ("Second tone, driftwood", Decimal(2), Decimal(3)),
        ("Second tone, sandstone", Decimal(2), Decimal(3)),
    ]


def test_prices_packs_in_the_firms_currency():
    edition = create_starter_edition(currency="CAD")
    packs = edition.materials.get(key="acrylic-18").packs.all()
    assert [(pack.size_text, str(pack.price.amount), pack.price.currency.code) for pack in packs] == [
        ("1 gal", "56.50", "CAD"),
        ("5 gal", "239.00", "CAD"),
    ]


def test_the_second_coat_of_sealer_goes_further_on_worn_stamped_concrete():
    # common practice, no published source: 180-260 the first coat, 220-320 the second; likely is the middle
    sealer = create_starter_edition().materials.get(key="acrylic-18")
    coats = [sealer.coverage_on("stamped", "worn", coat) for coat in (1, 2)]
    assert [(row.low, row.likely, row.high) for row in coats] == [(180, 220, 260), (220, 270, 320)]


def test_every_likely_figure_is_the_middle_of_its_range():
    edition = create_starter_edition()
    for material in edition.materials.prefetch_related("coverages"):
        for row in material.coverages.all():
            assert row.likely == (row.low + row.high) / 2, (material.key, row.surface, row.condition)


def test_recolour_and_seal_runs_from_the_wash_to_the_second_coat():
    system = create_starter_edition().systems.get(key="recolour-and-seal")
    steps = system.steps.values_list("key", "passes", "visit", "hold_hours", "on", "measure")
    assert list(steps) == [
        ("wash", 2, 1, 48, True, SystemStep.Measure.AREA),
        ("crack", 1, 1, 24, False, SystemStep.Measure.LENGTH),
        ("mask", 1, 2, 0, True, SystemStep.Measure.EDGE),
        ("base", 1, 2, 4, True, SystemStep.Measure.AREA),
        ("mist", 1, 2, 8, True, SystemStep.Measure.AREA),
        ("seal-1", 1, 3, 24, True, SystemStep.Measure.AREA),
        ("seal-2", 1, 4, 24, True, SystemStep.Measure.AREA),
    ]


def test_after_stripping_the_slab_is_reckoned_bare():
    uses = StepMaterial.objects.filter(step__system__key="strip-and-restore").order_by("step__position")
    create_starter_edition()
    assert [(each.step.key, each.use.get("condition")) for each in uses.select_related("step")] == [
        ("mask", None),
        ("strip", None),
        ("wash", "bare"),
        ("crack", None),
        ("base", "bare"),
        ("mist", "bare"),
        ("seal-1", "bare"),
        ("seal-2", "bare"),
    ]


def test_sand_goes_into_the_joints_of_pavers():
    create_starter_edition()
    sand = StepMaterial.objects.get(step__system__key="clean-sand-seal", step__key="sand")
    assert sand.material.packs.get().size_text == "50 lb"
    assert sand.use == {
        "by": "joint",
        "unit_length": "8 in",
        "unit_width": "4 in",
        "joint": "1/8 in",
        "depth": "1 in",
    }


def test_travel_is_charged_a_visit_disposal_a_job_and_an_unknown_film_a_share_on_demand():
    create_starter_edition()
    # a fifth of direct cost for an unknown film: common practice, no published source (15 to 25 %)
    assert list(Charge.objects.values_list("key", "per", "share", "always")) == [
        ("travel", "visit", None, True),
        ("disposal", "job", None, True),
        ("unknown-film", "share", Decimal("0.2"), False),
    ]


def test_add_ons_are_systems_by_the_hour():
    create_starter_edition()
    steps = SystemStep.objects.filter(system__key__in=["grit-last-coat", "move-furniture"]).order_by("system__key")
    assert list(steps.values_list("key", "measure", "hours")) == [
        ("grit", "hours", Decimal("0.5")),
        ("move", "hours", Decimal(1)),
    ]


def test_stripping_is_the_slowest_task_by_area():
    create_starter_edition()
    assert LabourTask.objects.filter(unit="ft**2/hour").order_by("rate").first().key == "strip"


def test_every_material_that_can_hurt_says_so():
    create_starter_edition()
    silent = Material.objects.filter(cautions="").values_list("key", flat=True)
    assert list(silent) == ["grit", "masking"]


def test_systems_stand_in_the_order_of_the_book():
    create_starter_edition()
    assert list(RestorationSystem.objects.values_list("key", flat=True)) == [
        "wash-and-reseal",
        "recolour-and-seal",
        "strip-and-restore",
        "clean-sand-seal",
        "grit-last-coat",
        "move-furniture",
    ]
