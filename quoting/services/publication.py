"""What an edition lacks before it can be published: each system must work out on every slab that it is said to suit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from quoting.core.scope_file import ScopeFaults, scope_from_data
from quoting.models import Edition, MissingCoverage, RestorationSystem, SystemStep
from quoting.services.pricebook import PriceBook
from quoting.services.sample_jobs import sample_data, sample_slab
from quoting.services.scope_work import use_data

_STEP_OF_FAULT = re.compile(r"work\[(\d+)\]")
_MATERIAL_OF_FAULT = re.compile(r"materials\.([a-z0-9_-]+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """One thing that is missing or wrong: where, what, and the row to open (its noun, and its key in the database)."""

    where: str
    sentence: str
    noun: str = ""
    pk: int = 0


class NotReady(Exception):
    """A draft can't be published yet; `lacks` says all that is missing."""

    def __init__(self, edition: Edition, lacks: Sequence[Lack]) -> None:
        self.lacks = tuple(lacks)
        super().__init__(f"Edition {edition.name} can’t be published yet: {len(self.lacks)} things are missing.")


def find_lacks(book: PriceBook) -> list[Lack]:
    """Everything that stands against publishing the edition, in the order of the book; empty when it is ready."""
    lacks = [
        Lack(where=material.name, sentence="it has no pack.", noun="material", pk=material.pk)
        for material in book.materials.values()
        if not material.packs.all()
    ]
    if not book.systems:
        lacks.append(Lack(where="Restoration systems", sentence="there is none, so nothing could be offered."))
    for system in book.systems.values():
        lacks += _lacks_of(book, system)
    return lacks


def _lacks_of(book: PriceBook, system: RestorationSystem) -> list[Lack]:
    def lack(sentence: str) -> Lack:
        return Lack(where=system.name, sentence=sentence, noun="system", pk=system.pk)

    found = []
    if not system.steps.all():
        found.append(lack("it has no step."))
    if not system.surfaces:
        found.append(lack("say which surfaces it suits."))
    if not system.conditions:
        found.append(lack("say which conditions it suits."))
    for step in system.steps.all():
        found += _lacks_of_step(book, system, step)
    return found or _faults_of_sample(book, system)


def _lacks_of_step(book: PriceBook, system: RestorationSystem, step: SystemStep) -> Iterator[Lack]:
    where = f"{system.name}, {step.name}"

    def lack(sentence: str) -> Lack:
        return Lack(where=where, sentence=sentence, noun="step", pk=step.pk)

    if step.measure == SystemStep.Measure.HOURS:
        if step.hours is None:
            yield lack("say how many person-hours it takes.")
    elif step.task is None:
        yield lack("choose its labour task, or give its hours.")
    elif not step.task.goes_by(step.measure):
        yield lack(
            f"it goes by {step.get_measure_display()}, "
            f"and {step.task.name} is reckoned in {step.task.get_unit_display()}."
        )
    missing = set()
    for used in step.materials.all():
        for surface in system.surfaces:
            for condition in system.conditions:
                try:
                    use_data(used, [(surface, condition)], counts_in=book.edition.counts_in, length="10 ft", count=1)
                except MissingCoverage as fault:
                    missing.add(str(fault))
    for sentence in sorted(missing):
        yield lack(sentence)


def _faults_of_sample(book: PriceBook, system: RestorationSystem) -> list[Lack]:
    """What the core's own reader says to a sample job, on a slab that the system suits."""
    try:
        scope_from_data(sample_data(book, system, *sample_slab(system)))
    except ScopeFaults as faults:
        return [_lack_from(book, system, fault.place, fault.sentence) for fault in faults.faults]
    return []


def _lack_from(book: PriceBook, system: RestorationSystem, place: str, sentence: str) -> Lack:
    if found := _STEP_OF_FAULT.match(place):
        step = system.steps.all()[int(found[1])]
        field = place.rsplit(".", 1)[-1].replace("_", " ") if "." in place else "it"
        said = f"{field} {sentence}" if sentence[:1].islower() else f"{field}: {sentence}"
        return Lack(where=f"{system.name}, {step.name}", sentence=said, noun="step", pk=step.pk)
    if (found := _MATERIAL_OF_FAULT.match(place)) and (material := book.materials.get(found[1])):
        return Lack(where=material.name, sentence=sentence, noun="material", pk=material.pk)
    return Lack(where=system.name, sentence=f"{place}: {sentence}", noun="system", pk=system.pk)
