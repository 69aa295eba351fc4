"""What is bought of a material, and what it costs: stock first, then the cheapest set of packs; rounded to the cent
once.
"""

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.packs import choose_packs
from quoting.core.rounding import round_money
from quoting.core.scope import Charging, Material

_NONE = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """In m³, kg or each: what is taken from stock, what is bought in which packs, what is left over; and the cost.

    `unit_price` is what a canonical unit is charged at: of the set bought for charge "used", of stock for charge
    "packs".
    """

    taken: Decimal
    counts: tuple[int, ...]
    size: Decimal
    left_over: Decimal
    cost: Decimal
    unit_price: Decimal


def purchase(material: Material, need: Decimal, currency: str) -> Purchase:
    """The purchase that covers the need. Raises PacksFault."""
    on_hand = _NONE if material.on_hand is None else material.on_hand.magnitude
    taken = min(on_hand, need)
    chosen = choose_packs(need - taken, [(pack.size.magnitude, pack.price) for pack in material.packs])
    lowest = min(pack.price / pack.size.magnitude for pack in material.packs)
    if material.charge is Charging.USED:
        unit_price = chosen.price / chosen.size if chosen.size else lowest
        cost = need * chosen.price / chosen.size if chosen.size else need * lowest
    else:
        unit_price = lowest
        cost = chosen.price + taken * lowest
    return Purchase(
        taken=taken,
        counts=chosen.counts,
        size=chosen.size,
        left_over=on_hand + chosen.size - need,
        cost=round_money(cost, currency),
        unit_price=unit_price,
    )
