"""How a contract is billed: what one invoice says line by line and tax by tax.

Lines, bases and taxes of an invoice are the difference of two cumulative sums, each rounded half up once. So in however
many parts a job is billed, its invoices add up to the contract's price and to each of its taxes to the cent as soon as
all of it is billed; a cent that was rounded on one invoice comes back on the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from quoting.core.contracts import NONE, Agreed, AreaLine, TaxShare, taken_off
from quoting.core.rounding import floor_money, round_money
from quoting.core.units import format_number


class BillingFault(ValueError):
    """So much can't be billed, or credited; the sentence says why."""


class AheadOfWork(BillingFault):
    """More would be asked for than is done, where the region's rule does not allow it."""


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


def credit(invoice: Agreed, credited: Agreed, amount: Decimal, over: Agreed, currency: str) -> Agreed:
    """What a credit note over `amount`, tax included, takes off an invoice of which `credited` was taken off before.

    `over` is what all bills together say more than the contract now. Where that is just the sum, and this invoice still
    has all of it, the note says it line by line and tax by tax, so that the bills are the contract again; else it takes
    off the invoice's own lines and taxes in proportion. Raises BillingFault as `bill` does.
    """
    if amount > 0 and amount == over.total and _holds(taken_off(invoice, credited), over):
        return over
    return bill(invoice, credited, amount, currency)


def _holds(left: Agreed, over: Agreed) -> bool:
    """Whether all of one is there to be taken off the other, and nothing of it is below nothing."""
    lines = {line.area: line.amount for line in left.lines}
    taxes = {tax.key: tax for tax in left.taxes}
    none = TaxShare(name="", rate=NONE, on="", base=NONE, amount=NONE)
    return all(NONE <= line.amount <= lines.get(line.area, NONE) for line in over.lines) and all(
        NONE <= tax.base <= taxes.get(tax.key, none).base and NONE <= tax.amount <= taxes.get(tax.key, none).amount
        for tax in over.taxes
    )


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
