"""The books of a job: entries that are only ever added, and the balances that follow from them.

Amounts are whole minor units (cents), signed: an entry adds to its own account. Nothing here rounds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from quoting.core.rounding import minor_places


class EntryKind(StrEnum):
    """What an entry tells. A deduction, a credit, a refund and a bounced payment are below nothing."""

    AGREED = "agreed"
    CHANGED = "changed"
    BILLED = "billed"
    CREDITED = "credited"
    RECEIVED = "received"
    REFUNDED = "refunded"
    BOUNCED = "bounced"
    SPREAD = "spread"
    EARNED = "earned"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One fact about money. `invoice` is the number of the invoice it moves, `payment` the key of the payment, `paper`
    the number of the paper that says so. `deposit` marks the billing of a deposit.
    """

    kind: EntryKind
    amount: int
    on: date
    invoice: str = ""
    payment: str = ""
    paper: str = ""
    deposit: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A balance with the entries that it is made of, each as it counts in this figure."""

    amount: int
    made_of: tuple[tuple[Entry, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceBalance:
    """One invoice: what it billed, what of it was credited (below nothing) and paid. `due` is what is left to pay."""

    number: str
    billed: int
    credited: int
    paid: int
    deposit: bool

    @property
    def due(self) -> int:
        return self.billed + self.credited - self.paid


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentBalance:
    """One payment: received, refunded and bounced (both below nothing), spread over invoices. `left` is the credit."""

    key: str
    received: int
    refunded: int
    bounced: int
    spread: int

    @property
    def left(self) -> int:
        return self.received + self.refunded + self.bounced - self.spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Balances:
    """All balances of a job, or of several. `deposits` is owed to the customer until it is earned; `credit` is what was
    paid and stands on no invoice; `due` less `credit` is `billed` less `paid`.
    """

    agreed: Figure
    changed: Figure
    billed: Figure
    paid: Figure
    due: Figure
    deposits: Figure
    credit: Figure
    invoices: tuple[InvoiceBalance, ...]
    payments: tuple[PaymentBalance, ...]

    def invoice(self, number: str) -> InvoiceBalance:
        """The balance of one invoice; nothing of one that the books do not know."""
        empty = InvoiceBalance(number=number, billed=0, credited=0, paid=0, deposit=False)
        return next((each for each in self.invoices if each.number == number), empty)

    def payment(self, key: str) -> PaymentBalance:
        """The balance of one payment; nothing of one that the books do not know."""
        empty = PaymentBalance(key=key, received=0, refunded=0, bounced=0, spread=0)
        return next((each for each in self.payments if each.key == key), empty)


K = EntryKind


def balances(entries: Iterable[Entry]) -> Balances:
    """The balances that follow from these entries, and from nothing else."""
    entries = tuple(entries)
    invoices, payments = tuple(_invoices(entries)), tuple(_payments(entries))
    deposits = {each.number for each in invoices if each.deposit}
    held = [(each, each.amount) for each in entries if each.kind is K.SPREAD and each.invoice in deposits]
    held += [(each, -each.amount) for each in entries if each.kind is K.EARNED]
    on_deposits = sum(amount for _entry, amount in held)
    return Balances(
        agreed=_figure(entries, {K.AGREED: 1}),
        changed=_figure(entries, {K.CHANGED: 1}),
        billed=_figure(entries, {K.BILLED: 1, K.CREDITED: 1}),
        paid=_figure(entries, {K.RECEIVED: 1, K.REFUNDED: 1, K.BOUNCED: 1}),
        due=_figure(entries, {K.BILLED: 1, K.CREDITED: 1, K.SPREAD: -1}),
        deposits=Figure(amount=max(on_deposits, 0), made_of=tuple(held)),
        credit=_figure(entries, {K.RECEIVED: 1, K.REFUNDED: 1, K.BOUNCED: 1, K.SPREAD: -1}),
        invoices=invoices,
        payments=payments,
    )


def _figure(entries: Sequence[Entry], signs: dict[EntryKind, int]) -> Figure:
    made_of = tuple((each, each.amount * signs[each.kind]) for each in entries if each.kind in signs)
    return Figure(amount=sum(amount for _entry, amount in made_of), made_of=made_of)


def _invoices(entries: Sequence[Entry]) -> Iterator[InvoiceBalance]:
    for number in dict.fromkeys(each.invoice for each in entries if each.invoice):
        of = [each for each in entries if each.invoice == number]
        yield InvoiceBalance(
            number=number,
            billed=_sum(of, K.BILLED),
            credited=_sum(of, K.CREDITED),
            paid=_sum(of, K.SPREAD),
            deposit=any(each.deposit for each in of),
        )


def _payments(entries: Sequence[Entry]) -> Iterator[PaymentBalance]:
    for key in dict.fromkeys(each.payment for each in entries if each.payment):
        of = [each for each in entries if each.payment == key]
        yield PaymentBalance(
            key=key,
            received=_sum(of, K.RECEIVED),
            refunded=_sum(of, K.REFUNDED),
            bounced=_sum(of, K.BOUNCED),
            spread=_sum(of, K.SPREAD),
        )


def _sum(entries: Iterable[Entry], kind: EntryKind) -> int:
    return sum(each.amount for each in entries if each.kind is kind)


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


def book_faults(entries: Iterable[Entry]) -> tuple[str, ...]:
    """What can't be: an invoice paid or credited beyond what it bills, a payment spread beyond what came in."""
    found = balances(entries)
    faults = [f"{each.number}: more was paid or credited than billed" for each in found.invoices if each.due < 0]
    faults += [f"{each.number}: less than nothing was paid on it" for each in found.invoices if each.paid < 0]
    faults += [
        f"payment {each.key}: more was spread, refunded or bounced than received"
        for each in found.payments
        if each.left < 0
    ]
    if found.due.amount - found.credit.amount != found.billed.amount - found.paid.amount:
        faults.append("due less credit is not billed less paid")
    return tuple(faults)


def to_minor(amount: Decimal, currency: str) -> int:
    """A sum of the currency in whole minor units. Raises ValueError for one with more decimals than the currency."""
    minor = amount.scaleb(minor_places(currency))
    if minor != int(minor):
        raise ValueError(f"{amount} is no sum of {currency}.")
    return int(minor)


def from_minor(minor: int, currency: str) -> Decimal:
    """Whole minor units as a sum with the currency's decimals."""
    return Decimal(minor).scaleb(-minor_places(currency))
