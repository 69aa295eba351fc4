"""What stands against publishing an edition."""

from decimal import Decimal

import pytest

from quoting.models import StepMaterial, SystemStep
from quoting.services.pricebook import read_book
from quoting.services.publication import find_lacks
from quoting.services.starter_edition import create_starter_edition
from tests.factories import (
    CoverageFactory,
    EditionFactory,
    LabourTaskFactory,
    PackFactory,
    RestorationSystemFactory,
    StepMaterialFactory,
    SystemStepFactory,
)

pytestmark = pytest.mark.django_db


def lacks_of(edition) -> list[tuple[str, str]]:
    return [(lack.where, lack.sentence) for lack in find_lacks(read_book(edition))]


@pytest.fixture
def used() -> StepMaterial:
    """A system that is ready: one coat of sealer on worn stamped concrete."""
    row = StepMaterialFactory(step__name="Seal", step__system__name="Reseal", material__name="Acrylic")
    row.step.task = LabourTaskFactory(edition=row.material.edition, name="Seal, a coat")
    row.step.save()
    PackFactory(material=row.material)
    CoverageFactory(material=row.material)
    return row


def test_the_starter_edition_is_ready():
    assert lacks_of(create_starter_edition()) == []


def test_a_system_with_packs_coverage_and_a_task_is_ready(used):
    assert lacks_of(used.material.edition) == []


def test_an_edition_needs_a_system():
    assert lacks_of(EditionFactory()) == [("Restoration systems", "there is none, so nothing could be offered.")]


def test_a_system_needs_steps_and_the_slabs_that_it_suits():
    system = RestorationSystemFactory(name="Reseal", surfaces=[], conditions=[])
    assert lacks_of(system.edition) == [
        ("Reseal", "it has no step."),
        ("Reseal", "say which surfaces it suits."),
        ("Reseal", "say which conditions it suits."),
    ]


def test_a_step_needs_its_task_or_its_hours():
    step = SystemStepFactory(name="Seal", system__name="Reseal")
    assert lacks_of(step.system.edition) == [("Reseal, Seal", "choose its labour task, or give its hours.")]
    step.measure = SystemStep.Measure.HOURS
    step.save()
    assert lacks_of(step.system.edition) == [("Reseal, Seal", "say how many person-hours it takes.")]
    step.hours = Decimal(1)
    step.save()
    assert lacks_of(step.system.edition) == []


def test_a_task_is_reckoned_in_what_the_step_goes_by(used):
    used.step.measure = SystemStep.Measure.EDGE
    used.step.save()
    assert lacks_of(used.material.edition) == [
        ("Reseal, Seal", "it goes by the edge, and Seal, a coat is reckoned in ft² an hour.")
    ]


def test_coverage_must_be_there_for_every_slab_that_the_system_suits(used):
    used.step.system.surfaces = ["stamped", "clay-pavers", "steps"]
    used.step.system.save()
    assert lacks_of(used.material.edition) == [
        ("Reseal, Seal", "the price book doesn’t say how far Acrylic goes on clay pavers, worn or patchy.")
    ]


def test_a_material_needs_a_pack(used):
    used.material.packs.all().delete()
    assert ("Acrylic", "it has no pack.") in lacks_of(used.material.edition)


def test_a_use_that_the_calculator_refuses_is_named_with_its_step(used):
    used.use = {"by": "mix", "coats": 1, "batch": "5 gal", "strength": "6 oz/gal"}
    used.save()
    (where, sentence), *_ = lacks_of(used.material.edition)
    assert where == "Reseal, Seal"
    assert "mass" in sentence
    assert "volume" in sentence


def test_a_use_without_what_it_needs_is_named(used):
    used.use = {"by": "crack", "width": "1/4 in"}
    used.save()
    assert lacks_of(used.material.edition) == [("Reseal, Seal", "depth is missing.")]


def test_steps_that_are_off_are_looked_at_as_well(used):
    SystemStepFactory(system=used.step.system, name="Crack paste", on=False)
    assert lacks_of(used.material.edition) == [("Reseal, Crack paste", "choose its labour task, or give its hours.")]
