"""How a contract is billed: its payments through every change, and what one invoice says line by line and tax by tax.

Lines, bases and taxes of an invoice are the difference of two cumulative sums, each rounded half up once. So in however
many parts a job is billed, its invoices add up to the contract's price and to each of its taxes to the cent as soon as
all of it is billed; a cent that was rounded on one invoice comes back on the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.core.contracts import NONE, Agreed, AreaLine, ContractSum, TaxShare, taken_off
from quoting.core.payments import Payment
from quoting.core.rounding import floor_money, round_money
from quoting.core.units import format_number


class BillingFault(ValueError):
    """So much can't be billed, or credited; the sentence says why."""


class AheadOfWork(BillingFault):
    """More would be asked for than is done, where the region's rule does not allow it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One payment of the contract as it stands now: what it comes to with the changes, and what of it is billed."""

    place: int
    name: str
    trigger: str
    agreed: Decimal
    amount: Decimal
    billed: Decimal

    @property
    def left(self) -> Decimal:
        """What is not billed yet."""
        return self.amount - self.billed


def bill(whole: Agreed, before: Agreed, amount: Decimal, currency: str) -> Agreed:
    """The lines and taxes of an invoice over `amount`, tax included, of which `before` was billed already.

    Also what is credited of an invoice: then `whole` is the invoice and `before` what was credited of it. Raises
    BillingFault for nothing, and for more than is left.
    """
    left = whole.total - before.total
    if amount <= 0:
        raise BillingFault("The sum must be more than nothing.")
    if amount > left:
        raise BillingFault(f"Only {_said(max(left, NONE), currency)} is left; {_said(amount, currency)} is more.")
    return taken_off(_cumulative(whole, before.total + amount, currency), before)


def _cumulative(whole: Agreed, upto: Decimal, currency: str) -> Agreed:
    """The first `upto` of the whole: each tax in proportion, the rest over the areas.

    The base of a tax on the whole price is the price that is left, so that a bill never says two prices.
    """
    share = upto / whole.total
    if share == 1:
        return whole
    taxes = tuple(
        TaxShare(
            name=tax.name,
            rate=tax.rate,
            on=tax.on,
            base=round_money(tax.base * share, currency),
            amount=round_money(tax.amount * share, currency),
        )
        for tax in whole.taxes
    )
    price = upto - sum((tax.amount for tax in taxes), NONE)
    taxes = tuple(
        replace(tax, base=price) if tax.on == "price" and of.base == whole.price else tax
        for tax, of in zip(taxes, whole.taxes, strict=True)
    )
    return Agreed(lines=_spread(price, whole.lines, currency), taxes=taxes)


def _spread(price: Decimal, lines: Sequence[AreaLine], currency: str) -> tuple[AreaLine, ...]:
    """The price over the areas in proportion, by the rounded edges between them: they add up to it exactly."""
    whole = sum((line.amount for line in lines), NONE)
    found, upto, edge = [], NONE, round_money(NONE, currency)
    for line in lines:
        upto += line.amount
        next_edge = round_money(price * upto / whole, currency) if whole else edge
        found.append(AreaLine(area=line.area, amount=next_edge - edge))
        edge = next_edge
    if found and edge != price:  # only where the areas come to nothing and all is tax
        found[-1] = AreaLine(area=found[-1].area, amount=found[-1].amount + price - edge)
    return tuple(found)


def schedule(contract: ContractSum, billed: Decimal) -> tuple[Part, ...]:
    """The payments as they stand now: they add up to the contract sum to the cent through every change.

    A change is paid with the payment that it names, else with the last one. A deduction that is more than that payment
    comes off the ones before it. What is billed fills the payments in their order.
    """
    payments = contract.payments or (Payment(name="In all", amount=contract.original.total),)
    amounts = [payment.amount for payment in payments]
    for change in contract.changes:
        place = min(change.paid_with or len(amounts), len(amounts)) - 1
        _put(amounts, place, change.of.total)
    parts, left = [], billed
    for place, (payment, amount) in enumerate(zip(payments, amounts, strict=True), start=1):
        taken = max(min(left, amount), NONE)
        left -= taken
        parts.append(
            Part(
                place=place,
                name=payment.name,
                trigger=payment.trigger,
                agreed=payment.amount,
                amount=amount,
                billed=taken,
            )
        )
    return tuple(parts)


def _put(amounts: list[Decimal], place: int, amount: Decimal) -> None:
    """Add to one payment; what it can't bear comes off the ones before it, then off the ones after it. What is added
    goes first to a payment that earlier deductions have left below nothing.
    """
    for other in range(len(amounts)):
        filled = max(min(-amounts[other], amount), NONE)
        amounts[other] += filled
        amount -= filled
    amounts[place] += amount
    lacking = max(-amounts[place], NONE)
    amounts[place] += lacking
    for other in (*range(place - 1, -1, -1), *range(place + 1, len(amounts))):
        taken = max(min(amounts[other], lacking), NONE)
        amounts[other] -= taken
        lacking -= taken
    amounts[place] -= lacking


def next_part(parts: Iterable[Part]) -> Part | None:
    """The first payment of which something is not billed; None when all is."""
    return next((part for part in parts if part.left > 0), None)


def check_ahead_of_work(total: Decimal, billed_after: Decimal, done: Decimal | None, currency: str) -> None:
    """Nothing but the deposit is asked for ahead of the work: all that is billed then is at most the value of the work
    done, a share `done` of the total. Raises AheadOfWork. Cal. Bus. & Prof. Code 7159.5(a)(5).
    """
    if done is None:
        raise AheadOfWork("Say how much of the work is done: the region’s rule does not let a bill run ahead of it.")
    value = floor_money(total * done, currency)
    if billed_after > value:
        raise AheadOfWork(
            f"With this, {_said(billed_after, currency)} would be billed; work for {_said(value, currency)} is done."
        )


def earned_of_deposit(deposit: Decimal, others: Decimal, value_done: Decimal) -> Decimal:
    """What of a deposit is earned when work for `value_done` is done and `others` was billed beside the deposit: the
    work that no other bill covers, at most the deposit.
    """
    return min(max(value_done - others, NONE), max(deposit, NONE))


def _said(amount: Decimal, currency: str) -> str:
    return format_number(amount, max(0, -int(round_money(NONE, currency).as_tuple().exponent)))
