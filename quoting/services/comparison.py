"""What differs between two editions of the price book: only that, both figures, and the change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from django.db.models import prefetch_related_objects
from moneyed import Money

from quoting.core.book_units import BookUnits, book_units, converted
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
from quoting.services.sample_jobs import SAMPLE, sample_data, sample_slab


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
    """All that differs, in the order of the new book and in its units; a row that is new or gone is one difference."""
    before, after = figures_of(old, new.edition.units), figures_of(new)
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


def figures_of(book: PriceBook, units: str = "") -> dict[Place, Figure]:
    """Every figure and word of the book by its place; what is empty is left out. Bare figures are told in `units`, the
    book's own unless given.
    """
    told = in_units(book.edition.counts_in, book_units(units) if units else book.edition.counts_in)
    rows: list[tuple[Noun, str, Iterator[tuple[str, Figure | None]]]] = [
        *((Noun.MATERIAL, key, _of_material(row, told)) for key, row in book.materials.items()),
        *((Noun.TASK, key, _of_task(row, told)) for key, row in book.tasks.items()),
        *((Noun.CHARGE, key, _of_charge(row)) for key, row in book.charges.items()),
        *((Noun.UNIT_PRICE, row.name, _of_unit_price(row)) for row in book.unit_prices),
        *((Noun.SYSTEM, key, _of_system(row)) for key, row in book.systems.items()),
    ]
    figures: dict[Place, Figure] = {}
    for noun, key, found in rows:
        figures[Place(noun, key, NO_ROW)] = "in the book"
        figures |= {Place(noun, key, label): value for label, value in found if value not in (None, "")}
    return figures


Told = Callable[[str, Decimal | None], Decimal | None]


def in_units(before: BookUnits, after: BookUnits) -> Told:
    """What turns a figure of one kind (`coverage`, `strength` …) from the units of one book into those of another."""

    def told(kind: str, figure: Decimal | None) -> Decimal | None:
        return None if figure is None else converted(figure, getattr(before, kind), getattr(after, kind))

    return told


def _of_material(row: Material, told: Told) -> Iterator[tuple[str, Figure | None]]:
    yield from (("name", row.name), ("kind", row.get_kind_display()), ("kept in", row.kept_in))
    for pack in row.packs.all():
        yield pack.size_text, pack.price
    for each in row.coverages.all():
        where = f"{Surface(each.surface).label}, {Condition(each.condition).label}, coat {each.coat}"
        for word in ("low", "likely", "high"):
            yield f"{where}: {word}", told("coverage", getattr(each, word))
        yield f"{where}: spread, %", _percent(each.spread)
    yield from (("waste, %", _percent(row.waste)), ("solids, %", _percent(row.solids)))
    yield from ((kind, told(kind, getattr(row, kind))) for kind in ("strength", "scoop", "density"))
    yield "charged", row.get_charge_display()
    yield "cautions", row.cautions


def _of_task(row: LabourTask, told: Told) -> Iterator[tuple[str, Figure | None]]:
    kind = {"area": "area_rate", "length": "length_rate"}.get(row.counts)
    yield from (("name", row.name), ("rate", told(kind, row.rate) if kind else row.rate), ("reckoned by", row.counts))
    yield from (("set-up", row.setup), ("textured", row.textured), ("awkward", row.awkward))


def _of_charge(row: Charge) -> Iterator[tuple[str, Figure | None]]:
    yield from (("name", row.name), ("charged", row.get_per_display()))
    yield ("amount", row.amount) if row.share is None else ("share, %", _percent(row.share))
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
    """What a job of 500 ft² (50 m² where the new book is metric) comes to by each system that stands in either book, on
    a slab that it suits.
    """
    prefetch_related_objects([firm], "tax_rules")
    jobs = []
    size = new.edition.units
    area = SAMPLE[size][0].replace("**2", "²")
    for key in dict.fromkeys([*new.systems, *old.systems]):
        system = new.systems.get(key) or old.systems[key]
        if not system.surfaces or not system.conditions:
            continue
        slab = sample_slab(system)
        name = f"{system.name}, {area}, {_surface(slab[0])}, {_condition(slab[1])}"
        jobs.append(SampleJob(name, *(_price(book, key, slab, firm, size) for book in (old, new))))
    return jobs


def _price(book: PriceBook, key: str, slab: tuple[str, str], firm: Firm, size: str) -> Decimal | None:
    if (system := book.systems.get(key)) is None:
        return None
    try:
        workings = work_out(scope_from_data(sample_data(book, system, *slab, firm, size)))
    except (ScopeFaults, MissingCoverage):
        return None
    return workings.price.of.price
