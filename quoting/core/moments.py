"""Times of a crew's day by the clock of the place: a date and an hour; no zone, and no change of the clocks."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal

from quoting.core.rounding import CONTEXT, round_half_up

_DAY = Decimal(24)


@dataclass(frozen=True, slots=True, order=True)
class Moment:
    """An hour of a day; the hour is 0 or more and under 24, with as many decimals as the plan worked out."""

    day: date
    hour: Decimal

    def later(self, hours: Decimal) -> "Moment":
        """So many hours later; drying goes on overnight."""
        total = CONTEXT.add(self.hour, hours)
        days = int(total // _DAY)
        return Moment(self.day + timedelta(days=days), total - days * _DAY)

    def hours_until(self, other: "Moment") -> Decimal:
        """Hours from this one to the other; negative where that is earlier."""
        return CONTEXT.add(Decimal((other.day - self.day).days) * _DAY, other.hour - self.hour)

    @property
    def clock(self) -> time:
        """As a clock shows it, to the nearest minute; 23:59 at the latest."""
        minutes = min(int(round_half_up(self.hour * 60, 0)), 24 * 60 - 1)
        return time(minutes // 60, minutes % 60)

    def clock_up(self, minutes: int) -> time:
        """As somebody plans a day: up to the next so many minutes of the hour, so that no hold is cut short by it;
        23:59 at the latest."""
        exact = self.clock
        whole = -(-(exact.hour * 60 + exact.minute) // minutes) * minutes
        return time(whole // 60, whole % 60) if whole < 24 * 60 else time(23, 59)
