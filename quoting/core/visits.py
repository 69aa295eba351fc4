"""A crew's visits to a job: a day each, with what is done on it, when, and why it is no sooner."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from quoting.core.moments import Moment
from quoting.core.tasks import Task

MOST_VISITS = 200
MOST_DAYS_OFF = 366

_NONE = Decimal(0)


class PlanFault(ValueError):
    """These days can't be planned so; the sentence says why."""


class Why(StrEnum):
    """What a visit, or a task in it, waits for."""

    HOLD = "hold"
    DAY_FULL = "day-full"
    GOES_ON = "goes-on"
    DAY_OFF = "day-off"
    MOVED = "moved"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRules:
    """When the crew works: from `opens` to `closes` by the clock; not on the days `off`, nor on `weekdays_off` (0 is
    Monday).

    `arriving` is spent on setting up at the start of each visit. What may be split isn't begun for less than `least`
    hours. `slower` multiplies holds in cool weather. `rain` and `cold` are working days kept free after the last visit.
    """

    opens: Decimal = Decimal(8)
    closes: Decimal = Decimal(16)
    off: frozenset[date] = frozenset()
    weekdays_off: frozenset[int] = frozenset()
    arriving: Decimal = _NONE
    least: Decimal = Decimal("0.5")
    slower: Decimal = Decimal(1)
    rain: int = 0
    cold: int = 0

    @property
    def window(self) -> Decimal:
        """Hours of work in a day."""
        return self.closes - self.opens - self.arriving

    def works(self, day: date) -> bool:
        """Whether the crew comes on this day."""
        return day not in self.off and day.weekday() not in self.weekdays_off


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """Why something begins no sooner: for a hold, the step and the area that it is on, and until when."""

    why: Why
    until: Moment
    step: str = ""
    area: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stint:
    """One piece of work without a break. `part` of `parts` counts the pieces of a task that was split."""

    task: Task
    areas: tuple[str, ...]
    start: Moment
    hours: Decimal
    wait: Wait | None = None
    part: int = 1
    parts: int = 1

    @property
    def end(self) -> Moment:
        """When it is done."""
        return self.start.later(self.hours)


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A day on which the crew comes; `number` counts from 1. `start` includes setting up."""

    number: int
    start: Moment
    stints: tuple[Stint, ...]

    @property
    def day(self) -> date:
        """Its date."""
        return self.start.day

    @property
    def end(self) -> Moment:
        """When the last work of the day is done."""
        return self.stints[-1].end

    @property
    def wait(self) -> Wait | None:
        """Why it isn't sooner."""
        return self.stints[0].wait

    @property
    def hours(self) -> Decimal:
        """Of work, setting up and waiting left out."""
        return sum((stint.hours for stint in self.stints), _NONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A visit that comes on this day and no sooner: moved by hand, or held for the weather."""

    visit: int
    day: date
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The days of a job. `reserve` days after the last visit are kept free; `latest` is the day that is promised."""

    tasks: tuple[Task, ...]
    first_day: date
    rules: DayRules
    visits: tuple[Visit, ...]
    reserve: int
    latest: date
    dry: Mapping[str, Moment]
    """When the last hold on each area ends."""
    pins: tuple[Pin, ...] = ()
    ready: Mapping[str, Moment] = field(default_factory=dict)
    taken: frozenset[int] = frozenset()

    @property
    def end(self) -> Moment | None:
        """When the last work is done; None without work."""
        return self.visits[-1].end if self.visits else None

    @property
    def reserve_days(self) -> tuple[date, ...]:
        """The working days kept free."""
        last = self.visits[-1].day if self.visits else self.first_day
        return tuple(next_days(last, self.reserve, self.rules))


def next_days(day: date, count: int, rules: DayRules) -> list[date]:
    """So many working days after this day. Raises PlanFault."""
    days: list[date] = []
    while len(days) < count:
        day = working_day(day + timedelta(days=1), rules)
        days.append(day)
    return days


def working_day(day: date, rules: DayRules) -> date:
    """This day, or the next on which the crew works. Raises PlanFault where there is none in a year."""
    for _i in range(MOST_DAYS_OFF):
        if rules.works(day):
            return day
        day += timedelta(days=1)
    raise PlanFault("There is no day of work in a whole year.")
