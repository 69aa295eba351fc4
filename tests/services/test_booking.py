"""What the crew wrote of material, booked into stock: once, put right before, with nothing booked by itself."""

from datetime import date
from decimal import Decimal
from itertools import count
from uuid import UUID

import pytest

from quoting.core.units import parse_quantity
from quoting.documents.booking import LineBooked
from quoting.models import Booked, ChangedMeanwhile, Job, Lot
from quoting.services import booking as acts
from quoting.services.entries import keep_entry
from quoting.services.stock import TooMuch, add_lot, keep_lot
from quoting.services.verify_work import work_faults
from quoting.services.visits import finish_visit
from tests.factories import CrewFactory, JobFactory, OwnerFactory
from tests.sample_visits import planned_job, visit_of

pytestmark = pytest.mark.django_db
ONCE = UUID(int=99)
GALLON = Decimal("0.003785411784")
"""In m³; NIST SP 811 (2008), B.8."""
MARKS = count(1)


@pytest.fixture
def job() -> Job:
    return planned_job()


def lot(size: str = "5 gal", left: str = "", material: str = "sealer", **facts: object) -> Lot:
    return add_lot(
        by=OwnerFactory(), material=material, name="Solvent acrylic, 24 % solids", size=parse_quantity(size),
        size_text=size, left=parse_quantity(left) if left else None, **{"lot": "S-18"} | facts,
    )  # fmt: skip


def write(job: Job, kind: str, called: str, visit: int = 3, **more: object):
    amount = parse_quantity(called)
    data = {
        "material": "sealer", "called": called, "magnitude": f"{amount.magnitude:f}",
        "dimension": amount.dimension.name, "lot": "S-18", **({"place": 2} if kind == "used" else {}),
    }  # fmt: skip
    return keep_entry(
        visit=visit_of(job, visit), by=CrewFactory(), once=UUID(int=next(MARKS)), kind=kind, data=data | more
    ).entry


def proposed(job: Job, visit: int = 3) -> list[tuple[str, int, Decimal]]:
    lines = acts.lines_to_book(visit_of(job, visit))
    return [(line.lot, line.drawn.opened, (line.drawn.left / GALLON).quantize(Decimal("0.01"))) for line in lines]


def book(job: Job, once: UUID = ONCE, free: bool = False, visit: int = 3, **said: object) -> bool:
    found = visit_of(job, visit)
    lines = [LineBooked(line=line, **said) for line in acts.lines_to_book(found)]
    return acts.book_work(visit=found, by=job.opened_by, once=once, lines=lines, free=free)


def stock() -> list[tuple[int, str, Decimal]]:
    return [(row.count, row.size_text, (row.left / GALLON).quantize(Decimal("0.01"))) for row in Lot.objects.on_hand()]


def test_what_was_used_says_how_many_packs_were_opened_and_what_is_left(job):
    # 6 gal of packs of 5: two opened, 4 left in the second.
    lot(count=3)
    write(job, "used", "6 gal")
    assert proposed(job) == [("S-18", 2, Decimal(4))]


def test_an_open_pack_is_emptied_first(job):
    # 2 open + 5 = 7, less 3: one opened, 4 left.
    lot(count=3)
    lot(left="2 gal")
    write(job, "used", "3 gal")
    assert proposed(job) == [("S-18", 1, Decimal(4))]


def test_what_the_crew_counted_and_found_goes_before_what_is_reckoned(job):
    lot(count=3)
    write(job, "used", "6 gal", packs=2)
    write(job, "left", "3.5 gal")
    assert proposed(job) == [("S-18", 2, Decimal("3.5"))]


def test_a_coat_that_was_written_down_again_counts_once(job):
    lot(count=3)
    for called in ("2 gal", "3 gal"):
        write(job, "used", called, area="Pool deck", coat=2)
    assert proposed(job) == [("S-18", 1, Decimal(2))]


def test_batches_name_the_powder_and_what_went_on_the_area_is_not_taken_twice(job):
    lot("1 lb", material="base-tone", lot="K-4", count=3)
    write(job, "used", "2 gal", 2, material="base-tone", place=1, area="Pool deck", coat=1, lot="")
    write(job, "used", "12 oz", 2, material="base-tone", place=1, batch=1, lot="K-4")
    lines = acts.lines_to_book(visit_of(job, 2))
    # 12 oz of a pound: one pack opened, 4 oz left; an ounce is 0.028349523125 kg.
    found = {line.lot: (line.drawn.opened, line.drawn.left) for line in lines if line.lot == "K-4"}
    assert found == {"K-4": (1, 4 * Decimal("0.028349523125"))}


def test_nothing_is_booked_by_itself(job):
    lot(count=3)
    write(job, "used", "6 gal")
    finish_visit(visit=visit_of(job, 3), version=visit_of(job, 3).version, by=job.opened_by)
    assert (stock(), Booked.objects.count(), len(acts.open_entries([job]))) == ([(3, "5 gal", Decimal(5))], 0, 1)


