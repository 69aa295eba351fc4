"""Tasks in pieces."""

from decimal import Decimal

import pytest

from quoting.core.laying import Piece, pieces_of
from quoting.core.tasks import Task
from quoting.core.visits import DayRules, PlanFault

D = Decimal


def coat(hours: str, *shares: str) -> Task:
    areas = tuple("AB"[: len(shares)])
    return Task(place=0, step="Seal", areas=areas, hours=D(hours), shares=tuple(map(D, shares)))


def test_a_coat_of_a_day_stays_whole():
    task = coat("8", "0.5", "0.5")
    assert pieces_of(task, DayRules()) == [Piece(task, ("A", "B"), D(8))]


def test_a_coat_longer_than_a_day_breaks_at_the_border():
    task = coat("10", "0.7", "0.3")
    assert pieces_of(task, DayRules()) == [Piece(task, ("A",), D(7), 1, 2), Piece(task, ("B",), D(3), 2, 2)]


def test_an_area_that_takes_longer_than_a_day_is_refused():
    with pytest.raises(PlanFault, match="“Seal” on A takes longer than a day"):
        pieces_of(coat("9", "1"), DayRules())
