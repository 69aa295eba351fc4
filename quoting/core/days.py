"""The crew's days: tasks in their order laid into day windows, with holds on each area, and why each waits.

Every task begins when the crew is free, its areas are dry, and there is room in the day: what may be split fills the
rest of a day and goes on in the morning; a coat that doesn't fit into the rest of the day begins the next one, and only
a coat that is longer than a whole day is broken, at the borders of its areas. Hours are by the clock of the place.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import localcontext

from quoting.core.laying import Planner, pieces_of
from quoting.core.moments import Moment
from quoting.core.rounding import CONTEXT
from quoting.core.tasks import Task
from quoting.core.visits import DayRules, Pin, Plan, PlanFault, Visit, Why, next_days


def plan_days(
    tasks: Sequence[Task],
    first_day: date,
    rules: DayRules | None = None,
    *,
    pins: Sequence[Pin] = (),
    ready: Mapping[str, Moment] | None = None,
    taken: Collection[int] = (),
) -> Plan:
    """The visits that do these tasks in order from `first_day` on. `ready` holds areas that are wet from before, and
    `taken` the numbers of visits that are done already, which no other visit has.

    Raises PlanFault for a window of nothing, too many visits, or a coat on one area that no day has room for.
    """
    rules = rules or DayRules()
    if not 0 <= rules.opens < rules.closes <= 24 or not rules.window > 0 or not rules.slower > 0:
        raise PlanFault("A day of work begins before it ends, and leaves time after setting up.")
    if len(rules.weekdays_off & set(range(7))) == 7:
        raise PlanFault("A week needs a day of work.")
    planner = Planner(first_day, rules, {pin.visit: pin for pin in pins}, dict(ready or {}), frozenset(taken))
    with localcontext(CONTEXT):
        for task in tasks:
            for piece in pieces_of(task, rules):
                planner.lay(piece)
    visits = planner.visits()
    reserve = rules.rain + rules.cold
    last = visits[-1].day if visits else first_day
    return Plan(
        tasks=tuple(tasks),
        first_day=first_day,
        rules=rules,
        visits=visits,
        reserve=reserve,
        latest=max([last, *next_days(last, reserve, rules)]),
        dry=planner.dry,
        pins=tuple(pins),
        ready=dict(ready or {}),
        taken=frozenset(taken),
    )


def move_visit(plan: Plan, number: int, day: date, reason: str) -> Plan:
    """The plan with this visit on that day; earlier visits stay, later ones follow. The reserve is used up first.

    Raises PlanFault where there is no such visit, or it can't begin on that day; the sentence says what it waits for.
    """
    _numbered(plan, number)
    if not plan.rules.works(day):
        raise PlanFault("The crew doesn’t work on that day.")
    pins = [pin for pin in plan.pins if pin.visit < number]
    moved = plan_days(
        plan.tasks,
        plan.first_day,
        plan.rules,
        pins=[*pins, Pin(visit=number, day=day, reason=reason)],
        ready=plan.ready,
        taken=plan.taken,
    )
    there = _numbered(moved, number)
    if there.day != day:
        raise PlanFault(f"Visit {number} can’t begin on that day: {_sentence(there)}")
    used = _days_between(plan.visits[-1].day, moved.visits[-1].day, plan.rules)
    return replace(
        moved,
        reserve=max(0, min(plan.rules.rain + plan.rules.cold, plan.reserve - used)),
        latest=max(plan.latest, moved.visits[-1].day),
    )


hold_visit = move_visit
"""A visit held for the weather is moved to the day on which it is tried again."""


def _numbered(plan: Plan, number: int) -> Visit:
    for visit in plan.visits:
        if visit.number == number:
            return visit
    raise PlanFault(f"There is no visit {number}.")


def _sentence(visit: Visit) -> str:
    wait = visit.wait
    if wait is not None and wait.why is Why.HOLD and not wait.step:
        return f"{wait.area} has to wait until then."
    if wait is not None and wait.why is Why.HOLD:
        return f"after “{wait.step}”, {wait.area} has to wait until then."
    return "the work before it isn’t done."


def _days_between(before: date, after: date, rules: DayRules) -> int:
    """Working days by which the end moved back; negative where it moved forward."""
    low, high = sorted((before, after))
    count = sum(rules.works(low + timedelta(days=i)) for i in range(1, (high - low).days + 1))
    return count if after >= before else -count
