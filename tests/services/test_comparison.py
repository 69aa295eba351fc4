"""What differs between two editions, and what it does to a sample job."""

from decimal import Decimal

import pytest
from moneyed import Money

from quoting.models import Coverage, LabourTask, Material, Pack, SystemStep
from quoting.services.comparison import Noun, compare, sample_jobs
from quoting.services.editions import copy_edition
from quoting.services.pricebook import read_book
from quoting.services.sample_jobs import sample_data, sample_slab
from quoting.services.starter_edition import create_starter_edition
from tests.factories import (
    ChargeFactory,
    EditionFactory,
    FirmFactory,
    LabourTaskFactory,
    MaterialFactory,
    PackFactory,
    RestorationSystemFactory,
    SystemStepFactory,
)

pytestmark = pytest.mark.django_db


def usd(amount: str) -> Money:
    return Money(amount, "USD")


@pytest.fixture
def editions():
    first = create_starter_edition(name="2026-1")
    return first, copy_edition(edition=first, name="2026-2")


def differences(editions):
    first, second = editions
    found = compare(read_book(first), read_book(second))
    return [(each.place.noun, each.name, each.place.label, each.old, each.new) for each in found]


def test_copies_do_not_differ(editions):
    assert differences(editions) == []


def test_only_what_differs_is_told_with_both_figures(editions):
    _, second = editions
    Pack.objects.filter(material__edition=second, material__key="acrylic-18", unit="gal", size=1).update(price="58.50")
    worn = Coverage.objects.filter(material__edition=second, material__key="base-graphite", surface="stamped")
    worn.filter(condition="worn").update(likely=160)
    LabourTask.objects.filter(edition=second, key="seal").update(rate=340)
    assert differences(editions) == [
        (Noun.MATERIAL, "Base tone, graphite", "stamped concrete, worn or patchy, coat 1: likely", 200, 160),
        (Noun.MATERIAL, "Solvent acrylic, 18 % solids", "1 gal", usd("56.50"), usd("58.50")),
        (Noun.TASK, "Seal, spray and roll, a coat", "rate", 350, 340),
    ]


def test_the_change_is_a_share_of_the_old_figure(editions):
    first, second = editions
    LabourTask.objects.filter(edition=second, key="seal").update(rate=343)
    (only,) = compare(read_book(first), read_book(second))
    assert only.change == Decimal("-0.02")  # (343 − 350) ÷ 350


def test_the_change_of_a_price_is_a_share_of_it(editions):
    first, second = editions
    Pack.objects.filter(material__edition=second, material__key="grit").update(price="22.50")
    (only,) = compare(read_book(first), read_book(second))
    assert only.change == Decimal("0.25")  # (22.50 − 18.00) ÷ 18.00


def test_a_row_that_is_new_or_gone_is_one_difference(editions):
    _, second = editions
    Material.objects.filter(edition=second, key="acrylic-24").delete()
    PackFactory(material=MaterialFactory(edition=second, name="Wet-look"))
    assert differences(editions) == [
        (Noun.MATERIAL, "Wet-look", "", None, "in the book"),
        (Noun.MATERIAL, "Solvent acrylic, 24 % solids", "", "in the book", None),
    ]


def test_a_step_that_moved_changes_the_order(editions):
    _, second = editions
    SystemStep.objects.filter(system__edition=second, system__key="clean-sand-seal", key="wash").update(position=9)
    assert differences(editions) == [
        (
            Noun.SYSTEM,
            "Clean, sand and seal pavers",
            "steps in order",
            "Wash · Joint sand · Seal, one coat",
            "Joint sand · Seal, one coat · Wash",
        )
    ]


def test_a_share_is_told_in_per_cent(editions):
    _, second = editions
    Material.objects.filter(edition=second, key="grit").update(waste="0.025")
    assert differences(editions) == [(Noun.MATERIAL, "Grit, polymer, 70 mesh", "waste, %", 0, Decimal("2.5"))]


@pytest.fixture
def by_the_hour():
    """Two hours of work and a charge of 32.00 a visit, on one visit; no overhead, no profit."""
    edition = EditionFactory(name="2026-1")
    SystemStepFactory(system=RestorationSystemFactory(edition=edition, name="Sweep"), measure="hours", hours=2)
    ChargeFactory(edition=edition)
    return edition


def test_a_sample_job_is_priced_by_the_firms_rules(by_the_hour):
    firm = FirmFactory(hourly_cost=Decimal("39.00"), overhead=Decimal(0), profit=Decimal(0))
    dearer = copy_edition(edition=by_the_hour, name="2026-2")
    dearer.charges.update(amount="42.00")
    (job,) = sample_jobs(read_book(by_the_hour), read_book(dearer), firm)
    # 2 h × 39.00 = 78.00; + 32.00 = 110.00; + 42.00 = 120.00
    assert (job.name, job.old, job.new) == (
        "Sweep, 500 ft², stamped concrete, worn or patchy",
        Decimal("110.00"),
        Decimal("120.00"),
    )
    assert job.change == Decimal(10) / Decimal(110)


def test_a_system_that_is_in_one_book_only_has_one_price(by_the_hour):
    other = copy_edition(edition=by_the_hour, name="2026-2")
    other.systems.all().delete()
    (job,) = sample_jobs(read_book(by_the_hour), read_book(other), FirmFactory())
    assert (job.new, job.change) == (None, None)


def test_a_sample_that_can_not_be_worked_out_has_no_price(by_the_hour):
    other = copy_edition(edition=by_the_hour, name="2026-2")
    SystemStep.objects.filter(system__edition=other).update(hours=None)
    (job,) = sample_jobs(read_book(by_the_hour), read_book(other), FirmFactory())
    assert job.old is not None
    assert job.new is None


def test_a_sample_is_worn_where_the_system_suits_worn():
    system = RestorationSystemFactory(surfaces=["broom", "stamped"], conditions=["sound", "worn"])
    assert sample_slab(system) == ("broom", "worn")
    system.conditions = ["bare"]
    assert sample_slab(system) == ("broom", "bare")


def test_a_priced_sample_leaves_out_what_is_off(by_the_hour):
    system = by_the_hour.systems.get()
    SystemStepFactory(system=system, name="Extra", measure="hours", hours=9, on=False)
    LabourTaskFactory(edition=by_the_hour)
    book = read_book(by_the_hour)
    (whole,) = book.systems.values()
    slab = ("stamped", "worn")
    assert len(sample_data(book, whole, *slab)["work"]) == 2
    assert len(sample_data(book, whole, *slab, FirmFactory())["work"]) == 1
