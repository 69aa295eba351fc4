"""What jobs say beside a figure of the price book."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from quoting.core.units import from_unit
from quoting.models import Coverage, Edition, Job, Observed
from quoting.services.learning import JobsSay, learned_of, rate_said
from tests.book_factories import CoverageFactory, LabourTaskFactory
from tests.factories import FirmFactory, JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db


def seen(of: str, figure: str, job: Job | None = None, *, kind: str = "coverage", **more: object) -> None:
    """A job on worn stamped concrete that came to so many ft² a gallon, or an hour."""
    unit = "ft**2/gal" if kind == "coverage" else "ft**2/hour"
    Observed.objects.create(
        job=job or JobFactory(), area="Deck", step="Seal", kind=kind, of=of,
        rate=from_unit(Decimal(figure), unit).quantize(Decimal("1E-9")),
        **({"surface": "stamped", "condition": "worn"} | more),
    )  # fmt: skip


def said_of(key: str) -> JobsSay | None:
    """What jobs say of a material that the book reckons at 200 ft²/gal on worn stamped concrete, first coat."""
    row = Coverage(surface="stamped", condition="worn", coat=1, likely=Decimal(200))
    return learned_of([key]).of_coverage(key, row)


def test_nothing_observed_says_nothing():
    assert said_of("sealer") is None


def test_jobs_are_averaged_by_what_adds_up_and_drawn_from_the_book():
    seen("sealer", "100")
    seen("sealer", "300")
    said = said_of("sealer")
    # Gallons add up: 2 ÷ (1/100 + 1/300) = 150. With the book's 200 as four jobs: 6 ÷ (4/200 + 2/150) = 180.
    # Spread: mean 200, deviations 100 and 100: √(20,000 ÷ 1) ÷ 200 = 0.7071.
    assert said.words == (
        "Last 2 jobs: 150\u00a0ft²/gal on worn or patchy (100 to 300, spread 71\u00a0%); with the book’s figure 180."
    )


def test_one_job_has_no_spread_and_counts_once_however_many_areas_it_has():
    job = JobFactory()
    seen("sealer", "120", job)
    seen("sealer", "280", job)
    said = said_of("sealer")
    # 2 ÷ (1/120 + 1/280) = 168 for the job; 5 ÷ (4/200 + 1/168) = 192.7.
    assert said.words == "Last job: 168\u00a0ft²/gal on worn or patchy; with the book’s figure 193."


def test_the_last_five_jobs_are_told_of():
    for figure in ("10", "100", "100", "100", "100", "100"):
        seen("sealer", figure)
    said = said_of("sealer")
    # The first is left out; 9 ÷ (4/200 + 5/100) = 128.6.
    assert said is not None
    assert said.words == (
        "Last 5 jobs of 6: 100\u00a0ft²/gal on worn or patchy (100 to 100, spread 0\u00a0%); "
        "with the book’s figure 129."
    )


def test_other_surfaces_conditions_coats_and_materials_say_nothing_of_it():
    seen("sealer", "100", surface="broom")
    seen("sealer", "100", condition="bare")
    seen("sealer", "100", coat=2)
    seen("other", "100")
    assert said_of("sealer") is None


def test_a_rate_that_goes_with_the_area_is_said():
    seen("wash", "250", kind="rate")
    said = rate_said(LabourTaskFactory(key="wash", rate=Decimal(200), unit="ft**2/hour"))
    # 5 ÷ (4/200 + 1/250) = 208.3.
    assert said is not None
    assert said.words == "Last job: 250\u00a0ft²/h; with the book’s figure 208."
    assert rate_said(LabourTaskFactory(key="wash", rate=Decimal(80), unit="ft/hour")) is None


def test_a_draft_says_it_beside_the_figure(client):
    FirmFactory()
    client.force_login(OwnerFactory())
    row = CoverageFactory(material__key="sealer", surface="stamped", condition="worn", coat=1)
    task = LabourTaskFactory(edition=row.material.edition, key="wash", unit="ft**2/hour")
    book: Edition = row.material.edition
    Edition.objects.filter(pk=book.pk).update(state="drafted")
    for page in (f"/prices/{book.pk}/materials/{row.material.pk}/", f"/prices/{book.pk}/labour/{task.pk}/"):
        assertNotContains(client.get(page), "Last job")
    seen("sealer", "210")
    seen("wash", "250", kind="rate")
    for page in (f"/prices/{book.pk}/materials/{row.material.pk}/", f"/prices/{book.pk}/labour/{task.pk}/"):
        assertContains(client.get(page), "Last job")
