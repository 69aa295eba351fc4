"""Lays pieces of work into the crew's days, one after the other."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from quoting.core.moments import Moment
from quoting.core.rounding import CONTEXT, sig20
from quoting.core.tasks import Task
from quoting.core.visits import MOST_VISITS, DayRules, Pin, PlanFault, Stint, Visit, Wait, Why, working_day

_NONE = Decimal(0)

DAY = Decimal(24)
"""A hold from this on never ends on the day on which it begins."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A task, or one area's share of a coat that is longer than a day."""

    task: Task
    areas: tuple[str, ...]
    hours: Decimal
    part: int = 1
    parts: int = 1


def pieces_of(task: Task, rules: DayRules) -> list[Piece]:
    """The task whole, or by area where a coat is longer than a day. Raises PlanFault for an area that is."""
    if task.splits or sig20(task.hours) <= sig20(rules.window):
        return [Piece(task, task.areas, task.hours)]
    shares = task.shares or (CONTEXT.divide(Decimal(1), Decimal(len(task.areas))),) * len(task.areas)
    hours = [CONTEXT.multiply(task.hours, share) for share in shares]
    for area, each in zip(task.areas, hours, strict=True):
        if sig20(each) > sig20(rules.window):
            raise PlanFault(
                f"“{task.step}” on {area} takes longer than a day, and a coat can’t be left half done: "
                "part the area, or bring more hands."
            )
    return [
        Piece(task, (area,), each, i, len(hours))
        for i, (area, each) in enumerate(zip(task.areas, hours, strict=True), 1)
    ]


class Planner:
    """Lays pieces one after the other; `at` is where the crew stands."""

    def __init__(
        self,
        first_day: date,
        rules: DayRules,
        pins: dict[int, Pin],
        ready: dict[str, Moment],
        taken: frozenset[int] = frozenset(),
    ) -> None:
        self.rules, self.pins, self.dry, self.taken = rules, pins, ready, taken
        self.wet_by: dict[str, Task] = {}
        self.days: list[date] = []
        self.stints: list[Stint] = []
        self.at = Moment(first_day, _NONE)

    def lay(self, piece: Piece) -> None:
        """Put the piece at the first time at which it can be done. Raises PlanFault."""
        rest, part = piece.hours, piece.part
        ready, wait = self._ready(piece)
        laid: list[Stint] = []
        while True:
            start, waits = self._start(ready, rest, piece.task.splits, wait)
            hours = rest
            left = start.hours_until(Moment(start.day, self.rules.closes))
            if piece.task.splits and sig20(rest) > sig20(left):
                hours = left
            laid.append(
                Stint(task=piece.task, areas=piece.areas, start=start, hours=hours, wait=waits, part=part, parts=part)
            )
            self.at = laid[-1].end
            rest -= hours
            if not rest > 0:
                break
            part += 1
            ready, wait = self.at, Wait(why=Why.GOES_ON, until=self.at, step=piece.task.step)
        parts = max(piece.parts, part)
        self.stints += [replace(stint, parts=parts) for stint in laid]
        for area in piece.areas:
            dry = self.at.later(CONTEXT.multiply(piece.task.hold, self.rules.slower))
            if area not in self.dry or dry >= self.dry[area]:
                self.dry[area], self.wet_by[area] = dry, piece.task

    def _ready(self, piece: Piece) -> tuple[Moment, Wait | None]:
        """When the areas may be worked on, and what they wait for."""
        held = [
            (self.dry[area], area) for area in piece.areas if area in self.dry and not self._goes_along(piece, area)
        ]
        if not held or max(held)[0] <= self.at:
            return self.at, None
        until, area = max(held)
        step = self.wet_by[area].step if area in self.wet_by else ""
        return until, Wait(why=Why.HOLD, until=until, step=step, area=area)

    def _goes_along(self, piece: Piece, area: str) -> bool:
        """Whether this is done on the visit that made the area wet, because the book says so: cracks filled after the
        wash of that day. It spreads no film and no colour, and the hold is one of days; what comes on a later visit
        waits for both.
        """
        by, task = self.wet_by.get(area), piece.task
        same_visit = by is not None and by.visit is not None and by.visit == task.visit and by.place != task.place
        return same_visit and by is not None and by.hold >= DAY and task.splits

    def _start(self, ready: Moment, hours: Decimal, splits: bool, wait: Wait | None) -> tuple[Moment, Wait | None]:
        """The first moment at or after `ready` at which there is room, opening a new visit where it takes one."""
        day, moment = ready.day, max(ready, self.at)
        if self.days and self.days[-1] == moment.day:
            if self._fits(moment, hours, splits):
                return moment, wait
            wait = wait or Wait(why=Why.DAY_FULL, until=moment)
            day = moment.day + timedelta(days=1)
        else:
            day = max(moment.day, self.days[-1] + timedelta(days=1)) if self.days else moment.day
        return self._new_visit(day, moment, hours, splits, wait)

    def _new_visit(
        self, day: date, moment: Moment, hours: Decimal, splits: bool, wait: Wait | None
    ) -> tuple[Moment, Wait | None]:
        pin = self.pins.get(self._number(len(self.days) + 1))
        while True:
            worked = working_day(day, self.rules)
            if worked != day and wait is None:
                wait = Wait(why=Why.DAY_OFF, until=Moment(worked, self.rules.opens))
            if pin is not None and worked < pin.day:
                wait = Wait(why=Why.MOVED, until=Moment(pin.day, self.rules.opens), reason=pin.reason)
                day = pin.day
                continue
            start = max(moment, Moment(worked, self.rules.opens + self.rules.arriving))
            if start.day == worked and self._fits(start, hours, splits):
                break
            day = worked + timedelta(days=1)
        if len(self.days) >= MOST_VISITS:
            raise PlanFault(f"This takes more than {MOST_VISITS} visits.")
        self.days.append(worked)
        return start, wait

    def _fits(self, start: Moment, hours: Decimal, splits: bool) -> bool:
        left = start.hours_until(Moment(start.day, self.rules.closes))
        if sig20(hours) <= sig20(left):
            return True
        return splits and left >= min(self.rules.least, self.rules.window) and left > 0

    def _number(self, count: int) -> int:
        """The number of the visit so many further on, leaving out those that are taken."""
        number = 0
        while count:
            number += 1
            count -= number not in self.taken
        return number

    def visits(self) -> tuple[Visit, ...]:
        """The stints by day."""
        return tuple(
            Visit(
                number=self._number(count),
                start=Moment(day, max(_NONE, stints[0].start.hour - self.rules.arriving)),
                stints=stints,
            )
            for count, day in enumerate(self.days, 1)
            if (stints := tuple(stint for stint in self.stints if stint.start.day == day))
        )
