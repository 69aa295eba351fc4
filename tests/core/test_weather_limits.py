"""The limits of the weather as a value."""

from decimal import Decimal

import pytest

from quoting.core.finding_kinds import PRACTICE_SOURCE, Standing
from quoting.core.scope import Units
from quoting.core.weather import NEEDS
from quoting.core.weather_limits import STARTING_LIMITS, Holds, LimitFault, Work

D = Decimal


def test_every_limit_knows_its_readings():
    assert {limit.key for limit in STARTING_LIMITS.all} == NEEDS.keys()


def test_every_limit_has_a_source_and_its_standing():
    stands = {limit.key: limit.standing for limit in STARTING_LIMITS.all if limit.published == PRACTICE_SOURCE}
    assert set(stands.values()) == {Standing.PRACTICE}
    others = {limit.standing for limit in STARTING_LIMITS.all if limit.key not in stands}
    assert others == {Standing.STANDARD}


def test_a_firm_s_figure_says_so():
    own = STARTING_LIMITS.set_to({"wind-most": D(10)}, Units.US)["wind-most"]
    assert (own.figure(Units.US), own.figure(Units.METRIC), own.own) == (10, 24, True)
    assert own.source == "the firm’s own setting, in place of: City of Paris, Texas, specification 20.06 (3)"


def test_a_figure_that_is_not_changed_keeps_its_source():
    assert STARTING_LIMITS.set_to({"wind-most": D(15)}, Units.US) == STARTING_LIMITS


def test_a_limit_can_be_switched_off():
    limits = STARTING_LIMITS.set_to({"wind-most": None}, Units.METRIC)
    assert "wind-most" not in {limit.key for limit in limits.on(Work.SEAL, Units.METRIC)}
    assert "wind-most" in {limit.key for limit in limits.on(Work.SEAL, Units.US)}


def test_an_unknown_limit_is_refused():
    with pytest.raises(LimitFault, match="no limit “moon”"):
        STARTING_LIMITS["moon"]


@pytest.mark.parametrize("figure", ["NaN", "Infinity", "1001"])
def test_a_figure_that_cannot_be_kept_to_is_refused(figure: str):
    with pytest.raises(LimitFault, match="no figure that can be kept to"):
        STARTING_LIMITS.set_to({"wind-most": D(figure)}, Units.US)


@pytest.mark.parametrize(
    ("holds", "kept"),
    [
        (Holds.AT_LEAST, (False, True, True)),
        (Holds.OVER, (False, False, True)),
        (Holds.AT_MOST, (True, True, False)),
        (Holds.UNDER, (True, False, False)),
    ],
)
def test_how_a_reading_stands_to_its_limit(holds: Holds, kept: tuple[bool, ...]):
    assert tuple(holds.kept(D(value), D(5)) for value in (4, 5, 6)) == kept
