"""What is agreed for a job: the accepted offer, each accepted change, and the sum of both as it stands now.

Sums are Decimals with the currency's decimals. Nothing is rounded here: agreed sums are added, line by line and tax
by tax.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from quoting.core.payments import Payment

NONE = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaLine:
    """What the work on one area comes to, before tax."""

    area: str
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxShare:
    """One tax as agreed: its rate as a fraction, what it is reckoned `on` (price, materials, labour, none), its
    sums.
    """

    name: str
    rate: Decimal
    on: str
    base: Decimal
    amount: Decimal

    @property
    def key(self) -> tuple[str, Decimal, str]:
        """By what two shares are the same tax."""
        return self.name, self.rate, self.on


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """Something agreed: its lines by area, its price before tax, its taxes. A deduction has sums below nothing."""

    lines: tuple[AreaLine, ...] = ()
    taxes: tuple[TaxShare, ...] = ()

    @property
    def price(self) -> Decimal:
        """Before tax."""
        return sum((line.amount for line in self.lines), NONE)

    @property
    def tax(self) -> Decimal:
        """All taxes."""
        return sum((tax.amount for tax in self.taxes), NONE)

    @property
    def total(self) -> Decimal:
        """With tax."""
        return self.price + self.tax


class PaidWith(StrEnum):
    """With which payment of the contract a change is due: the last; the one that was next when it was issued; all from
    that one on, in proportion; or one of its own, before the last.
    """

    LAST = "last"
    NEXT = "next"
    SPREAD = "spread"
    OWN = "own"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """An accepted change order: its number, what it adds or takes off, how many days more or fewer, and with which
    payment it is paid. `place` is the payment that was next when it was issued, counted from 1 among those accepted.
    """

    number: str
    of: Agreed
    days: int = 0
    title: str = ""
    paid_with: PaidWith = PaidWith.LAST
    place: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxOff:
    """Taxes that a certificate took off a contract after it was agreed with them: sums below nothing, by what, when,
    and how many of the changes were accepted before.
    """

    of: Agreed
    by: str
    on: date
    after: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractSum:
    """The contract of a job: as accepted, its accepted changes in their order, taxes taken off, and what stands now.

    `payments` are those of the accepted offer, the last the balance; `days` the days of the work as accepted, None
    where they were not said; `paper` the number of the accepted proposal.
    """

    currency: str
    paper: str
    original: Agreed
    changes: tuple[Change, ...] = ()
    payments: tuple[Payment, ...] = ()
    days: int | None = None
    taxes_off: tuple[TaxOff, ...] = ()

    @property
    def changed(self) -> Agreed:
        """All accepted changes together, and the taxes that were taken off."""
        return added([*(change.of for change in self.changes), *(each.of for each in self.taxes_off)])

    @property
    def now(self) -> Agreed:
        """The original and everything that changed it; a tax of which nothing is left is gone."""
        found = added([self.original, self.changed])
        if not self.taxes_off:
            return found
        return Agreed(lines=found.lines, taxes=tuple(tax for tax in found.taxes if tax.base or tax.amount))

    @property
    def days_now(self) -> int | None:
        """The days of the work with all changes; None where the original ones were not said."""
        return None if self.days is None else self.days + sum(change.days for change in self.changes)


def added(parts: Iterable[Agreed]) -> Agreed:
    """Agreed things together: areas of one name and taxes of one name, rate and base are one line."""
    lines: dict[str, Decimal] = {}
    taxes: dict[tuple[str, Decimal, str], TaxShare] = {}
    for part in parts:
        for line in part.lines:
            lines[line.area] = lines.get(line.area, NONE) + line.amount
        for tax in part.taxes:
            taxes[tax.key] = _together(taxes[tax.key], tax) if tax.key in taxes else tax
    return Agreed(
        lines=tuple(AreaLine(area=area, amount=amount) for area, amount in lines.items()), taxes=tuple(taxes.values())
    )


def taken_off(whole: Agreed, part: Agreed) -> Agreed:
    """What one adds to the other: `whole` less `part`, line by line and tax by tax, without lines of nothing."""
    less = added([whole, negative(part)])
    return Agreed(
        lines=tuple(line for line in less.lines if line.amount),
        taxes=tuple(tax for tax in less.taxes if tax.amount or tax.base),
    )


def negative(of: Agreed) -> Agreed:
    """The same with every sum turned round."""
    return Agreed(
        lines=tuple(AreaLine(area=line.area, amount=-line.amount) for line in of.lines),
        taxes=tuple(
            TaxShare(name=tax.name, rate=tax.rate, on=tax.on, base=-tax.base, amount=-tax.amount) for tax in of.taxes
        ),
    )


def agreed_of(lines: Sequence[tuple[str, Decimal]], taxes: Iterable[TaxShare]) -> Agreed:
    """From a price's lines by area and its taxes."""
    return added(
        [Agreed(lines=tuple(AreaLine(area=area, amount=amount) for area, amount in lines), taxes=tuple(taxes))]
    )


def _together(one: TaxShare, other: TaxShare) -> TaxShare:
    return TaxShare(
        name=one.name, rate=one.rate, on=one.on, base=one.base + other.base, amount=one.amount + other.amount
    )
