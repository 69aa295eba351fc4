"""What differs between two editions of the price book: only that, both figures, and the change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from django.db.models import prefetch_related_objects
from moneyed import Money

from quoting.core.scope_file import ScopeFaults, scope_from_data
from quoting.core.work_out import work_out
from quoting.models import (
    Charge,
    Condition,
    Firm,
    LabourTask,
    Material,
    MissingCoverage,
    RestorationSystem,
    Surface,
    SystemStep,
    UnitPrice,
)
from quoting.services.pricebook import PriceBook
from quoting.services.sample_jobs import SAMPLE_AREA, sample_data, sample_slab


class Noun(StrEnum):
    """The rooms of the book, in its order; the value is the heading."""

    MATERIAL = "Materials"
    TASK = "Labour"
    CHARGE = "Charges"
    UNIT_PRICE = "Unit prices"
    SYSTEM = "Restoration systems"


class Place(NamedTuple):
    """Where a figure stands: its noun, the key of its row, and what it is called there."""

    noun: Noun
    key: str
    label: str


Figure = Decimal | Money | str
NO_ROW = ""
"""The label under which a whole row stands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A figure or word that differs; None on the side where the row or the figure isn't there."""

    place: Place
    name: str
    old: Figure | None
    new: Figure | None

    @property
    def change(self) -> Decimal | None:
        """The change as a fraction of the old figure; None where there is none to speak of."""
        old, new = (each.amount if isinstance(each, Money) else each for each in (self.old, self.new))
        if isinstance(old, Decimal) and isinstance(new, Decimal) and old:
            return (new - old) / old
        return None


class SampleJob(NamedTuple):
    """What a sample job of one system comes to before tax, under two editions; None where it can't be worked out."""

    name: str
    old: Decimal | None
    new: Decimal | None

    @property
    def change(self) -> Decimal | None:
        """The change as a fraction of the old price."""
        return (self.new - self.old) / self.old if self.old and self.new is not None else None


def compare(old: PriceBook, new: PriceBook) -> list[Difference]:
    """All that differs, in the order of the new book; a row that is new or gone is one difference."""
    before, after = figures_of(old), figures_of(new)
    names = names_of(old) | names_of(new)
    rows_before, rows_after = _rows(before), _rows(after)
    differences = []
    for place in dict.fromkeys([*after, *before]):
        row = (place.noun, place.key)
        whole_row = row not in rows_before or row not in rows_after
        if whole_row != (place.label == NO_ROW) or before.get(place) == after.get(place):
            continue
        differences.append(Difference(place=place, name=names[row], old=before.get(place), new=after.get(place)))
    order = list(Noun)
    return sorted(differences, key=lambda each: order.index(each.place.noun))


def _rows(figures: Mapping[Place, Figure]) -> set[tuple[Noun, str]]:
    return {(place.noun, place.key) for place in figures}


def names_of(book: PriceBook) -> dict[tuple[Noun, str], str]:
    """The name of every row by noun and key."""
    return {
        **{(Noun.MATERIAL, key): row.name for key, row in book.materials.items()},
        **{(Noun.TASK, key): row.name for key, row in book.tasks.items()},
        **{(Noun.CHARGE, key): row.name for key, row in book.charges.items()},
        **{(Noun.UNIT_PRICE, row.name): row.name for row in book.unit_prices},
        **{(Noun.SYSTEM, key): row.name for key, row in book.systems.items()},
    }


def figures_of(book: PriceBook) -> dict[Place, Figure]:
    """Every figure and word of the book by its place; what is empty is left out."""
    rows: list[tuple[Noun, str, Iterator[tuple[str, Figure | None]]]] = [
        *((Noun.MATERIAL, key, _of_material(row)) for key, row in book.materials.items()),
        *((Noun.TASK, key, _of_task(row)) for key, row in book.tasks.items()),
        *((Noun.CHARGE, key, _of_charge(row)) for key, row in book.charges.items()),
        *((Noun.UNIT_PRICE, row.name, _of_unit_price(row)) for row in book.unit_prices),
        *((Noun.SYSTEM, key, _of_system(row)) for key, row in book.systems.items()),
    ]
    figures: dict[Place, Figure] = {}
    for noun, key, found in rows:
        figures[Place(noun, key, NO_ROW)] = "in the book"
        figures |= {Place(noun, key, label): value for label, value in found if value not in (None, "")}
    return figures


