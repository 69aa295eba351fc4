"""The cheapest set of packs that covers a need: least total price, then least left over, then fewest packs. Exact.

Sizes, need and prices are scaled to whole numbers: the unit of size is the greatest common measure of the sizes, and
since every sum of packs is a multiple of it, the need is rounded up to one. What is minimised is one whole number a
pack, `(price × S + size) × C + 1`, with S and C larger than any total size and count that can occur, so that comparing
sums of it compares (price, total size, count) in that order.

Why the search may be cut short without losing the best set. Order the packs by unit price, the larger first where it is
equal. If pack i comes after pack j in that order, then lcm/size_i packs of i can be swapped for lcm/size_j of j: the
same size, no dearer, and where the price is the same fewer packs. So no best set holds lcm/size_i or more of i. By the
same swap with the first pack, and because among any size_0 packs some have sizes that add up to a multiple of size_0, a
best set holds fewer than size_0 others. Both bound what others than the first can cover; the rest of a large need is
bought in first packs at once. What remains is either a table over whole needs or a depth-first search, whichever is
smaller; the search leaves a branch only when its price plus the best unit price of what is missing is over the best so
far.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import gcd, lcm

from quoting.core.rounding import sig20

MOST_STEPS = 2_000_000
"""The search gives up beyond this many steps, some seconds; no sizes and prices of the trade come near it."""


class PacksFault(ValueError):
    """No set of packs can be chosen; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """How many of each pack, in the order given, with the set's size and price (not rounded)."""

    counts: tuple[int, ...]
    size: Decimal
    price: Decimal


def choose_packs(need: Decimal, packs: Sequence[tuple[Decimal, Decimal]]) -> Chosen:
    """The cheapest set of `packs`, pairs of size and price, whose sizes add up to `need` or more.

    Need and sizes are in one unit, whichever. A need of zero or less buys nothing. Raises PacksFault where there are no
    packs, where a size is not more than zero or a price is negative, and where the sizes have so fine a common measure
    and the prices lie so close that the search would not end in reasonable time.
    """
    if not packs:
        raise PacksFault("There are no packs to choose from.")
    if any(size <= 0 or price < 0 for size, price in packs):
        raise PacksFault("A pack must have a size of more than zero, and a price that is not negative.")
    need = sig20(need)
    if need <= 0:
        return Chosen(counts=(0,) * len(packs), size=Decimal(0), price=Decimal(0))
    sizes, whole_need = _whole_sizes(need, [size for size, _price in packs])
    prices = _whole([price for _size, price in packs])
    order = sorted(range(len(packs)), key=_by_unit_price(sizes, prices))
    found = _solve(whole_need, [sizes[i] for i in order], [prices[i] for i in order])
    counts = [0] * len(packs)
    for place, count in zip(order, found, strict=True):
        counts[place] = count
    size = sum((count * pack[0] for count, pack in zip(counts, packs, strict=True)), Decimal(0))
    price = sum((count * pack[1] for count, pack in zip(counts, packs, strict=True)), Decimal(0))
    return Chosen(counts=tuple(counts), size=size, price=price)


