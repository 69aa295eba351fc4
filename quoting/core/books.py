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
    """What an entry tells. A deduction, a credit, a refund and a bounced payment are below nothing. What is moved goes
    from one payment on what was given back of another that bounced: two entries, together nothing.
    """

    AGREED = "agreed"
    CHANGED = "changed"
    BILLED = "billed"
    CREDITED = "credited"
    RECEIVED = "received"
    REFUNDED = "refunded"
    BOUNCED = "bounced"
    SPREAD = "spread"
    MOVED = "moved"
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
    """One payment: received, refunded and bounced (both below nothing), spread over invoices, moved to or from another.
    `left` is the credit; below nothing is what was given back before it bounced, which the customer owes.
    """

    key: str
    received: int
    refunded: int
    bounced: int
    spread: int
    moved: int = 0

    @property
    def left(self) -> int:
        return self.received + self.refunded + self.bounced + self.moved - self.spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Balances:
    """All balances of a job, or of several. `deposits` is owed to the customer until it is earned; `credit` is what was
    paid and stands on no invoice, `owed_back` what was given back of payments that bounced afterwards; `due` and
    `owed_back` less `credit` is `billed` less `paid`.
    """

    agreed: Figure
    changed: Figure
    billed: Figure
    paid: Figure
    due: Figure
    deposits: Figure
    credit: Figure
    owed_back: Figure
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
LEFT = {K.RECEIVED: 1, K.REFUNDED: 1, K.BOUNCED: 1, K.MOVED: 1, K.SPREAD: -1}
"""How entries count for what is left of a payment."""


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
        credit=_figure(entries, LEFT, {each.key for each in payments if each.left > 0}),
        owed_back=_figure(
            entries, {kind: -sign for kind, sign in LEFT.items()}, {each.key for each in payments if each.left < 0}
        ),
        invoices=invoices,
        payments=payments,
    )


def _figure(entries: Sequence[Entry], signs: dict[EntryKind, int], of: set[str] | None = None) -> Figure:
    """The entries of these kinds, of all payments or of these."""
    made_of = tuple(
        (each, each.amount * signs[each.kind])
        for each in entries
        if each.kind in signs and (of is None or each.payment in of)
    )
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
            moved=_sum(of, K.MOVED),
        )


def _sum(entries: Iterable[Entry], kind: EntryKind) -> int:
    return sum(each.amount for each in entries if each.kind is kind)


def book_faults(entries: Iterable[Entry]) -> tuple[str, ...]:
    """What can't be: an invoice paid or credited beyond what it bills, a payment spread beyond what came in."""
    found = balances(entries)
    faults = [f"{each.number}: more was paid or credited than billed" for each in found.invoices if each.due < 0]
    faults += [f"{each.number}: less than nothing was paid on it" for each in found.invoices if each.paid < 0]
    faults += [
        f"payment {each.key}: more was spread, refunded or bounced than received"
        for each in found.payments
        if each.left < (each.refunded if each.bounced else 0)
    ]
    if sum(each.moved for each in found.payments):
        faults.append("what was moved between payments is not what came from others")
    if found.due.amount + found.owed_back.amount - found.credit.amount != found.billed.amount - found.paid.amount:
        faults.append("due and owed back less credit is not billed less paid")
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
