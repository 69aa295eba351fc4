"""What is done with an edition: copied, changed, published, deleted."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from functools import partial
from threading import Barrier, Thread

import pytest
from django.db import connection
from moneyed import Money

from quoting.models import (
    ChangedMeanwhile,
    Charge,
    Coverage,
    Edition,
    LabourTask,
    Material,
    Option,
    Pack,
    RestorationSystem,
    StepMaterial,
    SystemStep,
    UnitPrice,
)
from quoting.services.comparison import compare, figures_of
from quoting.services.editions import (
    AlreadyCalled,
    EditionFrozen,
    StillUsed,
    copy_edition,
    delete_draft,
    describe_draft,
    free_key,
    keep_rows,
    publish_edition,
)
from quoting.services.pricebook import read_book
from quoting.services.publication import NotReady
from quoting.services.starter_edition import create_starter_edition
from tests.factories import (
    EditionFactory,
    JobFactory,
    LabourTaskFactory,
    MaterialFactory,
    PackFactory,
    StepMaterialFactory,
    SystemStepFactory,
)

pytestmark = pytest.mark.django_db
ROWS = [Charge, Coverage, LabourTask, Material, Pack, RestorationSystem, StepMaterial, SystemStep, UnitPrice]


def state_of(edition: Edition) -> str:
    return Edition.objects.get(pk=edition.pk).state


def test_a_copy_has_every_row_and_every_figure():
    source = create_starter_edition(name="2026-1")
    counts = [model.objects.count() for model in ROWS]
    copy = copy_edition(edition=source, name="2026-2", takes_over=date(2026, 7, 1), note="Summer")
    assert (copy.state, copy.based_on, copy.takes_over, copy.note) == ("drafted", source, date(2026, 7, 1), "Summer")
    assert [model.objects.count() for model in ROWS] == [2 * count for count in counts]
    assert figures_of(read_book(copy)) == figures_of(read_book(source))
    assert compare(read_book(source), read_book(copy)) == []


def test_the_rows_of_a_copy_belong_to_the_copy():
    copy = copy_edition(edition=create_starter_edition(name="2026-1"), name="2026-2")
    used = StepMaterial.objects.filter(step__system__edition=copy)
    assert set(used.values_list("material__edition", flat=True)) == {copy.pk}
    tasks = SystemStep.objects.filter(system__edition=copy, task__isnull=False)
    assert set(tasks.values_list("task__edition", flat=True)) == {copy.pk}


def test_a_copy_needs_a_name_of_its_own():
    source = EditionFactory(name="2026-1")
    with pytest.raises(AlreadyCalled, match="There is an edition called 2026-1 already"):
        copy_edition(edition=source, name="2026-1")


@pytest.mark.parametrize("materials", [1, 3])
def test_a_book_is_read_in_nine_queries(materials, django_assert_num_queries):
    edition = EditionFactory()
    for _ in range(materials):
        used = StepMaterialFactory(step__system__edition=edition, step__task=LabourTaskFactory(edition=edition))
        PackFactory(material=used.material)
    with django_assert_num_queries(9):
        book = read_book(edition)
    with django_assert_num_queries(0):
        figures_of(book)


def test_publishing_supersedes_the_edition_before():
    first = publish_edition(edition=create_starter_edition(name="2026-1"), version=1)
    second = publish_edition(edition=copy_edition(edition=first, name="2026-2"), version=1)
    assert (state_of(first), state_of(second)) == ("superseded", "published")
    assert second.published_at is not None


def test_what_is_not_ready_is_not_published_and_nothing_is_superseded():
    first = publish_edition(edition=create_starter_edition(name="2026-1"), version=1)
    second = copy_edition(edition=first, name="2026-2")
    MaterialFactory(edition=second, name="Bare sealer")
    with pytest.raises(NotReady) as caught:
        publish_edition(edition=second, version=1)
    assert [(lack.where, lack.sentence) for lack in caught.value.lacks] == [("Bare sealer", "it has no pack.")]
    assert (state_of(first), state_of(second)) == ("published", "drafted")
    assert Edition.objects.get(pk=second.pk).version == 1


def test_an_edition_that_changed_meanwhile_is_not_published():
    draft = create_starter_edition()
    keep_rows(edition=draft, version=1)
    with pytest.raises(ChangedMeanwhile):
        publish_edition(edition=draft, version=1)
    assert state_of(draft) == "drafted"


def test_a_published_edition_takes_no_rows():
    edition = publish_edition(edition=create_starter_edition(), version=1)
    with pytest.raises(EditionFrozen, match="is published and never changes"):
        keep_rows(edition=edition, version=edition.version, removed=[edition.charges.first()])


def test_rows_are_written_and_removed_together():
    edition = EditionFactory()
    gone = LabourTaskFactory(edition=edition)
    material = Material(edition=edition, key="grit", name="Grit", kind="dry", group="sealers")
    pack = Pack(material=material, size=Decimal(1), unit="lb", price=Money("18.00", "USD"))
    keep_rows(edition=edition, version=1, rows=[material, pack], removed=[gone])
    book = read_book(edition)
    assert [each.size_text for each in book.materials["grit"].packs.all()] == ["1 lb"]
    assert book.tasks == {}


def test_the_second_to_change_an_edition_is_told_and_nothing_is_written():
    edition = EditionFactory()
    keep_rows(edition=edition, version=1, rows=[LabourTask(edition=edition, key="wash", name="Wash", rate=350)])
    with pytest.raises(ChangedMeanwhile):
        keep_rows(edition=edition, version=1, rows=[LabourTask(edition=edition, key="seal", name="Seal", rate=350)])
    assert list(edition.tasks.values_list("key", flat=True)) == ["wash"]


def test_a_material_that_a_step_uses_stays_and_the_step_is_named():
    used = StepMaterialFactory(step__name="Seal", step__system__name="Reseal", material__name="Acrylic")
    with pytest.raises(StillUsed, match="Acrylic is still used by Reseal, Seal"):
        keep_rows(edition=used.material.edition, version=1, removed=[used.material])
    assert Material.objects.filter(pk=used.material_id).exists()


def test_a_draft_is_described():
    edition = EditionFactory(name="2026-1")
    describe_draft(edition=edition, version=1, name="2026-A", takes_over=date(2026, 7, 1), note="Summer")
    edition.refresh_from_db()
    assert (edition.name, edition.takes_over, edition.note, edition.version) == (
        "2026-A",
        date(2026, 7, 1),
        "Summer",
        2,
    )


def test_two_drafts_are_not_called_the_same():
    EditionFactory(name="2026-1")
    with pytest.raises(AlreadyCalled):
        describe_draft(edition=EditionFactory(name="2026-2"), version=1, name="2026-1")


def test_a_draft_is_deleted_with_all_its_rows():
    delete_draft(edition=create_starter_edition(), version=1)
    assert [model.objects.count() for model in [Edition, *ROWS]] == [0] * 10


def test_a_published_edition_is_not_deleted():
    edition = publish_edition(edition=create_starter_edition(), version=1)
    with pytest.raises(EditionFrozen):
        delete_draft(edition=edition, version=edition.version)


def test_a_draft_that_another_was_copied_from_stays():
    draft = EditionFactory(name="2026-1")
    copy_edition(edition=draft, name="2026-2")
    with pytest.raises(StillUsed, match="Edition 2026-1 is still used by 2026-2"):
        delete_draft(edition=draft, version=1)


def test_a_draft_on_which_an_option_is_drafted_stays():
    option = Option.objects.create(job=JobFactory(), edition=EditionFactory(name="2026-1"), name="Reseal")
    with pytest.raises(StillUsed, match="Edition 2026-1 is still used by a drafted option"):
        delete_draft(edition=option.edition, version=1)
    assert Edition.objects.filter(pk=option.edition_id).exists()


def test_users_of_a_task_are_named_by_system_and_step():
    step = SystemStepFactory(name="Seal", system__name="Reseal")
    task = LabourTaskFactory(edition=step.system.edition)
    step.task = task
    step.save()
    assert read_book(task.edition).users_of(task) == ["Reseal, Seal"]


def test_a_key_is_made_of_the_name_and_is_free():
    assert free_key("Base tone, slate", []) == "base-tone-slate"
    assert free_key("Base tone, slate", ["base-tone-slate", "base-tone-slate-2"]) == "base-tone-slate-3"
    assert free_key("§§", []) == "row"


def in_threads(*acts: Callable[[], object]) -> list[BaseException]:
    """Do all of them at once, each with a connection of its own; what they raised."""
    start, raised = Barrier(len(acts)), []

    def do(act: Callable[[], object]) -> None:
        try:
            start.wait(timeout=20)
            act()
        except Exception as error:
            raised.append(error)
        finally:
            connection.close()

    threads = [Thread(target=do, args=[act]) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return raised


@pytest.mark.django_db(transaction=True)
def test_two_drafts_published_at_once_leave_one_published():
    first = publish_edition(edition=create_starter_edition(name="2026-1"), version=1)
    drafts = [copy_edition(edition=first, name=name) for name in ("2026-2", "2026-3")]
    raised = in_threads(*(partial(publish_edition, edition=draft, version=1) for draft in drafts))
    assert raised == []
    states = sorted(Edition.objects.values_list("state", flat=True))
    assert states == ["published", "superseded", "superseded"]


@pytest.mark.django_db(transaction=True)
def test_a_row_that_is_kept_while_the_edition_is_published_is_in_it_or_refused():
    draft = create_starter_edition()
    row = LabourTask(edition=draft, key="sweep", name="Sweep", rate=900)
    raised = in_threads(
        partial(publish_edition, edition=draft, version=1), partial(keep_rows, edition=draft, version=1, rows=[row])
    )
    (error,) = raised
    kept = draft.tasks.filter(key="sweep").exists()
    assert (isinstance(error, ChangedMeanwhile), kept, state_of(draft)) in [
        (True, True, "drafted"),  # the row came first, and the publication was told
        (False, False, "published"),  # the publication came first, and the row was refused
    ]
