"""How long what is owed has been due: current, 1 to 30, 31 to 60, 61 to 90 and over 90 days, as in bookkeeping."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

SPANS = ("current", "1 to 30", "31 to 60", "61 to 90", "over 90")
"""In days after the day on which it was due; what is due today is current."""

_LAST = (0, 30, 60, 90)


@dataclass(frozen=True, slots=True, kw_only=True)
class Owed:
    """What is due of one invoice, in minor units, from which day on, and by whom."""

    customer: str
    due_on: date
    amount: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Ageing:
    """The sums of each span in the order of SPANS, in minor units."""

    spans: tuple[int, ...]

    @property
    def total(self) -> int:
        return sum(self.spans)

    @property
    def late(self) -> int:
        """All that is past its day."""
        return sum(self.spans[1:])


def days_late(due_on: date, today: date) -> int:
    """How many days past its day: due 1 April and today 11 April, 10. Never below nothing."""
    return max((today - due_on).days, 0)


def span_of(due_on: date, today: date) -> int:
    """The place in SPANS."""
    late = days_late(due_on, today)
    return next((place for place, last in enumerate(_LAST) if late <= last), len(_LAST))


def ageing(owed: Iterable[Owed], today: date) -> Ageing:
    """All of it together."""
    sums = [0] * len(SPANS)
    for each in owed:
        sums[span_of(each.due_on, today)] += each.amount
    return Ageing(spans=tuple(sums))


def ageing_by_customer(owed: Iterable[Owed], today: date) -> tuple[tuple[str, Ageing], ...]:
    """Customer by customer, who owes most first; of equal ones by name. Who owes nothing is left out."""
    by_customer: dict[str, list[Owed]] = {}
    for each in owed:
        by_customer.setdefault(each.customer, []).append(each)
    found = [(customer, ageing(theirs, today)) for customer, theirs in by_customer.items()]
    return tuple(
        sorted(((name, of) for name, of in found if of.total), key=lambda pair: (-pair[1].total, pair[0].casefold()))
    )
