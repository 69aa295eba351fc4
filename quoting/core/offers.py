"""What ticking comes to: an option with the add-ons chosen, each at what it truly adds to that option.

Everything is taken from frozen workings: the option alone, and the option together with each add-on by itself. What an
add-on adds is the difference of the two, tax by tax, to the cent; so the sum of what the page shows beside each tick is
what is agreed, whichever are ticked.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import round_money
from quoting.core.workings import PriceFigure

_NONE = Decimal(0)


class OfferFault(ValueError):
    """These workings don't make one offer; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferLine:
    """The option's, or what one add-on adds: before tax, each tax by its name, and with tax. An add-on's may be less
    than nothing, and then is shown so.
    """

    price: Decimal
    taxes: tuple[tuple[str, Decimal], ...]
    total: Decimal

    @property
    def tax(self) -> Decimal:
        """All taxes."""
        return self.total - self.price


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferTotal:
    """What is agreed. `lines` are the option and then the add-ons in the order given; the rest is their sums."""

    lines: tuple[OfferLine, ...]
    price: Decimal
    taxes: tuple[tuple[str, Decimal], ...]
    total: Decimal


def offer_total(option: PriceFigure, together: Sequence[PriceFigure]) -> OfferTotal:
    """What the option comes to with these add-ons ticked; `together` has the option worked out with each of them.

    Raises OfferFault for workings in different currencies, and where the price or a tax would be less than nothing.
    """
    alone = _line(option)
    lines = (alone, *(_added(alone, _line(each)) for each in _same_currency(option, together)))
    total = _sum(lines, option.currency)
    if faults := _below_nothing(total):
        raise OfferFault(faults[0])
    return total


def added_by(option: PriceFigure, together: PriceFigure) -> OfferLine:
    """What one add-on adds to the option. Raises OfferFault for workings in different currencies."""
    (with_it,) = _same_currency(option, [together])
    return _added(_line(option), _line(with_it))


def ticking_faults(option: PriceFigure, together: Sequence[PriceFigure]) -> tuple[str, ...]:
    """Why some choice of these add-ons could not be totalled: sentences, for the look before issuing; none if all can.

    The worst choice for a sum is to tick just what lowers it, so no choice has to be tried out one by one.
    """
    alone = _line(option)
    added = [_added(alone, _line(each)) for each in _same_currency(option, together)]
    names = [name for name, _amount in _sum((alone, *added), option.currency).taxes]
    lowest = {
        name: dict(alone.taxes).get(name, _NONE) + sum((min(_NONE, dict(line.taxes)[name]) for line in added), _NONE)
        for name in names
    }
    price = alone.price + sum((min(_NONE, line.price) for line in added), _NONE)
    return _below_nothing(OfferTotal(lines=(), price=price, taxes=tuple(lowest.items()), total=price))


def _same_currency(option: PriceFigure, together: Sequence[PriceFigure]) -> Sequence[PriceFigure]:
    for each in together:
        if each.currency != option.currency:
            raise OfferFault(f"The option is in {option.currency}, and an add-on in {each.currency}.")
    return together


def _line(figure: PriceFigure) -> OfferLine:
    taxes: dict[str, Decimal] = {}
    for each in figure.of.taxes:
        taxes[each.tax.name] = taxes.get(each.tax.name, _NONE) + each.amount
    return OfferLine(price=figure.of.price, taxes=tuple(taxes.items()), total=figure.of.total)


def _added(alone: OfferLine, together: OfferLine) -> OfferLine:
    before, after = dict(alone.taxes), dict(together.taxes)
    return OfferLine(
        price=together.price - alone.price,
        taxes=tuple((name, after.get(name, _NONE) - before.get(name, _NONE)) for name in {**before, **after}),
        total=together.total - alone.total,
    )


def _sum(lines: tuple[OfferLine, ...], currency: str) -> OfferTotal:
    taxes: dict[str, Decimal] = {}
    for line in lines:
        for name, amount in line.taxes:
            taxes[name] = taxes.get(name, _NONE) + amount
    return OfferTotal(
        lines=lines,
        price=round_money(sum((line.price for line in lines), _NONE), currency),
        taxes=tuple((name, round_money(amount, currency)) for name, amount in taxes.items()),
        total=round_money(sum((line.total for line in lines), _NONE), currency),
    )


def _below_nothing(total: OfferTotal) -> tuple[str, ...]:
    sums = [("The price", total.price), *((f"The tax “{name}”", amount) for name, amount in total.taxes)]
    return tuple(
        f"{name} of some choice of add-ons would be less than nothing: {amount}." for name, amount in sums if amount < 0
    )
