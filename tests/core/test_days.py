"""The crew's days."""

from datetime import date
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.days import hold_visit, move_visit, plan_days
from quoting.core.moments import Moment
from quoting.core.rounding import round_half_up
from quoting.core.tasks import Task
from quoting.core.visits import DayRules, Plan, PlanFault, Wait, Why

D = Decimal
MONDAY = date(2026, 5, 4)


def day(number: int) -> date:
    return date(2026, 5, number)


def task(step: str, hours: str, areas: str = "A", hold: str = "0", splits: bool = False) -> Task:
    return Task(place=0, step=step, areas=tuple(areas), hours=D(hours), hold=D(hold), splits=splits)


def laid(plan: Plan) -> list[tuple[int, str, str, str]]:
    """Day of the month, step, and the hours from and to."""
    return [
        (visit.day.day, stint.task.step, f"{stint.start.hour.normalize():f}", f"{stint.end.hour.normalize():f}")
        for visit in plan.visits
        for stint in visit.stints
    ]


WASH, COLOUR, SEAL = task("Wash", "3", hold="24", splits=True), task("Colour", "2", hold="8"), task("Seal", "3")


def test_holds_part_the_days():
    # washed on Monday until 11; dry on Tuesday at 11; colour until 13, dry at 21; sealed on Wednesday
    plan = plan_days([WASH, COLOUR, SEAL], MONDAY)
    assert laid(plan) == [(4, "Wash", "8", "11"), (5, "Colour", "11", "13"), (6, "Seal", "8", "11")]
    assert [visit.wait for visit in plan.visits] == [
        None,
        Wait(why=Why.HOLD, until=Moment(day(5), D(11)), step="Wash", area="A"),
        Wait(why=Why.HOLD, until=Moment(day(5), D(21)), step="Colour", area="A"),
    ]


def on_visit(place: int, visit: int, step: str, hours: str, hold: str, splits: bool = False) -> Task:
    return Task(
        place=place, step=step, areas=("A",), hours=D(hours), hold=D(hold), splits=splits, visit=visit
    )  # fmt: skip


def test_cracks_are_filled_on_the_day_of_the_wash_where_the_book_says_so():
    """Washed until 10 (48 h: Wednesday 10), cracks until 11 (24 h: Tuesday 11): colour on Wednesday at 10."""
    tasks = [
        on_visit(0, 1, "Wash", "2", "48", True),
        on_visit(1, 1, "Fill cracks", "1", "24", True),
        on_visit(2, 2, "Colour", "2", "8"),
    ]
    plan = plan_days(tasks, MONDAY)
    assert laid(plan) == [(4, "Wash", "8", "10"), (4, "Fill cracks", "10", "11"), (6, "Colour", "10", "12")]
    assert plan.visits[1].wait == Wait(why=Why.HOLD, until=Moment(day(6), D(10)), step="Wash", area="A")


def test_a_coat_waits_for_the_coat_before_it_whatever_visit_the_book_says():
    tasks = [on_visit(0, 1, "First coat", "2", "24"), on_visit(1, 1, "Second coat", "2", "24")]
    assert laid(plan_days(tasks, MONDAY)) == [(4, "First coat", "8", "10"), (5, "Second coat", "10", "12")]


def test_a_hold_is_on_its_own_area():
    plan = plan_days([WASH, task("Colour", "2", areas="B")], MONDAY)
    assert laid(plan) == [(4, "Wash", "8", "11"), (4, "Colour", "11", "13")]


def test_the_longest_hold_of_several_areas_counts():
    plan = plan_days([task("Wash", "1", "A", "24"), task("Wash", "1", "B", "48"), task("Seal", "1", "AB")], MONDAY)
    assert plan.visits[-1].wait == Wait(why=Why.HOLD, until=Moment(day(6), D(10)), step="Wash", area="B")


def test_a_hold_within_the_day_leaves_the_crew_waiting():
    plan = plan_days([task("Mist", "2", hold="3"), task("Look", "1")], MONDAY)
    assert laid(plan) == [(4, "Mist", "8", "10"), (4, "Look", "13", "14")]


