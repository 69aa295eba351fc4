"""What a job cost: the office's figures over the crew's, and what is kept to learn from."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.core.job_cost import LABOUR, Cause, Used
from quoting.models import Area, ChangedMeanwhile, CostSheet, Job, Observed
from quoting.services import costs as acts
from quoting.services.agreed_work import NothingAgreed
from tests.book_factories import EditionFactory, LabourTaskFactory, RestorationSystemFactory, SystemStepFactory
from tests.factories import AreaFactory, JobFactory
from tests.sample_contract import accepted_job, sealed_areas

pytestmark = pytest.mark.django_db
DECK = (0, "Pool deck", "base-tone")
HOURS = (0, "Pool deck", LABOUR)


@pytest.fixture
def job() -> Job:
    """The agreed deck and walk; the deck is named as an area of the folder, the slab worn."""
    job = accepted_job(data=sealed_areas())
    AreaFactory(job=job, name="Pool deck", surface="stamped", condition="worn")
    return job


def keep(job: Job, used: dict, found: dict | None = None, version: int = 1) -> CostSheet:
    acts.keep_costs(job=job, version=version, by=job.opened_by, used=used, found=found or {})
    return CostSheet.objects.get(job=job)


def test_nothing_agreed_has_no_cost():
    with pytest.raises(NothingAgreed):
        acts.cost_of(JobFactory(), None)


def test_nothing_written_down_has_no_lines(job):
    assert acts.cost_of(job, None).cost.lines == ()


def test_the_difference_comes_from_its_causes(job):
    # Four hours of sealing are spread by area; the deck's share is what it is, and 2 h of 10 went into weather.
    sheet = keep(job, {(1, "Pool deck", LABOUR): Used(amount=Decimal(10), weather=Decimal(2))})
    cost = acts.cost_of(job, sheet).cost
    # 2 h at 39.00.
    assert cost.by_cause[Cause.WEATHER] == Decimal("78.00")
    assert sum(cost.by_cause.values()) == cost.difference
    assert cost.used == Decimal("390.00")


def test_a_step_that_the_work_no_longer_has_is_left_out(job):
    sheet = keep(job, {(7, "Pool deck", LABOUR): Used(amount=Decimal(1))}, {"Elsewhere": Decimal(5)})
    assert acts.cost_of(job, sheet).cost.lines == ()


def test_two_hands_on_the_figures(job):
    keep(job, {})
    with pytest.raises(ChangedMeanwhile):
        keep(job, {})


def test_a_coverage_is_kept_as_it_was(job):
    deck = next(area for area in acts.cost_of(job, None).workings.areas if area.name == "Pool deck")
    # Half a kilogram of powder at 6 oz/gal (44.9355 kg/m³) is 11.127 L of mix; 5 % of it is the usual loss.
    strength = Decimal("0.028349523125") * 6 / Decimal("0.003785411784")
    keep(job, {DECK: Used(amount=Decimal("0.6"), extra=Decimal("0.1"))})
    assert acts.keep_to_learn(job=job, by=job.opened_by) == 1
    row = Observed.objects.get()
    assert (row.surface, row.condition, row.kind, row.of, row.coat) == ("stamped", "worn", "coverage", "base-tone", 1)
    assert row.rate == (deck.effective * Decimal("1.05") / (Decimal("0.5") / strength)).quantize(Decimal("1E-9"))


def test_coats_of_two_coverages_in_one_sum_teach_nothing(job):
    keep(job, {(1, "Pool deck", "sealer"): Used(amount=Decimal("0.01"))})
    with pytest.raises(acts.NothingToLearn):
        acts.keep_to_learn(job=job, by=job.opened_by)


def test_a_rate_is_that_of_open_work_on_its_task(job):
    book = EditionFactory(name="2026-1")
    task = LabourTaskFactory(edition=book, key="base-tone-task")
    SystemStepFactory(system=RestorationSystemFactory(edition=book), name="Base tone", task=task)
    costed = acts.cost_of(job, None)
    deck, walk = (area.net for area in costed.workings.areas)
    keep(job, {HOURS: Used(amount=Decimal(4), weather=Decimal(1))})
    acts.keep_to_learn(job=job, by=job.opened_by)
    row = Observed.objects.get()
    # Half an hour of set-up is spread by area over both; three hours less the deck's share of it are open work.
    open_work = 3 - Decimal("0.5") * deck / (deck + walk)
    assert (row.kind, row.of) == ("rate", "base-tone-task")
    assert row.rate == (deck / open_work).quantize(Decimal("1E-9"))


def test_keeping_again_takes_the_place_of_what_was_kept(job):
    sheet = keep(job, {DECK: Used(amount=Decimal("0.5"))})
    acts.keep_to_learn(job=job, by=job.opened_by)
    keep(job, {DECK: Used(amount=Decimal("0.7"))}, version=sheet.version)
    acts.keep_to_learn(job=job, by=job.opened_by)
    assert Observed.objects.count() == 1


def test_an_area_that_is_no_longer_in_the_folder_teaches_nothing(job):
    Area.objects.filter(job=job).delete()
    keep(job, {DECK: Used(amount=Decimal("0.5"))})
    with pytest.raises(acts.NothingToLearn):
        acts.keep_to_learn(job=job, by=job.opened_by)
