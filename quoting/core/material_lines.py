"""The long-hand sums of a material over the whole scope: what is bought, and what it costs."""

from decimal import Decimal
from typing import TYPE_CHECKING

from quoting.core.scope import Charging
from quoting.core.units import format_number, to_unit
from quoting.core.use_lines import unit_of
from quoting.core.working_lines import LongHand, WorkingLine, given, sign_of, spoken

if TYPE_CHECKING:
    from quoting.core.material_workings import MaterialFigure


def buying_lines(figure: "MaterialFigure") -> tuple[WorkingLine, ...]:
    """The needs of the steps (the whole sum, where there is but one), less what is on hand, to the packs."""
    hand = LongHand(figure.units)
    unit = unit_of(hand, figure.dimension, figure.need)
    if len(figure.needed_by) == 1:
        hand.lines.extend(figure.needed_by[0][1].lines)
    for i, (step, use) in enumerate(figure.needed_by if len(figure.needed_by) > 1 else ()):
        hand.worked("+" if i else "", use.need, unit, spoken(step))
    if len(figure.needed_by) > 1:
        hand.worked("=", figure.need, unit)
    if figure.taken:
        hand.worked("−", figure.taken, unit, "from stock")
        hand.worked("=", figure.need - figure.taken, unit, "to buy")
    for i, bought in enumerate(figure.bought):
        hand.put("+" if i else "→", f"{bought.count:,} × {bought.pack.size.text}")
    return hand.done()


def cost_lines(figure: "MaterialFigure") -> tuple[WorkingLine, ...]:
    """Packs at their price and stock at its own, or what is used at the unit price."""
    hand = LongHand(figure.units)
    unit = unit_of(hand, figure.dimension, figure.need)
    places = max(0, -int(figure.cost.as_tuple().exponent))
    if figure.charge is Charging.USED:
        hand.worked("", figure.need, unit, "used")
        if figure.bought:
            whole = sum((bought.count * bought.pack.price for bought in figure.bought), Decimal(0))
            hand.put("×", format_number(whole, places), "for the packs bought")
            hand.worked("÷", figure.bought_size, unit, "in them")
        elif figure.need:
            hand.put("×", given(_price_in(figure, unit)), f"a {_singular(unit)}")
    else:
        for bought in figure.bought:
            price = format_number(bought.pack.price, places)
            cost = format_number(bought.count * bought.pack.price, places)
            hand.put("+" if hand.lines else "", cost, f"for {bought.count:,} of {bought.pack.size.text} at {price}")
        if figure.taken:
            stock = format_number(figure.taken * figure.unit_price, places)
            taken = f"{given(to_unit(figure.taken, unit))} {sign_of(unit)}"
            label = f"for {taken} from stock at {given(_price_in(figure, unit))}"
            hand.put("+" if hand.lines else "", stock, label)
    hand.put("=" if hand.lines else "", format_number(figure.cost, places), spoken(figure.name))
    return hand.done()


def _price_in(figure: "MaterialFigure", unit: str) -> Decimal:
    """The price of one shown unit, from that of a canonical one."""
    return figure.unit_price / to_unit(Decimal(1), unit)


def _singular(unit: str) -> str:
    return "piece" if unit == "each" else sign_of(unit)