def test_a_coat_that_does_not_fit_begins_the_next_day():
    plan = plan_days([task("Colour", "6"), task("Seal", "3", "B")], MONDAY)
    assert laid(plan) == [(4, "Colour", "8", "14"), (5, "Seal", "8", "11")]
    assert plan.visits[1].wait == Wait(why=Why.DAY_FULL, until=Moment(MONDAY, D(14)))


def test_labour_that_can_be_left_goes_on_in_the_morning():
    plan = plan_days([task("Colour", "6"), task("Wash", "3", "B", splits=True)], MONDAY)
    assert laid(plan) == [(4, "Colour", "8", "14"), (4, "Wash", "14", "16"), (5, "Wash", "8", "9")]
    first, second = (stint for visit in plan.visits for stint in visit.stints if stint.task.step == "Wash")
    assert ((first.part, first.parts), (second.part, second.parts)) == ((1, 2), (2, 2))


def test_nothing_is_begun_for_the_last_minutes():
    plan = plan_days([task("Colour", "7.75"), task("Wash", "3", "B", splits=True)], MONDAY)
    assert laid(plan) == [(4, "Colour", "8", "15.75"), (5, "Wash", "8", "11")]


def test_days_off_are_passed_over():
    rules = DayRules(weekdays_off=frozenset({5, 6}), off=frozenset({day(11)}))
    plan = plan_days([task("Wash", "3", hold="24"), COLOUR], day(8), rules)
    # Friday the 8th; the weekend; Monday the 11th is a holiday
    assert [visit.day for visit in plan.visits] == [day(8), day(12)]
    assert plan.visits[1].wait.why is Why.HOLD


def test_setting_up_comes_before_the_work():
    plan = plan_days([COLOUR], MONDAY, DayRules(arriving=D("0.5")))
    (visit,) = plan.visits
    assert (visit.start.hour, visit.stints[0].start.hour, visit.hours) == (8, D("8.5"), 2)


def test_cool_weather_makes_holds_longer():
    # 24 h × 2 from Monday 11
    plan = plan_days([WASH, COLOUR], MONDAY, DayRules(slower=D(2)))
    assert plan.visits[1].stints[0].start == Moment(day(6), D(11))


def test_reserves_are_working_days_after_the_last():
    plan = plan_days([SEAL], day(8), DayRules(weekdays_off=frozenset({5, 6}), rain=1, cold=1))
    assert (plan.reserve_days, plan.latest) == ((day(11), day(12)), day(12))


def test_areas_that_are_wet_from_before():
    plan = plan_days([COLOUR], MONDAY, ready={"A": Moment(day(6), D(9))})
    assert laid(plan) == [(6, "Colour", "9", "11")]


def test_when_the_last_hold_ends():
    assert plan_days([WASH], MONDAY).dry == {"A": Moment(day(5), D(11))}


def test_a_job_without_work_has_no_visits():
    plan = plan_days([], MONDAY)
    assert (plan.visits, plan.end, plan.latest) == ((), None, MONDAY)


def test_a_held_visit_shifts_those_after_it_and_uses_up_the_reserve():
    plan = plan_days([WASH, COLOUR, SEAL], MONDAY, DayRules(rain=2))
    held = hold_visit(plan, 2, day(6), "rain")
    assert [visit.day for visit in held.visits] == [day(4), day(6), day(7)]
    assert held.visits[1].wait == Wait(why=Why.MOVED, until=Moment(day(6), D(8)), reason="rain")
    # Seal was on the 6th with two days to spare, and is on the 7th with one
    assert (plan.latest, held.latest, held.reserve) == (day(8), day(8), 1)


def test_a_long_hold_moves_the_promised_day():
    plan = plan_days([WASH, COLOUR, SEAL], MONDAY, DayRules(rain=1))
    held = hold_visit(plan, 3, day(11), "rain")
    assert (held.latest, held.reserve) == (day(11), 0)


def test_a_moved_visit_can_be_moved_back():
    plan = plan_days([WASH, COLOUR, SEAL], MONDAY)
    moved = move_visit(plan, 2, day(8), "the family is away")
    assert [visit.day for visit in move_visit(moved, 2, day(5), "back").visits] == [day(4), day(5), day(6)]


