"""What of a bill was paid late, and for how long: each payment from the day due to its own, what is unpaid to a day.

Sums are Decimals of the currency. Interest of each stretch is rounded once, half up; see `core.interest` for the rules.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quoting.core.books import Entry, EntryKind, from_minor
from quoting.core.interest import late_interest


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """So much of a bill that was not paid from one day to another. `paid` says whether it is paid since."""

    amount: Decimal
    since: date
    until: date
    paid: bool
    interest: Decimal

    @property
    def days(self) -> int:
        return (self.until - self.since).days


@dataclass(frozen=True, slots=True, kw_only=True)
class LateRule:
    """The firm's rule: the rate a year as a fraction, whether it compounds by months, the days of its year."""

    rate: Decimal
    compounding: bool
    year_days: int


def stretches(
    entries: Iterable[Entry], invoice: str, *, since: date, until: date, rule: LateRule, currency: str
) -> tuple[Stretch, ...]:
    """The late stretches of one bill from a day on (the day due, or that up to which interest is billed) to another.

    A payment counts from the day on which it was put on the bill; what was taken off again, such as by one that
    bounced, was never paid. What was credited was never owed.
    """
    paid: dict[str, list[tuple[date, int]]] = {}
    due = 0
    for each in entries:
        if each.invoice != invoice:
            continue
        if each.kind in (EntryKind.BILLED, EntryKind.CREDITED):
            due += each.amount
        elif each.kind is EntryKind.SPREAD and each.amount > 0:
            paid.setdefault(each.payment, []).append((each.on, each.amount))
            due -= each.amount
        elif each.kind is EntryKind.SPREAD:
            due -= each.amount
            _take_off(paid[each.payment], -each.amount)
    days: dict[date, int] = {}
    for on, amount in (each for rows in paid.values() for each in rows):
        days[on] = days.get(on, 0) + amount
    late = [(amount, min(on, until), True) for on, amount in sorted(days.items()) if on > since and amount]
    if due > 0 and until > since:
        late.append((due, until, False))
    found = []
    for minor, on, is_paid in late:
        sum_late = from_minor(minor, currency)
        interest = late_interest(
            sum_late, rule.rate, since, on, currency, compounding=rule.compounding, year_days=rule.year_days
        )
        found.append(Stretch(amount=sum_late, since=since, until=on, paid=is_paid, interest=interest))
    return tuple(found)


def _take_off(rows: list[tuple[date, int]], amount: int) -> None:
    """So much of what a payment put on a bill taken off again, the last first."""
    while amount > 0 and rows:
        on, put = rows.pop()
        if put > amount:
            rows.append((on, put - amount))
        amount -= min(put, amount)
