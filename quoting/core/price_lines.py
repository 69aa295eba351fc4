"""The long-hand sums of the price and the taxes. Sums of money, with the currency's decimals."""

from decimal import Decimal

from quoting.core.pricing import Price, TaxAmount
from quoting.core.scope import Category, Pricing
from quoting.core.units import format_number
from quoting.core.working_lines import WorkingLine, given


def _money(amount: Decimal, like: Decimal) -> str:
    return format_number(amount, max(0, -int(like.as_tuple().exponent)))


def price_lines(price: Price, pricing: Pricing) -> tuple[WorkingLine, ...]:
    """Direct costs, overhead, profit, minimum, rounding up, discount."""
    like = price.price
    lines: list[WorkingLine] = []
    for category in Category:
        amount = price.direct_by_category[category]
        amount -= sum((each.amount for each in price.shared if each.charge.category is category), Decimal(0))
        if amount:
            lines.append(WorkingLine("+" if lines else "", _money(amount, like), str(category)))
    if price.shared:
        lines.append(WorkingLine("=" if lines else "", _money(price.shared[0].base, like), "before shares"))
    for each in price.shared:
        label = f"{each.charge.name}, {given(each.share)} of {_money(each.base, like)}"
        lines.append(WorkingLine("+", _money(each.amount, like), label))
    lines.append(WorkingLine("=" if lines else "", _money(price.direct, like), "direct"))
    if pricing.overhead:
        lines.append(WorkingLine("+", _money(price.overhead, like), f"overhead, {given(pricing.overhead)} of direct"))
        lines.append(WorkingLine("=", _money(price.cost, like), "cost"))
    if pricing.profit.margin is not None:
        label = f"what a margin of {given(pricing.profit.margin)} leaves for cost"
        lines.append(WorkingLine("÷", given(1 - pricing.profit.margin), label))
    else:
        markup = pricing.profit.markup or Decimal(0)
        lines.append(WorkingLine("×", given(1 + markup), f"with a markup of {given(markup)}"))
    lines.append(WorkingLine("=", _money(price.computed, like), "before rounding"))
    if price.raised != price.computed:
        lines.append(WorkingLine("→", _money(price.raised, like), "the minimum"))
    if price.rounded != price.raised:
        lines.append(WorkingLine("→", _money(price.rounded, like), f"up to the next {given(pricing.round_to)}"))
    if price.discount:
        lines.append(WorkingLine("−", _money(price.discount, like), "discount"))
        lines.append(WorkingLine("=", _money(price.price, like), "price"))
    return tuple(lines)


def tax_lines(tax: TaxAmount) -> tuple[WorkingLine, ...]:
    """The base × the rate."""
    return (
        WorkingLine("", _money(tax.base, tax.amount), f"of {tax.tax.on}" if tax.tax.on != "price" else "price"),
        WorkingLine("×", given(tax.tax.rate), "rate"),
        WorkingLine("=", _money(tax.amount, tax.amount), "tax"),
    )