def test_a_visit_cannot_be_moved_into_a_hold():
    plan = plan_days([task("Wash", "3", hold="48"), COLOUR], MONDAY)
    with pytest.raises(PlanFault, match="Visit 2 can’t begin on that day: after “Wash”, A has to wait"):
        move_visit(plan, 2, day(5), "sooner")


def test_a_visit_cannot_be_moved_to_a_day_off():
    plan = plan_days([WASH], MONDAY, DayRules(off=frozenset({day(5)})))
    with pytest.raises(PlanFault, match="doesn’t work on that day"):
        move_visit(plan, 1, day(5), "later")


def test_only_a_visit_that_is_planned_can_be_moved():
    with pytest.raises(PlanFault, match="There is no visit 2"):
        move_visit(plan_days([WASH], MONDAY), 2, day(6), "later")


@pytest.mark.parametrize(
    "rules",
    [DayRules(opens=D(16), closes=D(8)), DayRules(arriving=D(8)), DayRules(closes=D(25)), DayRules(slower=D(0))],
)
def test_a_day_without_hours_is_refused(rules: DayRules):
    with pytest.raises(PlanFault, match="begins before it ends"):
        plan_days([WASH], MONDAY, rules)


def test_a_week_without_work_is_refused():
    with pytest.raises(PlanFault, match="A week needs a day"):
        plan_days([WASH], MONDAY, DayRules(weekdays_off=frozenset(range(7))))


def test_too_many_visits_are_refused():
    with pytest.raises(PlanFault, match="more than 200 visits"):
        plan_days([task("Wash", "1608", splits=True)], MONDAY)


TASKS = st.lists(
    st.builds(
        Task,
        place=st.just(0),
        step=st.sampled_from(["Wash", "Colour", "Seal"]),
        areas=st.sampled_from([("A",), ("B",), ("A", "B")]),
        hours=st.decimals("0", "8", places=4),
        hold=st.decimals("0", "72", places=2),
        splits=st.booleans(),
    ),
    max_size=8,
)


@settings(max_examples=60, deadline=None)
@given(TASKS, st.frozensets(st.integers(0, 6), max_size=4))
def test_days_never_overlap_and_keep_every_hold(tasks: list[Task], weekdays_off: frozenset[int]):
    rules = DayRules(weekdays_off=weekdays_off)
    plan = plan_days(tasks, MONDAY, rules)
    stints = [stint for visit in plan.visits for stint in visit.stints]
    for before, after in pairwise(stints):
        assert before.end <= after.start
    dry: dict[str, Moment] = {}
    for stint in stints:
        assert rules.works(stint.start.day)
        assert rules.opens <= stint.start.hour
        assert stint.start.hour + stint.hours <= rules.closes + D("1e-20")
        if stint.part == 1:
            assert all(dry[area] <= stint.start for area in stint.areas if area in dry)
        if stint.part == stint.parts:
            dry |= dict.fromkeys(stint.areas, stint.end.later(stint.task.hold))
    assert len({visit.day for visit in plan.visits}) == len(plan.visits)


@settings(max_examples=60, deadline=None)
@given(TASKS)
def test_all_hours_are_worked(tasks: list[Task]):
    plan = plan_days(tasks, MONDAY)
    worked = sum((visit.hours for visit in plan.visits), D(0))
    assert round_half_up(worked, 15) == round_half_up(sum((each.hours for each in tasks), D(0)), 15)


def test_numbers_of_visits_that_are_done_are_not_given_again():
    plan = plan_days([task("Wash", "2"), task("Seal", "7")], MONDAY, taken={1, 3})
    assert [visit.number for visit in plan.visits] == [2, 4]
    moved = move_visit(plan, 4, day(6), "rain")
    assert [(visit.number, visit.day) for visit in moved.visits] == [(2, MONDAY), (4, day(6))]


def test_a_visit_that_is_done_is_none_to_move():
    with pytest.raises(PlanFault, match="no visit 1"):
        move_visit(plan_days([task("Seal", "2")], MONDAY, taken={1}), 1, day(5), "")


def test_an_area_that_is_wet_from_a_visit_before_says_so():
    ready = {"A": Moment(day(6), D(9))}
    with pytest.raises(PlanFault, match="Visit 1 can’t begin on that day: A has to wait until then"):
        move_visit(plan_days([task("Seal", "2")], MONDAY, ready=ready), 1, day(5), "")
