"""Stock: taken in, kept for a job, booked back; what is on hand is loaded before anything is bought."""

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.units import parse_quantity
from quoting.models import ChangedMeanwhile, Lot
from quoting.services.agreed_work import need_work
from quoting.services.crew_sheets import pick_list_of
from quoting.services.stock import TooMuch, add_lot, book_back, keep_lot
from tests.factories import JobFactory, OwnerFactory
from tests.sample_visits import planned_job

pytestmark = pytest.mark.django_db


def lot(size: str = "5 gal", left: str = "", count: int = 1, **facts: object) -> Lot:
    return add_lot(
        by=OwnerFactory(), material="sealer", name="Sealer", size=parse_quantity(size), size_text=size,
        left=parse_quantity(left) if left else None, count=count, **facts,
    )  # fmt: skip


def loaded(job) -> list[tuple[int, str, str, bool]]:
    found = pick_list_of(job, need_work(job), 2)[0]
    return [(line.count, line.size_text, line.lot, line.buy) for line in found.lines if line.key == "sealer"]


def test_without_stock_all_is_bought() -> None:
    # 488.01 ft² / 200 × 2 coats × 1.05 = 5.124 gal: 5 gal and 1 gal.
    assert loaded(planned_job()) == [(1, "5 gal", "", True), (1, "1 gal", "", True)]


def test_what_is_on_hand_is_loaded_first() -> None:
    job = planned_job()
    lot(lot="S-18", count=2, place="Shed, shelf 2")
    assert loaded(job) == [(2, "5 gal", "S-18", False)]


def test_what_another_job_has_reserved_is_left() -> None:
    job = planned_job()
    lot(count=2, reserved_for=JobFactory())
    assert loaded(job) == [(1, "5 gal", "", True), (1, "1 gal", "", True)]


def test_an_open_pack_is_taken_before_a_full_one() -> None:
    job = planned_job()
    lot(lot="S-18")
    lot(lot="S-18", left="2 gal")
    found = pick_list_of(job, need_work(job), 2)[0]
    assert [line.opened for line in found.lines if line.key == "sealer"] == [True, False]


def test_a_left_over_is_booked_back_as_an_open_pack_of_its_lot() -> None:
    job = planned_job()
    back = book_back(job=job, by=job.opened_by, lot=lot(lot="S-18"), left=parse_quantity("2 gal"), on=date(2026, 7, 21))
    # 2 × 3.785411784 L
    assert (back.lot, back.left, back.count, back.came_back_from, back.opened_on) == (
        "S-18", Decimal("0.007570823568"), 1, job, date(2026, 7, 21)
    )  # fmt: skip


@pytest.mark.parametrize(("size", "left"), [("5 gal", "6 gal"), ("5 gal", "2 lb")])
def test_no_container_holds_more_than_its_size(size: str, left: str) -> None:
    with pytest.raises(TooMuch):
        lot(size, left)
    assert Lot.objects.count() == 0


def test_of_two_who_count_a_lot_one_is_told() -> None:
    first = lot(count=3)
    second = Lot.objects.get()
    keep_lot(lot=first, version=1, by=OwnerFactory(), count=2, place="", reserved_for=None)
    with pytest.raises(ChangedMeanwhile):
        keep_lot(lot=second, version=1, by=OwnerFactory(), count=9, place="", reserved_for=None)
    assert Lot.objects.get().count == 2
