"""The price book's rows: what the database refuses, and how far a material goes."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction
from django.db.models import Model

from quoting.models import Edition, Material, MissingCoverage
from quoting.models.pricebook import free_edition_name
from tests.factories import (
    ChargeFactory,
    CoverageFactory,
    EditionFactory,
    LabourTaskFactory,
    MaterialFactory,
    PackFactory,
    PriceListFactory,
    RestorationSystemFactory,
    StepMaterialFactory,
    SystemStepFactory,
    UnitPriceFactory,
)

pytestmark = pytest.mark.django_db

ROWS: dict[str, Callable[[Edition], Model]] = {
    "material": lambda edition: MaterialFactory(edition=edition),
    "pack": lambda edition: PackFactory(material__edition=edition),
    "coverage": lambda edition: CoverageFactory(material__edition=edition),
    "task": lambda edition: LabourTaskFactory(edition=edition),
    "charge": lambda edition: ChargeFactory(edition=edition),
    "unit price": lambda edition: UnitPriceFactory(edition=edition),
    "system": lambda edition: RestorationSystemFactory(edition=edition),
    "step": lambda edition: SystemStepFactory(system__edition=edition),
    "step material": lambda edition: StepMaterialFactory(step__system__edition=edition),
    "price list": lambda edition: PriceListFactory(edition=edition),
}
PARENTS = {"pack": "material", "coverage": "material", "step": "system", "step material": "step"}


def publish(edition: Edition) -> None:
    Edition.objects.filter(pk=edition.pk).update(state="published")


def refused(act: Callable[[], object]) -> bool:
    """Whether the database refuses it, saying why."""
    try:
        with transaction.atomic():
            act()
    except DatabaseError as error:
        return "a published edition of the price book never changes" in str(error)
    return False


@pytest.mark.parametrize("noun", ROWS)
def test_no_row_of_a_published_edition_is_changed(noun):
    row = ROWS[noun](edition := EditionFactory())
    publish(edition)
    first = next(field.name for field in row._meta.concrete_fields if field.name != "id")
    assert refused(lambda: type(row).objects.filter(pk=row.pk).update(**{first: getattr(row, first)}))


@pytest.mark.parametrize("noun", ROWS)
def test_no_row_of_a_published_edition_is_removed(noun):
    row = ROWS[noun](edition := EditionFactory())
    publish(edition)
    assert refused(lambda: type(row).objects.filter(pk=row.pk)._raw_delete("default"))


@pytest.mark.parametrize("noun", ROWS)
def test_no_row_is_put_into_a_published_edition(noun):
    row = ROWS[noun](edition := EditionFactory())
    type(row).objects.filter(pk=row.pk)._raw_delete("default")
    publish(edition)
    assert refused(lambda: row.save(force_insert=True))


def test_no_row_is_moved_into_a_published_edition():
    published, draft = EditionFactory(), EditionFactory()
    charge = ChargeFactory(edition=draft)
    publish(published)
    assert refused(lambda: type(charge).objects.filter(pk=charge.pk).update(edition=published))


def test_a_superseded_edition_is_as_frozen():
    edition = EditionFactory()
    publish(edition)
    Edition.objects.filter(pk=edition.pk).update(state="superseded")
    assert refused(lambda: MaterialFactory(edition=edition))
    assert refused(lambda: Edition.objects.filter(pk=edition.pk).update(state="published"))
    assert refused(lambda: Edition.objects.filter(pk=edition.pk).update(state="drafted"))


def test_a_published_edition_can_only_be_superseded():
    edition = EditionFactory()
    publish(edition)
    mine = Edition.objects.filter(pk=edition.pk)
    assert refused(lambda: mine.update(name="another"))
    assert refused(lambda: mine.update(state="superseded", note="and more"))
    assert refused(lambda: mine.update(state="drafted"))
    assert refused(lambda: mine.delete())
    assert mine.update(state="superseded") == 1


def test_an_edition_begins_as_a_draft_and_can_not_be_superseded_unpublished():
    draft = EditionFactory()
    assert refused(lambda: EditionFactory(state="published"))
    assert refused(lambda: Edition.objects.filter(pk=draft.pk).update(state="superseded"))


def test_a_published_edition_is_not_replaced_by_a_raw_insert():
    edition = EditionFactory(name="2026-1")
    publish(edition)
    verb = "INSERT OR REPLACE" if connection.vendor == "sqlite" else "INSERT"
    columns = "id, name, state, note, version, created_at"

    def replace() -> None:
        with connection.cursor() as cursor:
            cursor.execute(
                f"{verb} INTO quoting_edition ({columns}) VALUES (%s, '2026-1', 'published', '', 1, CURRENT_TIMESTAMP)",
                [edition.pk],
            )

    assert refused(replace)


def test_the_rows_of_a_draft_change_freely():
    edition = EditionFactory()
    for make in ROWS.values():
        row = make(edition)
        row.save()
        row.delete()
    edition.delete()
    assert not Edition.objects.exists()


def test_only_one_edition_is_published():
    first, second = EditionFactory(), EditionFactory()
    publish(first)
    with pytest.raises(DatabaseError, match="edition"), transaction.atomic():
        publish(second)


def test_low_likely_and_high_stand_in_order():
    with pytest.raises(DatabaseError, match="coverage_low_likely_high"), transaction.atomic():
        CoverageFactory(low=Decimal(300))


def test_the_name_of_a_new_edition_is_the_years_first_free_one():
    EditionFactory(name="2026-1")
    EditionFactory(name="2026-3")
    assert (free_edition_name(2026), free_edition_name(2027)) == ("2026-2", "2027-1")


@pytest.fixture
def sealer() -> Material:
    material = MaterialFactory(name="Acrylic")
    for coat, likely in ((1, 220), (2, 270)):
        CoverageFactory(material=material, coat=coat, low=1, likely=likely, high=400)
    CoverageFactory(material=material, condition="bare", low=1, likely=160, high=400)
    return material


def test_a_row_of_its_own_decides(sealer):
    assert sealer.coverage_on("stamped", "worn", 2).likely == 270


def test_a_later_coat_takes_the_last_one_given(sealer):
    assert sealer.coverage_on("stamped", "worn", 4).likely == 270
    assert sealer.coverage_on("stamped", "bare", 2).likely == 160


def test_a_condition_that_is_not_given_is_reckoned_worn(sealer):
    assert sealer.coverage_on("stamped", "sound", 1).likely == 220


def test_steps_are_reckoned_like_stamped_concrete(sealer):
    assert sealer.coverage_on("steps", "bare", 1).likely == 160


def test_steps_with_a_row_of_their_own_take_it(sealer):
    CoverageFactory(material=sealer, surface="steps", low=1, likely=150, high=400)
    assert sealer.coverage_on("steps", "bare", 1).likely == 150


def test_a_surface_that_is_not_given_is_named(sealer):
    with pytest.raises(MissingCoverage) as caught:
        sealer.coverage_on("clay-pavers", "worn", 1)
    assert str(caught.value) == "the price book doesn’t say how far Acrylic goes on clay pavers, worn or patchy."


def test_coverage_asks_no_query_where_it_is_loaded(sealer, django_assert_num_queries):
    loaded = Material.objects.prefetch_related("coverages").get(pk=sealer.pk)
    with django_assert_num_queries(0):
        loaded.coverage_on("steps", "sound", 3)
