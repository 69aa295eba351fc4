"""What a job cost, and why."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.job_cost import (
    LABOUR,
    OUTSIDE,
    Cause,
    CostFault,
    JobCost,
    Used,
    extra_cost,
    job_cost,
    outside_cost,
)
from quoting.core.scope_file import scope_from_data
from quoting.core.units import from_unit
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from tests.sample_scopes import everything

D = Decimal


def patio() -> Workings:
    """1,000 ft² sealed at 200 ft²/gal (5 gal at 40.00), 250 ft² an hour and 1 h of setting up (5 h at 30.00)."""
    scope = {
        "format": 1,
        "title": "Patio",
        "currency": "USD",
        "units": "us",
        "areas": [{"name": "Patio", "parts": [{"shape": "measured", "area": "1000 ft**2"}]}],
        "materials": {
            "sealer": {"name": "Sealer", "packs": [{"size": "5 gal", "price": "200.00"}]},
            "tape": {"name": "Tape", "packs": [{"size": "1 each", "price": "6.00"}]},
        },
        "work": [
            {
                "step": "Seal",
                "areas": ["Patio"],
                "labour": {"rate": "250 ft**2/hour", "setup": "1 hour"},
                "materials": [
                    {"material": "sealer", "use": {"by": "coverage", "coverage": "200 ft**2/gal", "coats": 1}},
                    {"material": "tape", "use": {"by": "each", "count": 3}},
                ],
            }
        ],
        "crew": {"size": 2, "hourly_cost": "30.00"},
        "pricing": {"profit": {"margin": "0.30"}},
    }
    return work_out(scope_from_data(scope))


def gallons(number: str) -> Decimal:
    return from_unit(D(number), "gal")


def ft2(number: str) -> Decimal:
    return from_unit(D(number), "ft**2")


def test_more_hours_than_estimated():
    # 6.5 h against 5: 1.5 h at 30
    cost = job_cost(patio(), {(0, "Patio", LABOUR): Used(amount=D("6.5"))})
    (line,) = cost.lines
    assert (line.estimated, line.used, line.difference) == (5, D("6.5"), D("1.5"))
    assert (cost.estimated, cost.used, cost.difference) == (D("150.00"), D("195.00"), D("45.00"))
    assert line.cause_sums == {Cause.AREA: 0, Cause.WEATHER: 0, Cause.EXTRA: 0, Cause.HOURS: D("45.00")}


def test_the_causes_of_a_material_s_difference():
    # 1,200 ft² were found: 6 gal would be right, 1 gal more for the area. 8 gal were used, 0.5 washed off by rain and
    # 0.75 on the step that nobody had asked for: 0.75 gal are left for the coverage. A gallon is 40.00
    used = {(0, "Patio", "sealer"): Used(amount=gallons("8"), weather=gallons("0.5"), extra=gallons("0.75"))}
    (line,) = job_cost(patio(), used, {"Patio": ft2("1200")}).lines
    assert line.cause_sums == {
        Cause.AREA: D("40.00"),
        Cause.WEATHER: D("20.00"),
        Cause.EXTRA: D("30.00"),
        Cause.COVERAGE: D("30.00"),
    }
    assert line.difference_sum == D("120.00")


def test_setting_up_does_not_grow_with_the_area():
    # 1,250 ft² take 5 h and 1 h of setting up: 1 h more for the area
    (line,) = job_cost(patio(), {(0, "Patio", LABOUR): Used(amount=D(6))}, {"Patio": ft2("1250")}).lines
    assert line.causes == {Cause.AREA: 1, Cause.WEATHER: 0, Cause.EXTRA: 0, Cause.HOURS: 0}


def test_what_was_counted_does_not_grow_with_the_area():
    (line,) = job_cost(patio(), {(0, "Patio", "tape"): Used(amount=D(4))}, {"Patio": ft2("2000")}).lines
    assert (line.estimated, line.causes[Cause.AREA], line.causes[Cause.COVERAGE]) == (3, 0, 1)


def test_less_than_estimated_is_a_difference_too():
    cost = job_cost(patio(), {(0, "Patio", "sealer"): Used(amount=gallons("4.5"))})
    assert (cost.difference, cost.by_cause[Cause.COVERAGE]) == (D("-20.00"), D("-20.00"))


def test_what_was_not_written_down_is_not_known():
    assert job_cost(patio(), {}).lines == ()


def test_work_outside_the_scope_is_extra():
    # 2 h at 30 for a walk that nobody had asked for
    line = extra_cost("Wash the walk", "Walk", LABOUR, D(2), D("30.00"), "USD")
    assert JobCost(lines=(line,)).by_cause == {**dict.fromkeys(Cause, D(0)), Cause.EXTRA: D("60.00")}


@pytest.mark.parametrize(
    ("place", "area", "thing", "words"),
    [
        (1, "Patio", LABOUR, "no such step on “Patio”"),
        (-1, "Patio", LABOUR, "no such step on “Patio”"),
        (0, "Walk", LABOUR, "no such step on “Walk”"),
        (0, "Patio", "paint", "no material “paint”"),
    ],
)
def test_what_the_job_does_not_have_is_refused(place: int, area: str, thing: str, words: str):
    with pytest.raises(CostFault, match=words):
        job_cost(patio(), {(place, area, thing): Used(amount=D(1))})


def test_an_area_of_no_size_is_refused():
    with pytest.raises(CostFault, match="has no size"):
        job_cost(patio(), {}, {"Patio": D(0)})


def test_a_part_is_no_more_than_the_whole():
    with pytest.raises(CostFault, match="part of what was used"):
        Used(amount=D(1), weather=D("0.6"), extra=D("0.6"))


EVERYTHING = work_out(scope_from_data(everything()))
THINGS = sorted(
    (place, area, thing)
    for place, step in enumerate(EVERYTHING.steps)
    for area in step.areas
    for thing in (LABOUR, *(use.material for use in step.materials))
)
AMOUNT = st.decimals("0", "50", places=3)


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(st.sampled_from(THINGS), st.tuples(AMOUNT, AMOUNT, AMOUNT), max_size=12),
    st.dictionaries(st.sampled_from(["Deck", "Walk"]), st.decimals("1", "300", places=2)),
)
def test_every_split_adds_up_to_the_difference(
    amounts: dict[tuple[int, str, str], tuple[Decimal, Decimal, Decimal]], found: dict[str, Decimal]
):
    used = {key: Used(amount=a + b + c, weather=b, extra=c) for key, (a, b, c) in amounts.items()}
    cost = job_cost(EVERYTHING, used, found)
    for line in cost.lines:
        assert sum(line.causes.values(), D(0)) == line.difference
        assert sum(line.cause_sums.values(), D(0)) == line.difference_sum
    for split in (cost.by_cause, cost.by_step, cost.by_area):
        assert sum(split.values(), D(0)) == cost.difference


def test_what_the_areas_are_estimated_at_is_what_the_step_is():
    # used exactly as estimated: no difference anywhere
    used = {}
    for place, area, thing in THINGS:
        (line,) = job_cost(EVERYTHING, {(place, area, thing): Used(amount=D(0))}).lines
        used[place, area, thing] = Used(amount=line.estimated)
    assert job_cost(EVERYTHING, used).difference == 0
    hours = sum((each.amount for (_place, _area, thing), each in used.items() if thing == LABOUR), D(0))
    assert abs(hours - EVERYTHING.person_hours) < D("1e-8")


def test_what_was_paid_outside_the_scope_is_all_extra():
    line = outside_cost("Lift hired", D("120.00"), "USD")
    assert (line.estimated_sum, line.used_sum, line.of) == (D("0.00"), D("120.00"), OUTSIDE)
    cost = JobCost(lines=(*job_cost(patio(), {(0, "Patio", LABOUR): Used(amount=D("6.5"))}).lines, line))
    # 1.5 h more at 30 are 45.00, and 120.00 on top
    assert (cost.difference, cost.by_cause[Cause.HOURS], cost.by_cause[Cause.EXTRA]) == (
        D("165.00"),
        D("45.00"),
        D("120.00"),
    )
    assert cost.by_step == {"Seal": D("45.00"), "Lift hired": D("120.00")}


@settings(max_examples=80, deadline=None)
@given(
    st.decimals("0.01", "60", places=2),
    st.decimals("0", "1", places=2),
    st.decimals("0", "1", places=2),
    st.decimals("200", "3000", places=1),
    st.lists(st.decimals("0.01", "900", places=2), max_size=3),
)
def test_the_causes_add_up_to_the_difference_to_the_cent(used: D, weather: D, extra: D, found: D, paid: list[D]):
    amount = Used(amount=used, weather=used * weather / 2, extra=used * extra / 2)
    sums = {(0, "Patio", LABOUR): amount, (0, "Patio", "sealer"): Used(amount=used / 1000)}
    lines = job_cost(patio(), sums, {"Patio": ft2(str(found))}).lines
    cost = JobCost(lines=(*lines, *(outside_cost("Hire", each, "USD") for each in paid)))
    assert sum(cost.by_cause.values()) == cost.difference
    assert sum(cost.by_step.values()) == sum(cost.by_area.values()) == cost.difference
