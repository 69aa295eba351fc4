"""Margin and markup: one profit, told as a share of the price or as a share of the cost."""

from decimal import Decimal


class ProfitFault(ValueError):
    """No price has such a profit; the sentence says why."""


def markup_of_margin(margin: Decimal) -> Decimal:
    """The markup, a share of the cost, that leaves this margin, a share of the price: m ÷ (1 − m). Not rounded.

    Raises ProfitFault for a margin of the whole price or more, which no price could leave.
    """
    if margin >= 1:
        raise ProfitFault("A margin of 100 % or more would need a price without end.")
    return margin / (1 - margin)


def margin_of_markup(markup: Decimal) -> Decimal:
    """The margin, a share of the price, that this markup, a share of the cost, leaves: u ÷ (1 + u). Not rounded.

    Raises ProfitFault for a markup that takes away the whole cost or more.
    """
    if markup <= -1:
        raise ProfitFault("A markup of −100 % or less would leave nothing to pay.")
    return markup / (1 + markup)
