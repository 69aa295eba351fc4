"""When to think of sealing again: a window of months from the system's life and what the slab is exposed to.

Common practice, no published source: 1 to 2 years for stamped acrylic in hard use and every season at pools, 2 to 3
years else, 3 to 5 for imprinted concrete, 7 to 10 for a penetrant. Windows, not days.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class RecallFault(ValueError):
    """No window follows from this; the sentence says why."""


@dataclass(frozen=True, slots=True, order=True)
class Month:
    """A month of a year."""

    year: int
    month: int

    def __post_init__(self) -> None:
        if not 1 <= self.month <= 12:
            raise RecallFault("A month is 1 to 12.")

    @classmethod
    def of(cls, day: date) -> "Month":
        """The month that the day lies in."""
        return cls(day.year, day.month)

    def plus(self, months: int) -> "Month":
        """So many months later."""
        years, month = divmod(self.month - 1 + months, 12)
        return Month(self.year + years, month + 1)

    @property
    def first_day(self) -> date:
        """Its first day, for showing it."""
        return date(self.year, self.month, 1)


class Exposure(StrEnum):
    """What shortens the life of a film."""

    HARD_USE = "hard-use"
    POOL = "pool"
    SALT_POOL = "salt-pool"
    DE_ICING_SALT = "de-icing-salt"
    FULL_SUN = "full-sun"


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """How many months from one sealing to the next: from `least` to `most`."""

    least: int
    most: int

    def __post_init__(self) -> None:
        if not 1 <= self.least <= self.most <= 600:
            raise RecallFault("A life goes from least to most months, and is at least one and at most 600.")


class Seal(StrEnum):
    """What the slab is sealed with."""

    ACRYLIC = "acrylic"
    IMPRINTED = "imprinted"
    PAVER = "paver"
    PENETRANT = "penetrant"


LIVES = {
    Seal.ACRYLIC: Life(least=24, most=36),
    Seal.IMPRINTED: Life(least=36, most=60),
    Seal.PAVER: Life(least=24, most=36),
    Seal.PENETRANT: Life(least=84, most=120),
}
"""To start from; the firm edits them by system."""

SHORTENED = {
    Exposure.HARD_USE: Life(least=12, most=24),
    Exposure.POOL: Life(least=12, most=12),
    Exposure.SALT_POOL: Life(least=12, most=12),
    Exposure.DE_ICING_SALT: Life(least=12, most=24),
    Exposure.FULL_SUN: Life(least=18, most=30),
}
"""What a film lasts at most under each exposure. A penetrant, which is no film, is not shortened."""


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Window:
    """Months in which to think of it, the first and the last included."""

    first: Month
    last: Month

    def overdue(self, now: Month) -> bool:
        """Whether it has gone by."""
        return self.last < now


def life_of(life: Life, exposures: Collection[Exposure] = (), *, film: bool = True) -> Life:
    """The life under these exposures: the shortest of all."""
    for exposure in exposures if film else ():
        cap = SHORTENED[exposure]
        life = Life(least=min(life.least, cap.least), most=min(life.most, cap.most))
    return life


def window_of(sealed: date, life: Life, season: tuple[int, int] | None = None) -> Window:
    """The window for a slab sealed on this day. `season` are the first and last month in which the firm seals: a window
    that begins or ends outside it is moved into it, forward at its beginning and back at its end, but never closed.

    Raises RecallFault for a season that isn't one.
    """
    first, last = Month.of(sealed).plus(life.least), Month.of(sealed).plus(life.most)
    if season is None:
        return Window(first=first, last=last)
    begins, ends = season
    if not 1 <= begins <= ends <= 12:
        raise RecallFault("A season begins and ends within one year.")
    while not begins <= first.month <= ends:
        first = first.plus(1)
    while not begins <= last.month <= ends and last > first:
        last = last.plus(-1)
    return Window(first=first, last=max(first, last))


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """A slab that was sealed: whatever names it, its window, and where it is."""

    key: str
    window: Window
    postcode: str = ""
    town: str = ""

    @property
    def neighbourhood(self) -> str:
        """The first part of its postcode (five digits of a US one), else its town, else nothing."""
        words = self.postcode.upper().replace("-", " ").split()
        return words[0] if words else " ".join(self.town.split()).title()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueMonth:
    """The slabs whose window opens in a month, by neighbourhood, the largest group first."""

    month: Month
    groups: tuple[tuple[str, tuple[Slab, ...]], ...]

    @property
    def count(self) -> int:
        """How many slabs."""
        return sum(len(slabs) for _name, slabs in self.groups)


def due(slabs: Iterable[Slab], now: Month, months: int) -> tuple[DueMonth, ...]:
    """The slabs due from this month on for so many months. Windows that are open or have gone by stand in this month.

    Months without any are left out. Raises RecallFault for no months.
    """
    if not 1 <= months <= 240:
        raise RecallFault("The list is for 1 to 240 months.")
    by_month: dict[Month, dict[str, list[Slab]]] = {}
    for slab in sorted(slabs, key=lambda slab: (slab.window, slab.key)):
        month = max(now, slab.window.first)
        if month < now.plus(months):
            by_month.setdefault(month, {}).setdefault(slab.neighbourhood, []).append(slab)
    return tuple(
        DueMonth(
            month=month,
            groups=tuple(
                (name, tuple(those)) for name, those in sorted(groups.items(), key=lambda g: (-len(g[1]), g[0]))
            ),
        )
        for month, groups in sorted(by_month.items())
    )