def test_booking_takes_full_packs_out_and_puts_the_open_one_in(job):
    lot(count=3, place="Shed")
    write(job, "used", "6 gal")
    assert book(job, opened=2, left=parse_quantity("4 gal")) is True
    opened = Lot.objects.get(opened_on__isnull=False)
    assert stock() == [(1, "5 gal", Decimal(5)), (1, "5 gal", Decimal(4))]
    assert (opened.lot, opened.place, opened.came_back_from, opened.opened_on) == (
        "S-18",
        "Shed",
        job,
        date(2026, 7, 20),
    )
    assert (acts.lines_to_book(visit_of(job, 3)), list(work_faults())) == ((), [])


def test_an_open_pack_that_is_empty_is_gone(job):
    lot(left="2 gal")
    write(job, "used", "2 gal")
    assert proposed(job) == [("S-18", 0, Decimal(0))]
    book(job)
    assert stock() == []


def test_a_second_press_books_nothing_more(job):
    lot(count=3)
    write(job, "used", "6 gal")
    found = visit_of(job, 3)
    lines = [LineBooked(line=line, opened=2) for line in acts.lines_to_book(found)]
    pressed = [acts.book_work(visit=found, by=job.opened_by, once=ONCE, lines=lines, free=False) for _twice in range(2)]
    assert (pressed, stock()) == ([True, False], [(1, "5 gal", Decimal(5))])


def test_a_second_person_books_nothing_more(job):
    lot(count=3)
    write(job, "used", "6 gal")
    found = visit_of(job, 3)
    lines = [LineBooked(line=line, opened=2) for line in acts.lines_to_book(found)]
    acts.book_work(visit=found, by=job.opened_by, once=ONCE, lines=lines, free=False)
    with pytest.raises(acts.BookedAlready):
        acts.book_work(visit=found, by=job.opened_by, once=UUID(int=98), lines=lines, free=False)
    assert stock() == [(1, "5 gal", Decimal(5))]


def test_what_is_written_after_a_booking_is_booked_by_itself(job):
    lot(count=3)
    write(job, "used", "4 gal")
    book(job, opened=1, left=parse_quantity("1 gal"))
    write(job, "used", "3 gal")
    # 1 open + 5 = 6, less 3.
    assert proposed(job) == [("S-18", 1, Decimal(3))]


def test_more_packs_than_there_are_is_refused_and_nothing_is_booked(job):
    lot(count=1)
    write(job, "used", "6 gal")
    with pytest.raises(acts.TooFew, match="Only 1 full"):
        book(job, opened=2)
    with pytest.raises(TooMuch):
        book(job, opened=1, left=parse_quantity("5 gal"))
    assert (stock(), Booked.objects.count()) == ([(1, "5 gal", Decimal(5))], 0)


def test_what_was_bought_for_the_job_is_taken_in_as_it_came_back(job):
    write(job, "used", "6 gal", lot="T-2")
    write(job, "left", "1.5 gal", lot="T-2")
    (line,) = acts.lines_to_book(visit_of(job, 3))
    assert (line.rows, line.name, line.drawn.left) == ((), "Solvent acrylic, 24 % solids", Decimal("1.5") * GALLON)
    book(job, left=parse_quantity("1.5 gal"), size=parse_quantity("5 gal"), full=1, place="Van")
    assert stock() == [(1, "5 gal", Decimal(5)), (1, "5 gal", Decimal("1.5"))]
    assert set(Lot.objects.values_list("lot", "place", "came_back_from")) == {("T-2", "Van", job.pk)}


def test_reservations_are_freed_when_the_office_says_so(job):
    lot(count=3, reserved_for=job)
    lot("1 gal", material="primer", reserved_for=job)
    write(job, "used", "4 gal")
    book(job, opened=1, left=parse_quantity("1 gal"), free=True)
    assert list(Lot.objects.filter(reserved_for=job)) == []


def test_the_packs_of_another_job_are_not_touched(job):
    lot(count=3, reserved_for=JobFactory())
    write(job, "used", "4 gal")
    (line,) = acts.lines_to_book(visit_of(job, 3))
    assert line.rows == ()


def test_what_was_kept_for_the_job_goes_first(job):
    lot(count=2)
    lot(count=2, reserved_for=job)
    write(job, "used", "4 gal")
    book(job, opened=1, left=parse_quantity("1 gal"))
    left = {(row.reserved_for_id, row.count) for row in Lot.objects.filter(opened_on=None)}
    assert left == {(None, 2), (job.pk, 1)}


def test_of_two_who_count_the_lot_meanwhile_the_booking_is_told(job):
    row = lot(count=3)
    write(job, "used", "4 gal")
    found = visit_of(job, 3)
    lines = [LineBooked(line=line, opened=1) for line in acts.lines_to_book(found)]
    keep_lot(
        lot=Lot.objects.get(pk=row.pk), version=row.version, by=OwnerFactory(), count=2, place="", reserved_for=None
    )
    with pytest.raises(ChangedMeanwhile):
        acts.book_work(visit=found, by=job.opened_by, once=ONCE, lines=lines, free=False)
    assert (stock(), Booked.objects.count()) == ([(2, "5 gal", Decimal(5))], 0)
