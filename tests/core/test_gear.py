"""Tools, spares, protective gear, tape and film."""

from decimal import Decimal

import pytest

from quoting.core.gear import STARTING_GEAR, GearFault, GearKind, Masking, Per, gear_for
from quoting.core.units import from_unit
from quoting.core.weather_limits import Work

D = Decimal


def test_a_key_stands_for_one_thing():
    assert len({gear.key for gear in STARTING_GEAR}) == len(STARTING_GEAR)


@pytest.mark.parametrize("work", Work)
def test_every_kind_of_work_has_protective_gear(work: Work):
    assert "goggles" in {gear.key for gear, _count in gear_for([work], 1)}


def test_what_each_person_wears_is_counted_by_person():
    counts = {gear.key: count for gear, count in gear_for([Work.SEAL], 3)}
    assert (counts["vapour-mask"], counts["sprayer"]) == (3, 1)


def test_nothing_is_taken_twice_for_two_kinds_of_work():
    keys = [gear.key for gear, _count in gear_for([Work.COLOUR, Work.SEAL], 2)]
    assert len(keys) == len(set(keys))


def test_no_work_takes_nothing():
    assert gear_for([], 2) == ()


def test_sealing_takes_a_spare_sprayer():
    spares = {gear.key for gear, _count in gear_for([Work.SEAL], 1) if gear.kind is GearKind.SPARE}
    assert "spare-sprayer" in spares


def test_cartridges_are_for_each_person():
    # spray painters' cartridges were changed every 4 h in one study, instead of every 16 to 24: two pairs for a day
    cartridges = next(gear for gear in STARTING_GEAR if gear.key == "cartridges")
    assert (cartridges.count, cartridges.per) == (2, Per.PERSON)


def test_rolls_by_the_edge():
    # 93 ft × 1.15 = 106.95 ft; a roll of 60 yd is 180 ft: 1; twice round 213.9: 2
    tape = Masking(key="tape", name="Tape", roll=from_unit(D(60), "yd"), works=frozenset({Work.SEAL}))
    film = Masking(key="film", name="Film", roll=from_unit(D(60), "yd"), works=frozenset({Work.SEAL}), rows=2)
    edge = from_unit(D(93), "ft")
    assert (tape.rolls(edge), film.rolls(edge)) == (1, 2)


def test_a_roll_of_nothing_is_refused():
    with pytest.raises(GearFault, match="longer than nothing"):
        Masking(key="tape", name="Tape", roll=D(0), works=frozenset()).rolls(D(1))
