"""When to think of sealing again: a window of months from the system's life and what the slab is exposed to.

Common practice, no published source: 1 to 2 years for stamped acrylic in hard use and every season at pools, 2 to 3
years else, 3 to 5 for imprinted concrete, 7 to 10 for a penetrant. Windows, not days.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from quoting.core.rounding import CONTEXT, round_half_up


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


LONGEST = 600
"""Months; nothing is sealed for longer than 50 years."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Life:
    """Months from one sealing to the next: at least, likely, at most. `likely` is the middle where it isn't given."""

    least: int
    most: int
    likely: int = 0

    def __post_init__(self) -> None:
        if not self.likely:
            object.__setattr__(self, "likely", (self.least + self.most) // 2)
        if not 1 <= self.least <= self.likely <= self.most <= LONGEST:
            raise RecallFault("A life goes from least over likely to most months; it is at least one and at most 600.")


def life_from(years: Sequence[Decimal]) -> Life:
    """A life of whole months from low, likely and high years. Raises RecallFault."""
    least, likely, most = (int(round_half_up(each * 12, 0)) for each in years)
    if likely < 1:
        raise RecallFault("A life is at least a month long.")
    return Life(least=least, likely=likely, most=most)


def years_of(life: Life) -> tuple[Decimal, Decimal, Decimal]:
    """A life in years, to two places: low, likely, high."""
    least, likely, most = (
        round_half_up(CONTEXT.divide(Decimal(each), Decimal(12)), 2) for each in (life.least, life.likely, life.most)
    )
    return least, likely, most


class Seal(StrEnum):
    """What the slab is sealed with."""

    ACRYLIC = "acrylic"
    IMPRINTED = "imprinted"
    PAVER = "paver"
    PENETRANT = "penetrant"


_FILM = {
    Exposure.HARD_USE: Life(least=12, likely=18, most=24),
    Exposure.POOL: Life(least=12, most=12),
    Exposure.SALT_POOL: Life(least=12, most=12),
    Exposure.DE_ICING_SALT: Life(least=12, likely=18, most=24),
    Exposure.FULL_SUN: Life(least=18, likely=24, most=30),
}
"""What a film lasts at most under each exposure."""

Lives = Mapping[tuple[Seal, Exposure | None], Life]
"""A life for each seal by itself (None), and for what it lasts at most under an exposure; one that is not named under
an exposure is not shortened by it."""

STARTING_LIVES: Lives = {
    (Seal.ACRYLIC, None): Life(least=24, likely=30, most=36),
    (Seal.IMPRINTED, None): Life(least=36, likely=48, most=60),
    (Seal.PAVER, None): Life(least=24, likely=30, most=36),
    (Seal.PENETRANT, None): Life(least=84, likely=102, most=120),
} | {
    (seal, exposure): life
    for seal in (Seal.ACRYLIC, Seal.IMPRINTED, Seal.PAVER)
    for exposure, life in _FILM.items()
}  # fmt: skip
"""To start from; the firm edits them. A penetrant, which is no film, is not shortened."""


@dataclass(frozen=True, slots=True, order=True, kw_only=True)
class Window:
    """Months in which to think of it: the first, the likeliest and the last."""

    first: Month
    likely: Month
    last: Month

    def overdue(self, now: Month) -> bool:
        """Whether it has gone by."""
        return self.last < now


def life_of(seal: Seal, exposures: Collection[Exposure] = (), lives: Lives = STARTING_LIVES) -> Life:
    """The life under these exposures: the shortest of all. Raises RecallFault for a seal without a life."""
    if (seal, None) not in lives:
        raise RecallFault(f"No life is given for {seal}.")
    found = [lives[seal, None], *(lives[seal, each] for each in exposures if (seal, each) in lives)]
    return Life(
        least=min(life.least for life in found),
        likely=min(life.likely for life in found),
        most=min(life.most for life in found),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """The months in which the firm seals, from the first to the last; from October to April goes over the new year."""

    first: int
    last: int

    def __post_init__(self) -> None:
        if not (1 <= self.first <= 12 and 1 <= self.last <= 12):
            raise RecallFault("A season begins and ends in a month, 1 to 12.")

    def holds(self, month: Month) -> bool:
        """Whether the month lies in it."""
        if self.first <= self.last:
            return self.first <= month.month <= self.last
        return month.month >= self.first or month.month <= self.last


def window_of(sealed: date, life: Life, season: Season | None = None) -> Window:
    """The window for a slab sealed on this day. One that begins or ends outside the season is moved into it, forward at
    its beginning and its likeliest month, back at its end, but never closed.
    """
    begun = Month.of(sealed)
    first, likely, last = begun.plus(life.least), begun.plus(life.likely), begun.plus(life.most)
    if season is not None:
        while not season.holds(first):
            first = first.plus(1)
        while not season.holds(likely):
            likely = likely.plus(1)
        while not season.holds(last) and last > first:
            last = last.plus(-1)
    last = max(first, last)
    return Window(first=first, likely=min(max(first, likely), last), last=last)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resealing:
    """How the firm reckons: its lives, and its season where it has one."""

    lives: Lives
    season: Season | None = None

    def window(self, sealed: date, seal: Seal, exposures: Collection[Exposure] = ()) -> Window:
        """The months in which to think of sealing again. Raises RecallFault."""
        return window_of(sealed, life_of(seal, exposures, self.lives), self.season)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """A slab that was sealed: whatever names it, its window, and where it is. `rests` is the month until which it was
    left; it stands in no month before it."""

    key: str
    window: Window
    rests: Month | None = None
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
        month = max(now, slab.window.first, slab.rests or now)
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
