"""Stock on hand: lots taken in, reserved, taken out, and booked back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import transaction

from quoting.core.stock import Held
from quoting.core.units import Quantity
from quoting.models import Job, Lot, User
from quoting.services.trail import record


class TooMuch(ValueError):
    """A container holds at most its size."""

    def __init__(self) -> None:
        super().__init__("A container holds more than nothing and at most its size; one that is open stands by itself.")


def add_lot(
    *, by: User, size: Quantity, size_text: str, left: Quantity | None = None, count: int = 1, **facts: Any
) -> Lot:
    """Take in so many containers of one lot; with `left` one that is open. Raises TooMuch."""
    inside = size.magnitude if left is None else left.magnitude
    if not 0 < inside <= size.magnitude or (left is not None and left.dimension is not size.dimension):
        raise TooMuch
    opened = inside < size.magnitude
    with transaction.atomic():
        lot = Lot.objects.create(
            dimension=size.dimension.name.lower(), size=size.magnitude, size_text=size_text, left=inside,
            count=1 if opened else count, **facts,
        )  # fmt: skip
        record("stock taken in", actor=by, job=lot.came_back_from, data={"material": lot.material, "count": lot.count})
    return lot


def keep_lot(*, lot: Lot, version: int, by: User, count: int, place: str, reserved_for: Job | None) -> None:
    """How many there are now, where, and for which job they are kept. Raises ChangedMeanwhile.

    An opened pack is one by itself: more of it raises TooMuch.
    """
    if lot.opened and count > 1:
        raise TooMuch
    with transaction.atomic():
        lot.claim(version)
        lot.count, lot.place, lot.reserved_for = count, place, reserved_for
        lot.save()
        record("stock changed", actor=by, job=reserved_for, data={"material": lot.material, "count": count})


def book_back(*, job: Job, by: User, lot: Lot, left: Quantity, on: date) -> Lot:
    """One container of a lot comes back opened, with so much in it. Raises TooMuch."""
    if left.dimension.name.lower() != lot.dimension or not 0 < left.magnitude < lot.size:
        raise TooMuch
    size = Quantity(magnitude=lot.size, dimension=left.dimension, text=lot.size_text)
    with transaction.atomic():
        return add_lot(
            by=by, size=size, size_text=lot.size_text, left=left, material=lot.material, name=lot.name, lot=lot.lot,
            place=lot.place, opened_on=on, came_back_from=job,
        )  # fmt: skip


def held_for(job: Job) -> list[Held]:
    """What may be taken for a job, as the core takes it."""
    return [
        Held(material=lot.material, size=lot.size, left=lot.left, count=lot.count, lot=lot.lot, place=lot.place)
        for lot in Lot.objects.free_for(job)
    ]


def places_of_materials() -> dict[str, str]:
    """Where a material is kept that is on hand: where more of it goes."""
    return dict(Lot.objects.exclude(place="").order_by("id").values_list("material", "place"))
