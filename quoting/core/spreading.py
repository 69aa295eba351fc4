"""Which payment pays what: spread over invoices, taken off them again, or moved to what was given back of another.

Amounts are whole minor units (cents). Nothing here rounds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from quoting.core.books import Entry, EntryKind, PaymentBalance

K = EntryKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """So much of a payment put on an invoice; below nothing: taken off it again."""

    payment: str
    invoice: str
    amount: int


class SpreadFault(ValueError):
    """A payment can't be put on the invoices so; the sentence says why."""


def spread_oldest_first(lefts: Sequence[tuple[str, int]], dues: Sequence[tuple[str, int]]) -> tuple[Spread, ...]:
    """What is left of payments put on what is due of invoices, both in the order given."""
    found: list[Spread] = []
    asked = {number: due for number, due in dues if due > 0}
    for payment, left in lefts:
        rest = left
        for number, due in asked.items():
            taken = min(rest, due)
            if taken > 0:
                found.append(Spread(payment=payment, invoice=number, amount=taken))
                asked[number] -= taken
                rest -= taken
    return tuple(found)


def spread_as_chosen(
    payment: str, left: int, chosen: Sequence[tuple[str, int]], dues: Sequence[tuple[str, int]]
) -> tuple[Spread, ...]:
    """A payment put on invoices as somebody chose. Raises SpreadFault for more than is left, or due on one."""
    due = dict(dues)
    for number, amount in chosen:
        if amount < 0 or amount > due.get(number, 0):
            raise SpreadFault(f"On {number} there is less to pay than that.")
        due[number] = due.get(number, 0) - amount  # a bill that is named twice is paid once
    if sum(amount for _number, amount in chosen) > left:
        raise SpreadFault("More is spread over the invoices than was paid.")
    return tuple(Spread(payment=payment, invoice=number, amount=amount) for number, amount in chosen if amount)


def released(entries: Iterable[Entry], invoice: str, amount: int) -> tuple[Spread, ...]:
    """So much of what was paid on an invoice taken off it again, the payment that came last first."""
    on_it: dict[str, int] = {}
    for each in entries:
        if each.kind is K.SPREAD and each.invoice == invoice:
            on_it[each.payment] = on_it.get(each.payment, 0) + each.amount
    found, rest = [], amount
    for payment, spread in reversed(on_it.items()):
        taken = min(spread, rest)
        if taken > 0:
            found.append(Spread(payment=payment, invoice=invoice, amount=-taken))
            rest -= taken
    return tuple(found)


def unspread(entries: Iterable[Entry], payment: str) -> tuple[Spread, ...]:
    """All of a payment taken off the invoices again."""
    on: dict[str, int] = {}
    for each in entries:
        if each.kind is K.SPREAD and each.payment == payment:
            on[each.invoice] = on.get(each.invoice, 0) + each.amount
    return tuple(Spread(payment=payment, invoice=number, amount=-amount) for number, amount in on.items() if amount)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """So much put on a payment from another; below nothing: taken from it. Moves come in pairs, together nothing."""

    payment: str
    amount: int


def covered(payments: Sequence[PaymentBalance]) -> tuple[Move, ...]:
    """What is left of payments put on what was given back of others before they bounced, the oldest first."""
    owed = {each.key: -each.left for each in payments if each.left < 0}
    found: list[Move] = []
    for each in payments:
        rest = each.left
        for key, lacking in owed.items():
            taken = min(rest, lacking)
            if taken > 0:
                found += [Move(payment=each.key, amount=-taken), Move(payment=key, amount=taken)]
                owed[key] -= taken
                rest -= taken
    return tuple(found)


def uncovered(payments: Sequence[PaymentBalance], payment: str) -> tuple[Move, ...]:
    """All that a payment put on others taken back from them, the one that came last first."""
    rest = -sum(each.moved for each in payments if each.key == payment)
    found: list[Move] = []
    for each in reversed(payments):
        taken = min(rest, each.moved)
        if taken > 0:
            found += [Move(payment=each.key, amount=-taken), Move(payment=payment, amount=taken)]
            rest -= taken
    return tuple(found)
