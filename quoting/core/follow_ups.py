"""When it is time to write again about an offer that nobody answered: on the days that the firm sets, until it ends."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

MOST_DAYS = 6
LAST_DAY = 365


class DaysFault(ValueError):
    """The days can't be read; the words say how they are written."""

    def __init__(self) -> None:
        super().__init__(
            f"Write the days after sending as whole numbers with commas: 2, 5, 10. "
            f"At most {MOST_DAYS}, each from 1 to {LAST_DAY}, each later than the one before."
        )


def days_from(text: str) -> tuple[int, ...]:
    """“2, 5, 10” as numbers of days; nothing at all means no follow-ups. Raises DaysFault."""
    if not text.strip():
        return ()
    parts = [part.strip() for part in text.split(",")]
    if len(parts) > MOST_DAYS or not all(re.fullmatch(r"[0-9]{1,3}", part) for part in parts):
        raise DaysFault
    days = tuple(int(part) for part in parts)
    if any(not 1 <= day <= LAST_DAY for day in days) or list(days) != sorted(set(days)):
        raise DaysFault
    return days


def due_day(
    days: Sequence[int], *, sent: date, today: date, until: date | None = None, handled: date | None = None
) -> int | None:
    """The day after sending whose follow-up is due today, or None.

    It is the last day that has come, unless something was written, or left, since then (`handled`); one that was
    missed is not made up for beside a later one. Nothing is due after the offer's last day.
    """
    if until is not None and today > until:
        return None
    come = [day for day in days if sent + timedelta(days=day) <= today]
    if not come or (handled is not None and handled >= sent + timedelta(days=come[-1])):
        return None
    return come[-1]
