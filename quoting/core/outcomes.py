"""What came of the offers: how many were won, how soon they were answered, why the others were lost, month by month."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quoting.core.rounding import round_half_up


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One offer: the day on which it went out, and what came of it.

    `won` is None while it is open. `answered` is the day of the yes or the no; an offer that ran out or was withdrawn
    has none. `reason` is a key of the firm's list, empty where nobody said. `agreed` is what was agreed, with tax.
    `taken_back` is a yes that the customer took back within the time for that: it is lost, and was answered by the yes.
    """

    sent: date
    won: bool | None = None
    answered: date | None = None
    reason: str = ""
    agreed: Decimal = Decimal(0)
    taken_back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Some offers together. `taken_back` of those lost had a yes before. `rate` is won ÷ (won + lost), None before
    anything is decided; `days` is the middle number of days until an answer (of an even number the mean of the two in
    the middle), None without an answer."""

    offers: int
    won: int
    lost: int
    open: int
    rate: Decimal | None
    days: Decimal | None
    agreed: Decimal
    taken_back: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """The offers that went out in one month, by its first day."""

    first: date
    tally: Tally


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcomes:
    """All of them together, each month from the first to the last, and the reasons, the most frequent first."""

    whole: Tally
    months: tuple[Month, ...]
    reasons: tuple[tuple[str, int], ...]


def outcomes_of(offers: Iterable[Outcome]) -> Outcomes:
    """Every figure, from the offers alone. A month without an offer stands among the others with noughts."""
    found = list(offers)
    by_month: dict[date, list[Outcome]] = {}
    for offer in found:
        by_month.setdefault(offer.sent.replace(day=1), []).append(offer)
    months = [Month(first=first, tally=tally_of(by_month.get(first, []))) for first in _months(list(by_month))]
    counted: dict[str, int] = {}
    for offer in found:
        if offer.won is False:
            counted[offer.reason] = counted.get(offer.reason, 0) + 1
    reasons = sorted(counted.items(), key=lambda pair: (-pair[1], pair[0]))
    return Outcomes(whole=tally_of(found), months=tuple(months), reasons=tuple(reasons))


def tally_of(offers: Sequence[Outcome]) -> Tally:
    """The figures of these offers."""
    won = [offer for offer in offers if offer.won is True]
    lost = [offer for offer in offers if offer.won is False]
    decided = len(won) + len(lost)
    waits = [(offer.answered - offer.sent).days for offer in offers if offer.answered is not None]
    return Tally(
        offers=len(offers),
        won=len(won),
        lost=len(lost),
        open=len(offers) - decided,
        rate=round_half_up(Decimal(len(won)) / decided, 4) if decided else None,
        days=_middle(waits),
        agreed=sum((offer.agreed for offer in won), Decimal(0)),
        taken_back=sum(offer.taken_back for offer in lost),
    )


def _middle(waits: Sequence[int]) -> Decimal | None:
    if not waits:
        return None
    ordered = sorted(waits)
    half = len(ordered) // 2
    if len(ordered) % 2:
        return Decimal(ordered[half])
    return Decimal(ordered[half - 1] + ordered[half]) / 2


def _months(firsts: Sequence[date]) -> list[date]:
    """Every month from the first to the last of these."""
    if not firsts:
        return []
    at, last, months = min(firsts), max(firsts), []
    while at <= last:
        months.append(at)
        at = at.replace(year=at.year + at.month // 12, month=at.month % 12 + 1)
    return months
