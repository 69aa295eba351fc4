"""What is left of the tasks when some visits are done; numbers worked by hand."""

from datetime import date
from decimal import Decimal

from quoting.core.moments import Moment
from quoting.core.rest_of_work import DoneStint, dry_after, rest_of
from quoting.core.tasks import Task

D = Decimal
DAY = date(2026, 7, 16)
WASH = Task(
    place=0, step="Wash", areas=("Deck", "Walk"), hours=D(4), hold=D(24), splits=True, shares=(D("0.75"), D("0.25"))
)
SEAL = Task(place=1, step="Seal", areas=("Deck",), hours=D(2), coat=1, coats=2)


def done(place: int = 0, coat: int = 1, areas=("Deck", "Walk"), hours: str = "4", parts: int = 1, at: int = 12):
    return DoneStint(
        place=place, coat=coat, areas=areas, hours=D(hours), parts=parts, end=Moment(DAY, D(at)), hold=D(24)
    )


def test_what_nobody_began_is_left_whole():
    assert rest_of([WASH, SEAL], []) == (WASH, SEAL)


def test_what_is_done_is_left_out():
    assert rest_of([WASH, SEAL], [done()]) == (SEAL,)


def test_one_coat_is_done_and_the_other_is_left():
    second = Task(place=1, step="Seal", areas=("Deck",), hours=D(2), coat=2, coats=2)
    assert rest_of([SEAL, second], [done(place=1, areas=("Deck",), hours="2")]) == (second,)


def test_an_area_that_a_change_added_is_left_alone():
    # a quarter of the 4 hours is the walk's: 1 hour
    (left,) = rest_of([WASH], [done(areas=("Deck",), hours="3")])
    assert (left.areas, left.hours, left.shares) == (("Walk",), D(1), (D(1),))


def test_what_was_left_in_the_evening_has_the_rest_of_its_hours():
    # 4 hours, of which 2.5 were done as the first of two parts
    (left,) = rest_of([WASH], [done(hours="2.5", parts=2)])
    assert (left.areas, left.hours) == (("Deck", "Walk"), D("1.5"))


def test_a_task_of_which_all_parts_are_done_is_over():
    assert rest_of([WASH], [done(hours="2.5", parts=2), done(hours="1.5", parts=2)]) == ()


def test_areas_dry_after_the_last_that_was_done_on_them():
    # noon and 15 h on the same day, 24 h of drying, once and a half as long in cool weather: 36 h
    stints = [done(), done(areas=("Deck",), at=15)]
    assert dry_after(stints, D("1.5")) == {
        "Deck": Moment(date(2026, 7, 18), D(3)),
        "Walk": Moment(date(2026, 7, 18), D(0)),
    }
