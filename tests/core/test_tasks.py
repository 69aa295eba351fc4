"""Steps as tasks."""

from decimal import Decimal

from quoting.core.rounding import round_half_up
from quoting.core.scope_file import scope_from_data
from quoting.core.tasks import RECOAT, tasks_of, works_of
from quoting.core.weather_limits import Work
from quoting.core.work_out import work_out
from tests.sample_scopes import everything, pool_deck

D = Decimal


def everything_worked():
    return work_out(scope_from_data(everything()))


def test_a_step_is_a_task_with_hours_by_the_clock():
    # 435.7256 ft² ÷ 220 ft²/h + 0.5 h = 2.48057 person-hours, by two
    (task,) = tasks_of(work_out(scope_from_data(pool_deck())))
    assert (task.step, task.areas, task.splits, task.hold) == ("Base tone", ("Pool deck",), False, 0)
    assert round_half_up(task.hours, 3) == D("1.240")


def test_another_crew_takes_another_time():
    worked = work_out(scope_from_data(pool_deck()))
    alone, together = tasks_of(worked, crew=1)[0].hours, tasks_of(worked, crew=2)[0].hours
    assert round_half_up(alone, 20) == round_half_up(2 * together, 20)


def test_coats_are_tasks_with_a_day_between():
    # the sealer has two rates; each coat takes half of the hours
    first, second = (task for task in tasks_of(everything_worked()) if task.step == "Seal")
    assert ((first.coat, first.hold), (second.coat, second.hold)) == ((1, RECOAT), (2, 0))
    assert first.hours == second.hours


def test_the_firm_says_how_long_a_coat_dries_before_the_next():
    """4 hours as some labels say; common practice is 24."""
    first, second = (task for task in tasks_of(everything_worked(), recoat=D(4)) if task.step == "Seal")
    assert (first.hold, second.hold) == (4, 0)


def test_washing_may_be_left_and_colour_may_not():
    splits = {task.step: task.splits for task in tasks_of(everything_worked())}
    assert splits == {
        "Wash": True,
        "Mask": True,
        "Fill cracks": True,
        "Sand the joints": True,
        "Base tone": False,
        "Seal": False,
    }


def test_a_step_can_be_named_as_one_that_may_be_left():
    splits = {task.step: task.splits for task in tasks_of(everything_worked(), splitting=["Seal"])}
    assert splits["Seal"] is True


def test_tasks_follow_their_visits():
    data = everything()
    for step, visit in zip(data["work"], (2, None, 1, None, None, None), strict=True):
        step.pop("visit", None)
        if visit:
            step["visit"] = visit
    tasks = tasks_of(work_out(scope_from_data(data)))
    assert [task.step for task in tasks] == [
        "Fill cracks", "Sand the joints", "Base tone", "Seal", "Seal", "Wash", "Mask",
    ]  # fmt: skip


def test_shares_are_by_net_area():
    task = tasks_of(everything_worked())[0]
    assert round_half_up(sum(task.shares), 20) == 1


def test_what_kind_of_work_each_step_is():
    assert works_of(everything_worked()) == {0: Work.WASH, 3: Work.SAND, 4: Work.COLOUR, 5: Work.SEAL}
