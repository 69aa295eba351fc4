"""Stock on hand, by material and lot: what a job takes of it first, and what is booked back after it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import CONTEXT, ceil_count

_NONE = Decimal(0)


class StockFault(ValueError):
    """Stock that can't be; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """So many equal containers of one lot: the size of each when full and what is `left` in each, in m³, kg or each.

    An opened pack is a line of its own with a count of 1. `place` is where it is stored. What is reserved for another
    job is left out by the caller.
    """

    material: str
    size: Decimal
    left: Decimal
    count: int = 1
    lot: str = ""
    place: str = ""

    def __post_init__(self) -> None:
        if self.count < 1 or not 0 < self.left <= self.size:
            raise StockFault("A pack in stock holds more than nothing and at most its size.")

    @property
    def opened(self) -> bool:
        """Whether some of it is gone."""
        return self.left < self.size

    @property
    def amount(self) -> Decimal:
        """What is in all of them."""
        return self.left * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOver:
    """What comes back of one container: `left` of its `size`; empty containers are left out."""

    material: str
    size: Decimal
    left: Decimal
    lot: str = ""

    @property
    def opened(self) -> bool:
        """Whether some of it is gone."""
        return self.left < self.size


def drawn_first(held: Sequence[Held], need: Decimal) -> tuple[Held, ...]:
    """The stock of one material in the order in which it is taken for a need.

    A lot that covers the need by itself comes first, the smallest such, since two lots side by side show; then opened
    packs, then full ones, in the order given.
    """
    lots: dict[str, Decimal] = {}
    for each in held:
        lots[each.lot] = lots.get(each.lot, Decimal(0)) + each.amount
    covering = [lot for lot, amount in lots.items() if amount >= need]
    best = min(covering, key=lambda lot: lots[lot]) if covering else None
    return tuple(sorted(held, key=lambda each: (covering != [] and each.lot != best, not each.opened)))


def left_over(taken: Sequence[Held], used: Decimal) -> tuple[LeftOver, ...]:
    """What comes back of containers of one material, emptied one after the other, when so much of it was used.

    Raises StockFault where more was used than was taken.
    """
    if used < 0 or used > sum((each.amount for each in taken), Decimal(0)):
        raise StockFault("More was used than was taken: write down the packs that came on top.")
    back = []
    for each in taken:
        for _i in range(each.count):
            gone = min(used, each.left)
            used -= gone
            if each.left > gone:
                back.append(LeftOver(material=each.material, size=each.size, left=each.left - gone, lot=each.lot))
    return tuple(back)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What a day took of one lot of equal packs: so many full ones were opened, and `left` is in the one still open."""

    opened: int
    left: Decimal = _NONE


def drawn(
    *, size: Decimal, full: int, open_before: Decimal, used: Decimal | None, packs: int | None, left: Decimal | None
) -> Drawn:
    """What the crew's figures say of a lot: the packs that it counted go before what follows from the amount used, and
    what it found left over before what should be left. `open_before` is what was in the open pack, 0 where none was.

    It never says that more full packs were opened than there were: the office sees what was written, and counts.
    """
    if packs is not None:
        opened = packs
    elif used is not None:
        opened = ceil_count(max(CONTEXT.divide(used - open_before, size), _NONE))
    else:
        opened = 1 if left and not open_before else 0
    opened = min(opened, full)
    if left is not None:
        return Drawn(opened=opened, left=min(left, size))
    rest = max(open_before + opened * size - (used or _NONE), _NONE)
    while rest >= size and opened:
        rest, opened = rest - size, opened - 1
    return Drawn(opened=opened, left=min(rest, size))