def _of_material(row: Material) -> Iterator[tuple[str, Figure | None]]:
    yield from (("name", row.name), ("kind", row.get_kind_display()), ("kept in", row.kept_in))
    for pack in row.packs.all():
        yield pack.size_text, pack.price
    for each in row.coverages.all():
        where = f"{Surface(each.surface).label}, {Condition(each.condition).label}, coat {each.coat}"
        for word in ("low", "likely", "high"):
            yield f"{where}: {word}", getattr(each, word)
        yield f"{where}: spread, %", _percent(each.spread)
    yield from (("waste, %", _percent(row.waste)), ("strength", row.strength), ("scoop", row.scoop_oz))
    yield from (("solids, %", _percent(row.solids)), ("density", row.density), ("charged", row.get_charge_display()))
    yield "cautions", row.cautions


def _of_task(row: LabourTask) -> Iterator[tuple[str, Figure | None]]:
    yield from (("name", row.name), ("rate", row.rate), ("reckoned in", row.get_unit_display()))
    yield from (("set-up", row.setup), ("textured", row.textured), ("awkward", row.awkward))


def _of_charge(row: Charge) -> Iterator[tuple[str, Figure | None]]:
    yield from (("name", row.name), ("amount", row.amount), ("charged", row.get_per_display()))
    yield from (("category", row.get_category_display()), ("in a new option", "always" if row.always else "on demand"))


def _of_unit_price(row: UnitPrice) -> Iterator[tuple[str, Figure | None]]:
    yield "price", row.price


def _of_system(row: RestorationSystem) -> Iterator[tuple[str, Figure | None]]:
    yield "name", row.name
    yield "suits", ", ".join([*map(_surface, row.surfaces), *map(_condition, row.conditions)])
    for label in ("mends", "does_not_mend", "life", "look", "slip", "warranty"):
        yield label.replace("_", " "), getattr(row, label)
    steps = row.steps.all()
    yield "steps in order", " · ".join(step.name for step in steps)
    for step in steps:
        for label, value in _of_step(step):
            yield f"{step.name}: {label}", value


def _of_step(step: SystemStep) -> Iterator[tuple[str, Figure | None]]:
    yield from (
        ("how", step.how),
        ("task", step.task.name if step.task else ""),
        ("goes by", step.get_measure_display()),
    )
    yield from (("hours", step.hours), ("passes", Decimal(step.passes)), ("visit", Decimal(step.visit)))
    yield from (("hold", step.hold_hours), ("at first", "on" if step.on else "off"))
    for used in step.materials.all():
        yield f"{used.material.name}, waste, %", _percent(used.waste)
        for key, value in sorted(used.use.items()):
            yield f"{used.material.name}, {key.replace('_', ' ')}", str(value)


def _percent(share: Decimal | None) -> Decimal | None:
    return None if share is None else share.scaleb(2)


def _surface(key: str) -> str:
    return Surface(key).label if key in Surface.values else key


def _condition(key: str) -> str:
    return Condition(key).label if key in Condition.values else key


def sample_jobs(old: PriceBook, new: PriceBook, firm: Firm) -> list[SampleJob]:
    """What a job of 500 ft² comes to by each system that stands in either book, on a slab that it suits."""
    prefetch_related_objects([firm], "tax_rules")
    jobs = []
    for key in dict.fromkeys([*new.systems, *old.systems]):
        system = new.systems.get(key) or old.systems[key]
        if not system.surfaces or not system.conditions:
            continue
        slab = sample_slab(system)
        name = f"{system.name}, {SAMPLE_AREA.replace('ft**2', 'ft²')}, {_surface(slab[0])}, {_condition(slab[1])}"
        jobs.append(SampleJob(name, *(_price(book, key, slab, firm) for book in (old, new))))
    return jobs


def _price(book: PriceBook, key: str, slab: tuple[str, str], firm: Firm) -> Decimal | None:
    if (system := book.systems.get(key)) is None:
        return None
    try:
        workings = work_out(scope_from_data(sample_data(book, system, *slab, firm)))
    except (ScopeFaults, MissingCoverage):
        return None
    return workings.price.of.price