def _whole(values: list[Decimal]) -> list[int]:
    ratios = [value.as_integer_ratio() for value in values]
    scale = lcm(*(below for _above, below in ratios))
    return [above * (scale // below) for above, below in ratios]


def _whole_sizes(need: Decimal, sizes: list[Decimal]) -> tuple[list[int], int]:
    *whole, whole_need = _whole([*sizes, need])
    measure = gcd(*whole)
    return [size // measure for size in whole], -(-whole_need // measure)


def _by_unit_price(sizes: list[int], prices: list[int]) -> Callable[[int], tuple[int, int, int]]:
    # Unit prices as whole numbers over one denominator; the place last, so that equal packs keep their order.
    below = lcm(*sizes)
    return lambda i: (prices[i] * (below // sizes[i]), -sizes[i], i)


def _solve(need: int, sizes: list[int], prices: list[int]) -> list[int]:
    """Counts for packs in order of unit price."""
    first = sizes[0]
    if len(sizes) == 1:
        return [-(-need // first)]
    caps = _caps(sizes)
    others = min(sum(cap * size for cap, size in zip(caps, sizes, strict=True)), (first - 1) * max(sizes[1:]))
    ahead = max(0, -(-(need - others) // first))
    need -= ahead * first
    if need <= 0:
        return [ahead] + [0] * (len(sizes) - 1)
    weights = _weights(need, sizes, prices)
    table_steps = need * len(sizes)
    search_steps = 1
    for size, cap in zip(sizes[1:], caps[1:], strict=True):
        search_steps *= min(cap, -(-need // size)) + 1
    if search_steps <= table_steps:
        counts = _Search(need, sizes, prices, weights, caps).run(MOST_STEPS)
    elif table_steps <= MOST_STEPS // 20:
        counts = _table(need, sizes, weights)
    else:
        counts = _Search(need, sizes, prices, weights, caps).run(MOST_STEPS // 4)
        if counts is None and table_steps <= MOST_STEPS:
            counts = _table(need, sizes, weights)
    if counts is None:
        raise PacksFault(
            "These pack sizes have too fine a common measure, at prices too close, to find the cheapest set: "
            "leave out a size, or round the sizes."
        )
    counts[0] += ahead
    return counts


def _caps(sizes: list[int]) -> list[int]:
    """The most of each pack that a best set can hold, by swaps with packs before it; the first is not capped here
    (0).
    """
    return [0, *(min(lcm(size, better) // size for better in sizes[:i]) - 1 for i, size in enumerate(sizes) if i)]


def _weights(need: int, sizes: list[int], prices: list[int]) -> list[int]:
    most_size = need + max(sizes) + 1
    most_count = need + 2
    return [(price * most_size + size) * most_count + 1 for size, price in zip(sizes, prices, strict=True)]


def _table(need: int, sizes: list[int], weights: list[int]) -> list[int]:
    """Least weight for every whole need up to `need`; then the packs along the way back."""
    pairs = list(zip(sizes, weights, strict=True))
    least = [0] * (need + 1)
    for n in range(1, need + 1):
        least[n] = min([weight + least[n - size] if n > size else weight for size, weight in pairs])
    counts = [0] * len(sizes)
    while need > 0:
        for i, (size, weight) in enumerate(pairs):
            if least[need] == weight + (least[need - size] if need > size else 0):
                counts[i] += 1
                need -= size
                break
    return counts


class _OutOfSteps(Exception):
    pass


class _Search:
    """Depth first over the packs but the first, dearest unit price outermost; the first pack covers what is missing."""

    def __init__(self, need: int, sizes: list[int], prices: list[int], weights: list[int], caps: list[int]) -> None:
        self.sizes, self.prices, self.weights, self.caps = sizes, prices, weights, caps
        self.need = need
        self.counts = [0] * len(sizes)
        firsts = -(-need // sizes[0])
        self.best = [firsts] + [0] * (len(sizes) - 1)
        self.best_weight = firsts * weights[0]
        self.best_price = firsts * prices[0]
        self.steps = 0

    def run(self, most_steps: int) -> list[int] | None:
        """The best counts, or None where that takes too many steps."""
        self.most_steps = most_steps
        try:
            self._branch(len(self.sizes) - 1, self.need, 0, 0)
        except _OutOfSteps:
            return None
        return self.best

    def _branch(self, i: int, missing: int, price: int, weight: int) -> None:
        size, unit_price, unit_weight = self.sizes[i], self.prices[i], self.weights[i]
        first, first_price, first_weight = self.sizes[0], self.prices[0], self.weights[0]
        for _count in range(self.caps[i] + 1):
            self.steps += 1
            # The price of what is chosen, and the rest at the best unit price, is over the best so far: leave.
            if (price - self.best_price) * first + max(missing, 0) * first_price > 0:
                break
            if i > 1 and missing > 0:
                self._branch(i - 1, missing, price, weight)
            else:
                firsts = -(-missing // first) if missing > 0 else 0
                total = weight + firsts * first_weight
                if total < self.best_weight:
                    self.best_weight, self.best_price = total, price + firsts * first_price
                    self.best = [firsts, *self.counts[1:]]
            if missing <= 0:
                break
            self.counts[i] += 1
            missing -= size
            price += unit_price
            weight += unit_weight
        self.counts[i] = 0
        if self.steps > self.most_steps:
            raise _OutOfSteps
