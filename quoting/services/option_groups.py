"""Acts on the groups of an option: which restoration system is done on which areas."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db import transaction

from quoting.models import (
    Area,
    Option,
    OptionGroup,
    OptionStep,
    RestorationSystem,
    lock_row,
)
from quoting.services.extras import refit_extras
from quoting.services.options import WORDS, NotOfThisFolder, add_group


class NoAreaChosen(Exception):
    """A system needs an area to be done on."""

    def __init__(self) -> None:
        super().__init__("Choose at least one area for it.")


def choose_system(*, option: Option, version: int, system: RestorationSystem, areas: Collection[Area]) -> OptionGroup:
    """Do this system on these areas as well, with its steps switched as the system says.

    Raises ChangedMeanwhile, NoAreaChosen or NotOfThisFolder.
    """
    with transaction.atomic():
        kept = _claim(option, version)
        _need_own(kept, system, areas)
        first = not kept.groups.exists()
        group = add_group(kept, system, areas)
        if first:
            _take_words(kept, system)
        refit_extras(kept)
    return group


def change_group(*, group: OptionGroup, version: int, system: RestorationSystem, areas: Collection[Area]) -> None:
    """Do it on other areas, or do another system: then the steps are the other system's, as the book has them.

    Raises ChangedMeanwhile, NoAreaChosen or NotOfThisFolder.
    """
    with transaction.atomic():
        kept = _claim(group.option, version)
        _need_own(kept, system, areas)
        row = OptionGroup.objects.get(pk=group.pk, option=kept)
        row.areas.set(areas)
        if row.system_id != system.pk:
            row.steps.all().delete()
            row.system = system
            row.save(update_fields=["system"])
            OptionStep.objects.bulk_create(OptionStep(group=row, step=step, on=step.on) for step in system.steps.all())
        refit_extras(kept)


def remove_group(*, group: OptionGroup, version: int) -> None:
    """Take the group with its steps out of its option. Raises ChangedMeanwhile."""
    with transaction.atomic():
        kept = _claim(group.option, version)
        OptionGroup.objects.filter(pk=group.pk, option=kept).delete()
        refit_extras(kept)


@dataclass(frozen=True, slots=True)
class Suited:
    """A system, and the areas that it is not meant for; `misfits` is empty where it suits all of them."""

    system: RestorationSystem
    misfits: tuple[Area, ...]

    @property
    def sentence(self) -> str:
        """What to say beside a system that does not suit."""
        names = ", ".join(f"{area.letter} {area.name}" for area in self.misfits)
        return f"not meant for {names}" if names else ""


def suited(systems: Iterable[RestorationSystem], areas: Collection[Area], chosen: Collection[int]) -> list[Suited]:
    """The systems with those first that suit surface and condition of all the chosen areas, by their keys; else in the
    order of the book. What each is not meant for is said of all the areas."""
    found = [Suited(system, tuple(area for area in areas if not _suits(system, area))) for system in systems]
    return sorted(found, key=lambda each: sum(area.pk in chosen for area in each.misfits))


def _suits(system: RestorationSystem, area: Area) -> bool:
    return area.surface in system.surfaces and area.condition in system.conditions


def _claim(option: Option, version: int) -> Option:
    kept = lock_row(Option, option.pk)
    kept.claim(version)
    return kept


def _need_own(option: Option, system: RestorationSystem, areas: Collection[Area]) -> None:
    if not areas:
        raise NoAreaChosen
    if system.edition_id != option.edition_id or any(area.job_id != option.job_id for area in areas):
        raise NotOfThisFolder


def _take_words(option: Option, system: RestorationSystem) -> None:
    """Words that nobody has written yet come from the first system."""
    empty = [word for word in WORDS if not getattr(option, word)]
    for word in empty:
        setattr(option, word, getattr(system, word))
    option.save(update_fields=empty)
