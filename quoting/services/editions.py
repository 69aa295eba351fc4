"""What is done with an edition of the price book: copy it, change a draft, publish it, delete it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import TypeVar

from django.db import models, transaction
from django.db.models import ProtectedError
from django.utils import timezone
from django.utils.text import slugify

from quoting.models import (
    Charge,
    Coverage,
    Edition,
    LabourTask,
    Material,
    Pack,
    RestorationSystem,
    StepMaterial,
    SystemStep,
    UnitPrice,
    lock_row,
)
from quoting.services.book_conversion import convert_rows
from quoting.services.pricebook import read_book
from quoting.services.publication import NotReady, find_lacks

Row = TypeVar("Row", bound=models.Model)


class EditionFrozen(Exception):
    """A published or superseded edition was to be changed."""

    def __init__(self, edition: Edition) -> None:
        super().__init__(f"Edition {edition.name} is {edition.state} and never changes. Copy it to a draft first.")


class StillUsed(Exception):
    """Something that is to be removed is needed by something else."""

    def __init__(self, name: str, users: Iterable[str]) -> None:
        self.users = tuple(users)
        super().__init__(f"{name} is still used by {', '.join(self.users)}. Take it out there first.")


class AlreadyCalled(Exception):
    """Two editions can't bear the same name."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is an edition called {name} already.")


def copy_edition(
    *, edition: Edition, name: str, takes_over: dt.date | None = None, note: str = "", units: str = ""
) -> Edition:
    """A new draft with every row of the edition, its bare figures in `units`, the edition's own unless given; packs
    stay as they are sold, and so does what has its unit beside it. Raises AlreadyCalled.
    """
    book = read_book(edition)
    with transaction.atomic():
        if Edition.objects.filter(name=name).exists():
            raise AlreadyCalled(name)
        draft = Edition.objects.create(
            name=name, takes_over=takes_over, note=note, based_on=edition, units=units or edition.units
        )
        convert_rows(book, draft.units)
        material_of = _copy_all(Material, book.materials.values(), edition=draft)
        packs = [pack for row in book.materials.values() for pack in row.packs.all()]
        _copy_children(Pack, packs, "material", material_of)
        coverages = [coverage for row in book.materials.values() for coverage in row.coverages.all()]
        _copy_children(Coverage, coverages, "material", material_of)
        task_of = _copy_all(LabourTask, book.tasks.values(), edition=draft)
        _copy_all(Charge, book.charges.values(), edition=draft)
        _copy_all(UnitPrice, book.unit_prices, edition=draft)
        system_of = _copy_all(RestorationSystem, book.systems.values(), edition=draft)
        steps = [step for system in book.systems.values() for step in system.steps.all()]
        new_steps = [
            _copied(step, system=system_of[step.system_id], task=task_of[step.task_id] if step.task_id else None)
            for step in steps
        ]
        SystemStep.objects.bulk_create(new_steps)
        StepMaterial.objects.bulk_create(
            _copied(use, step=new_step, material=material_of[use.material_id])
            for step, new_step in zip(steps, new_steps, strict=True)
            for use in step.materials.all()
        )
    return draft


def _copied(row: Row, **parents: models.Model | None) -> Row:
    names = [field.attname for field in row._meta.concrete_fields if not field.primary_key]
    kept = {name: getattr(row, name) for name in names if name.removesuffix("_id") not in parents}
    return type(row)(**kept, **parents)


def _copy_all(model: type[Row], rows: Iterable[Row], **parents: models.Model) -> dict[int, Row]:
    """Copies of the rows, by the key of the row that each was copied from."""
    old = list(rows)
    new = model._default_manager.bulk_create([_copied(row, **parents) for row in old])
    return {before.pk: after for before, after in zip(old, new, strict=True)}


def _copy_children(model: type[Row], rows: Iterable[Row], parent: str, new_parents: Mapping[int, models.Model]) -> None:
    model._default_manager.bulk_create(
        [_copied(row, **{parent: new_parents[getattr(row, f"{parent}_id")]}) for row in rows]
    )


@contextmanager
def changing(edition: Edition, version: int) -> Iterator[Edition]:
    """A draft held for one change, in one transaction; everything inside it is kept, or nothing.

    Raises EditionFrozen, or ChangedMeanwhile when `version` is no longer current.
    """
    with transaction.atomic():
        held = lock_row(Edition, edition.pk)
        if not held.is_drafted:
            raise EditionFrozen(held)
        held.claim(version)
        yield held


def keep_rows(
    *, edition: Edition, version: int, rows: Iterable[models.Model] = (), removed: Iterable[models.Model] = ()
) -> None:
    """Remove rows of a draft and write others, parents before their children.

    Raises EditionFrozen, ChangedMeanwhile, or StillUsed when something else needs what is removed.
    """
    with changing(edition, version):
        for row in removed:
            try:
                row.delete()
            except ProtectedError as error:
                raise StillUsed(str(row), sorted({_name_of(each) for each in error.protected_objects})) from error
        for row in rows:
            row.save()


def describe_draft(
    *, edition: Edition, version: int, name: str, takes_over: dt.date | None = None, note: str = ""
) -> Edition:
    """Name, day and note of a draft. Raises EditionFrozen, ChangedMeanwhile or AlreadyCalled."""
    with changing(edition, version) as held:
        if Edition.objects.filter(name=name).exclude(pk=held.pk).exists():
            raise AlreadyCalled(name)
        held.name, held.takes_over, held.note = name, takes_over, note
        held.save(update_fields=["name", "takes_over", "note"])
    return held


def free_key(name: str, taken: Iterable[str]) -> str:
    """A key for a new row, from its name, that none of these is: `base-tone-slate`, `base-tone-slate-2`."""
    stem = slugify(name)[:50].strip("-") or "row"
    used = set(taken)
    return next(key for n in range(1, len(used) + 2) if (key := stem if n == 1 else f"{stem}-{n}") not in used)


def _name_of(row: models.Model) -> str:
    step = row.step if isinstance(row, StepMaterial) else row
    return f"{step.system.name}, {step.name}" if isinstance(step, SystemStep) else "a drafted option"


def publish_edition(*, edition: Edition, version: int) -> Edition:
    """Publish a draft; the edition that was published until now becomes superseded in the same transaction.

    Raises EditionFrozen, ChangedMeanwhile, or NotReady with everything that is missing.
    """
    with transaction.atomic():
        for pk in Edition.objects.order_by("pk").values_list("pk", flat=True):
            lock_row(Edition, pk)
        with changing(edition, version) as held:
            if lacks := find_lacks(read_book(held)):
                raise NotReady(held, lacks)
            Edition.objects.published().update(state=Edition.State.SUPERSEDED)
            held.state = Edition.State.PUBLISHED
            held.published_at = timezone.now()
            held.save(update_fields=["state", "published_at"])
    return held


def delete_draft(*, edition: Edition, version: int) -> None:
    """Delete a draft and all its rows.

    Raises EditionFrozen, ChangedMeanwhile, or StillUsed while an option or another edition rests on it.
    """
    with changing(edition, version) as held:
        if held.successors.exists():
            raise StillUsed(f"Edition {held.name}", [str(each) for each in held.successors.all()])
        try:
            StepMaterial.objects.filter(step__system__edition=held).delete()
            SystemStep.objects.filter(system__edition=held).delete()
            held.delete()
        except ProtectedError as error:
            raise StillUsed(f"Edition {held.name}", ["a drafted option"]) from error
