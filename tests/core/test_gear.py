"""Tools, spares, protective gear, tape and film."""

from decimal import Decimal

import pytest

from quoting.core.gear import Gear, GearFault, GearKind, Masking, Per, gear_for
from quoting.core.units import from_unit
from quoting.core.weather_limits import Work

D = Decimal


MASK = Gear(key="mask", name="Mask", kind=GearKind.PROTECTIVE, works=frozenset({Work.SEAL, Work.STRIP}), per=Per.PERSON)
TIPS = Gear(key="tips", name="Tips", kind=GearKind.SPARE, works=frozenset({Work.COLOUR, Work.SEAL}), count=3)


def test_what_each_person_wears_is_counted_by_person():
    assert gear_for([Work.SEAL], 2, [MASK, TIPS]) == ((MASK, 2), (TIPS, 3))


def test_nothing_is_taken_twice_for_two_kinds_of_work():
    assert gear_for([Work.COLOUR, Work.SEAL], 1, [TIPS]) == ((TIPS, 3),)


def test_what_the_work_does_not_need_stays():
    assert gear_for([Work.WASH], 2, [MASK, TIPS]) == ()


def test_rolls_by_the_edge():
    # 93 ft × 1.15 = 106.95 ft; a roll of 60 yd is 180 ft: 1; twice round 213.9: 2
    tape = Masking(key="tape", name="Tape", roll=from_unit(D(60), "yd"), works=frozenset({Work.SEAL}))
    film = Masking(key="film", name="Film", roll=from_unit(D(60), "yd"), works=frozenset({Work.SEAL}), rows=2)
    edge = from_unit(D(93), "ft")
    assert (tape.rolls(edge), film.rolls(edge)) == (1, 2)


def test_a_roll_of_nothing_is_refused():
    with pytest.raises(GearFault, match="longer than nothing"):
        Masking(key="tape", name="Tape", roll=D(0), works=frozenset()).rolls(D(1))
