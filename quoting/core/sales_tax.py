"""What was sold and what tax was charged on it, jurisdiction by jurisdiction, as a return wants it: sales, taxable,
exempt with the reasons, tax. Sums of bills less credit notes; nothing is rounded here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from quoting.core.contracts import NONE, Agreed

ON_PART = {"materials": "only the materials’ share is taxed", "labour": "only the labour’s share is taxed"}
NOT_CHARGED = "no such tax was agreed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """What one bill said, or a credit note with its sums turned round; the region where the work is, and why the
    customer is exempt, if a certificate says so."""

    bill: Agreed
    region: str = ""
    exempt_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxLine:
    """One tax in one region: `sales` is `taxable` and `exempt` together, and `reasons` say the exempt part in pieces.
    The rate is a fraction."""

    region: str
    name: str
    rate: Decimal
    sales: Decimal
    taxable: Decimal
    tax: Decimal
    reasons: tuple[tuple[str, Decimal], ...] = ()

    @property
    def exempt(self) -> Decimal:
        return self.sales - self.taxable


@dataclass(slots=True)
class _Sums:
    sales: Decimal = NONE
    taxable: Decimal = NONE
    tax: Decimal = NONE
    reasons: dict[str, Decimal] = field(default_factory=dict)

    def exempt(self, reason: str, amount: Decimal) -> None:
        self.reasons[reason] = self.reasons.get(reason, NONE) + amount


def tax_lines(sold: Iterable[Sold]) -> tuple[TaxLine, ...]:
    """A line for each region and tax, in that order of names. Every sale of a region stands in each of its taxes."""
    sold = tuple(sold)
    by_region: dict[str, list[Sold]] = {}
    for each in sold:
        by_region.setdefault(each.region, []).append(each)
    lines = []
    for region, theirs in sorted(by_region.items()):
        taxes = {(tax.name, tax.rate) for each in theirs for tax in each.bill.taxes}
        lines += [_line(region, name, rate, theirs) for name, rate in sorted(taxes)]
    return tuple(lines)


def untaxed(sold: Iterable[Sold]) -> tuple[tuple[str, str, Decimal], ...]:
    """What was sold in regions in which no tax was charged at all: region, reason, sum."""
    sold = tuple(sold)
    taxed = {each.region for each in sold if each.bill.taxes}
    sums: dict[tuple[str, str], Decimal] = {}
    for each in sold:
        if each.region not in taxed:
            key = each.region, each.exempt_by or NOT_CHARGED
            sums[key] = sums.get(key, NONE) + each.bill.price
    return tuple((region, reason, amount) for (region, reason), amount in sorted(sums.items()))


def _line(region: str, name: str, rate: Decimal, sold: Iterable[Sold]) -> TaxLine:
    sums = _Sums()
    for each in sold:
        shares = [tax for tax in each.bill.taxes if (tax.name, tax.rate) == (name, rate)]
        taxable = sum((tax.base for tax in shares), NONE)
        sums.sales += each.bill.price
        sums.taxable += taxable
        sums.tax += sum((tax.amount for tax in shares), NONE)
        on_part = ON_PART.get(shares[0].on, NOT_CHARGED) if shares else NOT_CHARGED
        sums.exempt(each.exempt_by or on_part, each.bill.price - taxable)
    return TaxLine(
        region=region,
        name=name,
        rate=rate,
        sales=sums.sales,
        taxable=sums.taxable,
        tax=sums.tax,
        reasons=tuple((reason, amount) for reason, amount in sorted(sums.reasons.items()) if amount),
    )
