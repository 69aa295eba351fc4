"""Cost → price → shares → tax, in the order of the house: every rounding is half up to the currency, where it
stands here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import ceil_to, floor_money, minor_places, round_money, sig20
from quoting.core.scope import Category, Charge, Pricing, Tax, TaxBase

_NONE = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxAmount:
    """One tax: what it is reckoned on and what it comes to."""

    tax: Tax
    base: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedCharge:
    """A charge that is a share of direct cost: the base that it is reckoned on, and what it comes to."""

    charge: Charge
    share: Decimal
    base: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The way from direct cost to total. All are sums of the currency but `markup` and `margin`.

    `computed` is cost with its profit, rounded; `raised` is that or the minimum; `rounded` is that up to the multiple;
    `price` is what is left of it after the `discount`. `shares` split the price over the categories exactly. `markup`
    and `margin` are what the price came to, not what was asked for; None where they would divide by nothing. `shared`
    are the charges that are a share of direct cost; they stand in `direct_by_category` and `direct` already.
    """

    direct_by_category: Mapping[Category, Decimal]
    direct: Decimal
    overhead: Decimal
    cost: Decimal
    computed: Decimal
    raised: Decimal
    rounded: Decimal
    discount: Decimal
    price: Decimal
    shares: Mapping[Category, Decimal]
    taxes: tuple[TaxAmount, ...]
    total: Decimal
    shared: tuple[SharedCharge, ...] = ()

    @property
    def before_shares(self) -> Decimal:
        """The direct cost that charges as a share are reckoned on."""
        return self.direct - sum((each.amount for each in self.shared), _NONE)

    @property
    def profit(self) -> Decimal:
        """Price less cost."""
        return self.price - self.cost

    @property
    def markup(self) -> Decimal | None:
        """Profit over cost."""
        return self.profit / self.cost if self.cost else None

    @property
    def margin(self) -> Decimal | None:
        """Profit over price."""
        return self.profit / self.price if self.price else None


def price_of(
    direct_by_category: Mapping[Category, Decimal], pricing: Pricing, currency: str, charges: Sequence[Charge] = ()
) -> Price:
    """The price of these direct costs, with its taxes; of the charges only those that are a share are added here."""
    costs = {category: direct_by_category.get(category, _NONE) for category in Category}
    shared = shared_charges(sum(costs.values(), _NONE), charges, currency)
    for each in shared:
        costs[each.charge.category] += each.amount
    direct = sum(costs.values(), _NONE)
    overhead = round_money(direct * pricing.overhead, currency)
    cost = direct + overhead
    computed = round_money(with_profit(cost, pricing), currency)
    raised = max(computed, pricing.minimum)
    rounded = ceil_to(raised, pricing.round_to) if pricing.round_to else raised
    rounded = round_money(rounded, currency)
    discount = min(asked_discount(rounded, pricing, currency), rounded)
    price = rounded - discount
    weights = tuple(costs.values())
    parts = split_exactly(price, weights if direct else _all_other(), currency)
    shares = dict(zip(costs, parts, strict=True))
    taxes = tuple(_tax(tax, price, shares, currency) for tax in pricing.tax)
    return Price(
        direct_by_category=costs,
        direct=direct,
        overhead=overhead,
        cost=cost,
        computed=computed,
        raised=raised,
        rounded=rounded,
        discount=discount,
        price=price,
        shares=shares,
        taxes=taxes,
        total=price + sum((tax.amount for tax in taxes), _NONE),
        shared=shared,
    )


def shared_charges(base: Decimal, charges: Sequence[Charge], currency: str) -> tuple[SharedCharge, ...]:
    """What each charge that is a share comes to, of the same base each, rounded once."""
    return tuple(
        SharedCharge(charge=each, share=each.share, base=base, amount=round_money(base * each.share, currency))
        for each in charges
        if each.share is not None
    )


def with_profit(cost: Decimal, pricing: Pricing) -> Decimal:
    """Cost with its profit, not rounded: × (1 + markup), or ÷ (1 − margin)."""
    if pricing.profit.margin is not None:
        return cost / (1 - pricing.profit.margin)
    return cost * (1 + (pricing.profit.markup or _NONE))


def asked_discount(price: Decimal, pricing: Pricing, currency: str) -> Decimal:
    """The discount that was asked for, which may be more than the price."""
    if pricing.discount.amount is not None:
        return round_money(pricing.discount.amount, currency)
    return round_money(price * (pricing.discount.rate or _NONE), currency)


def _all_other() -> tuple[Decimal, ...]:
    """A price without any cost, such as a bare minimum, is a share of no category but the last."""
    return tuple(Decimal(category is Category.OTHER) for category in Category)


def _tax(tax: Tax, price: Decimal, shares: Mapping[Category, Decimal], currency: str) -> TaxAmount:
    bases = {
        TaxBase.PRICE: price,
        TaxBase.MATERIALS: shares[Category.MATERIALS],
        TaxBase.LABOUR: shares[Category.LABOUR],
        TaxBase.NONE: round_money(_NONE, currency),
    }
    base = bases[tax.on]
    return TaxAmount(tax=tax, base=base, amount=round_money(base * tax.rate, currency))


def split_exactly(total: Decimal, weights: Sequence[Decimal], currency: str) -> tuple[Decimal, ...]:
    """The total split in proportion to the weights by largest remainder: the parts add up to it to the last cent.

    Equal remainders go to the first. `total` is a sum of the currency, not negative; weights are not negative, and not
    all zero unless the total is.
    """
    unit = Decimal(1).scaleb(-minor_places(currency))
    whole = sum(weights, _NONE)
    if not whole:
        return tuple(round_money(_NONE, currency) for _weight in weights)
    quotas = [sig20(total * weight / whole) for weight in weights]
    parts = [floor_money(quota, currency) for quota in quotas]
    cents_left = int((total - sum(parts, _NONE)) / unit)
    by_remainder = sorted(range(len(quotas)), key=lambda i: parts[i] - quotas[i])
    for i in by_remainder[:cents_left]:
        parts[i] += unit
    return tuple(parts)
