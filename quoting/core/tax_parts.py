"""A bill's price cut by the rates that are charged on it, as open invoices want it: every cent of the price stands
under one rate, each rate's share of the tax beside it.

A tax on the materials' or the labour's share is charged on a part of the price, and a tax on the whole price on all of
it, so a part bears the sum of the rates that meet on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.contracts import NONE, Agreed, AreaLine, TaxShare
from quoting.core.rounding import round_money

WHOLE = "price"


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxPart:
    """What of the price bears one rate (a fraction; nothing where nothing is charged): by area, in all, and its tax."""

    rate: Decimal
    lines: tuple[AreaLine, ...]
    base: Decimal
    tax: Decimal


def tax_parts(bill: Agreed, currency: str) -> tuple[TaxPart, ...]:
    """The parts, the one with the highest rate first. Bases add up to the price and taxes to the tax, exactly."""
    on_all = [tax for tax in bill.taxes if tax.on == WHOLE and tax.base == bill.price]
    on_parts = [tax for tax in bill.taxes if tax not in on_all and (tax.base or tax.amount)]
    groups: dict[tuple[str, Decimal], list[TaxShare]] = {}
    for tax in on_parts:
        groups.setdefault((tax.on, tax.base), []).append(tax)
    cuts = [(base, _rate(taxes), _tax(taxes)) for (_on, base), taxes in groups.items()]
    rest = bill.price - sum((base for base, _rate_of, _tax_of in cuts), NONE)
    if rest or not cuts:
        cuts.append((rest, NONE, NONE))
    shares = _spread(_tax(on_all), [base for base, _rate_of, _tax_of in cuts], currency)
    found: dict[Decimal, tuple[Decimal, Decimal]] = {}
    for (base, own_rate, own_tax), share in zip(cuts, shares, strict=True):
        rate = own_rate + _rate(on_all)
        base_so_far, tax_so_far = found.get(rate, (NONE, NONE))
        found[rate] = (base_so_far + base, tax_so_far + own_tax + share)
    rates = sorted(found, reverse=True)
    by_rate = _lines(bill, [found[rate][0] for rate in rates], currency)
    return tuple(
        TaxPart(rate=rate, lines=lines, base=found[rate][0], tax=found[rate][1])
        for rate, lines in zip(rates, by_rate, strict=True)
    )


def _lines(bill: Agreed, bases: Sequence[Decimal], currency: str) -> list[tuple[AreaLine, ...]]:
    """Each base over the areas; the last takes what is left of each area, so that the areas stay what they are."""
    lefts = [line.amount for line in bill.lines]
    found = []
    for place, base in enumerate(bases):
        last = place == len(bases) - 1
        amounts = list(lefts) if last else _spread(base, [line.amount for line in bill.lines], currency)
        lefts = [left - amount for left, amount in zip(lefts, amounts, strict=True)]
        found.append(
            tuple(
                AreaLine(area=line.area, amount=amount)
                for line, amount in zip(bill.lines, amounts, strict=True)
                if amount
            )
        )
    return found


def _spread(amount: Decimal, weights: Sequence[Decimal], currency: str) -> list[Decimal]:
    """The amount in proportion to the weights, by the rounded edges between them: they add up to it exactly."""
    whole = sum(weights, NONE)
    if not whole:
        return [amount, *[NONE] * (len(weights) - 1)] if weights else []
    found, upto, edge = [], NONE, NONE
    for place, weight in enumerate(weights, start=1):
        upto += weight
        next_edge = amount if place == len(weights) else round_money(amount * upto / whole, currency)
        found.append(next_edge - edge)
        edge = next_edge
    return found


def _rate(taxes: Iterable[TaxShare]) -> Decimal:
    return sum((tax.rate for tax in taxes), NONE)


def _tax(taxes: Iterable[TaxShare]) -> Decimal:
    return sum((tax.amount for tax in taxes), NONE)
