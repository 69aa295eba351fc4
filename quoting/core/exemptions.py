"""Taking taxes off by a certificate: before anything is agreed, in the scope; afterwards, off what is agreed."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from quoting.core.contracts import Agreed, TaxShare
from quoting.core.scope import Scope, TaxBase


def without_taxes(scope: Scope, names: Collection[str]) -> Scope:
    """The scope with the taxes of these names reckoned on nothing. Price, rates and everything else stay."""
    if not names:
        return scope
    taxes = tuple(replace(tax, on=TaxBase.NONE) if tax.name in names else tax for tax in scope.pricing.tax)
    return replace(scope, pricing=replace(scope.pricing, tax=taxes))


def taxes_off(agreed: Agreed, names: Collection[str]) -> Agreed:
    """What takes the taxes of these names off what is agreed: their bases and sums turned round, and no more."""
    return Agreed(
        taxes=tuple(
            TaxShare(name=tax.name, rate=tax.rate, on=tax.on, base=-tax.base, amount=-tax.amount)
            for tax in agreed.taxes
            if tax.name in names and (tax.base or tax.amount)
        )
    )
