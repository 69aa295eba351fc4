"""What lies on a slab over all jobs of its property."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.scope import Units
from quoting.documents.slab_layers import AreaLayers, coats_words, film_words, layers_of
from quoting.models import Job, SlabRecord
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db
NB = "\u00a0"


@pytest.fixture
def job() -> Job:
    return JobFactory(number="0417")


def layer(job: Job, year: int, **more: object) -> SlabRecord:
    """A job of June that put two coats on the deck, 25.4 µm (1 mil) dry together, on one that was there."""
    facts = {
        "area": "Deck", "surface": "stamped concrete", "system": "Recolour", "seal": "acrylic", "coats": 2,
        "coats_before": 1, "film": "1.0 mil dry", "film_depth": Decimal("0.0000254"), "sealed_on": date(year, 6, 10),
        "due_first": date(year + 2, 6, 1), "due_likely": date(year + 2, 12, 1), "due_last": date(year + 3, 6, 1),
    }  # fmt: skip
    return SlabRecord(property=job.property, job=job, **(facts | more))


def deck(*rows: SlabRecord) -> AreaLayers:
    (found,) = layers_of(rows, Units.US)
    return found


def test_coats_are_counted_as_the_last_hand_over_did(job):
    found = deck(layer(job, 2024), layer(job, 2026, coats=1, coats_before=3))
    assert (found.coats, found.advice) == ("4 in all", "4 coats lie on it: think of stripping before another.")
    # Two jobs of 1 mil each.
    assert found.film == f"2.0{NB}mil dry, our coats together"
    assert [each.day for each in found.layers] == [f"10{NB}June{NB}2026", f"10{NB}June{NB}2024"]


def test_what_nobody_counted_is_said_to_be_unknown(job):
    assert coats_words([layer(job, 2026, coats_before=None)]) == "2 of ours, earlier ones not known"


def test_stripping_takes_off_what_lay_there(job):
    rows = [layer(job, 2024), layer(job, 2026, is_stripped=True, coats_before=0)]
    assert (coats_words(rows), film_words(rows, Units.US)) == ("2 in all", f"1.0{NB}mil dry, our coats together")
    assert deck(*rows).layers[0].did == "stripped and sealed"


def test_a_film_that_was_never_reckoned_leaves_a_lower_bound(job):
    rows = [layer(job, 2024, film_depth=None), layer(job, 2026)]
    assert film_words(rows, Units.METRIC) == f"at least 25{NB}µm dry, our coats together"
    assert film_words(rows[:1], Units.US) == ""


def test_a_job_that_only_coloured_leaves_the_month_of_the_sealing(job):
    only = {"coats": 0, "film": "", "film_depth": None, "due_first": None, "due_likely": None, "due_last": None}
    found = deck(layer(job, 2024), layer(job, 2025, coats_before=3, **only))
    assert (found.layers[0].did, found.coats) == ("coloured", "3 in all")
    assert found.again == f"June{NB}2026 to June{NB}2027, likely about December{NB}2026"
