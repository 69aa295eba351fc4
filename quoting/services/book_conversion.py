"""The bare figures of a price book in other units, in memory: when an edition begins as a copy in other units."""

from __future__ import annotations

from quoting.core.book_units import book_units, converted, rate_in
from quoting.models import OptionStep, OptionUse
from quoting.services.pricebook import PriceBook


def convert_rows(book: PriceBook, units: str) -> None:
    """Turn the figures of a book in memory into these units, to the four decimals that are kept; nothing is saved."""
    before, after = book.edition.counts_in, book_units(units)
    if before is after:
        return
    for material in book.materials.values():
        for kind in ("strength", "scoop", "density"):
            if (figure := getattr(material, kind)) is not None:
                setattr(material, kind, converted(figure, getattr(before, kind), getattr(after, kind)))
        for row in material.coverages.all():
            for word in ("low", "likely", "high"):
                setattr(row, word, converted(getattr(row, word), before.coverage, after.coverage))
    for task in book.tasks.values():
        unit = rate_in(units, task.unit)
        task.rate, task.unit = converted(task.rate, task.unit, unit), unit


def convert_step(step: OptionStep, before: str, after: str) -> None:
    """Turn an option step's own rate into the unit of another edition's task."""
    if step.rate is not None and before and after and rate_in("us", before) == rate_in("us", after):
        step.rate = converted(step.rate, before, after)


def convert_use(use: OptionUse, units: str, to: str) -> None:
    """Turn an option's own coverage and strength into the units of another edition."""
    before, after = book_units(units), book_units(to)
    if use.coverage is not None:
        use.coverage = converted(use.coverage, before.coverage, after.coverage)
    if use.strength is not None:
        use.strength = converted(use.strength, before.strength, after.strength)
