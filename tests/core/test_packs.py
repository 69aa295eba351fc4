"""The cheapest set of packs, against brute force and against scipy's integer programming."""

from decimal import Decimal
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.packs import Chosen, PacksFault, choose_packs

Packs = list[tuple[Decimal, Decimal]]
Key = tuple[Decimal, Decimal, int]

TENTHS = st.integers(1, 300).map(lambda n: Decimal(n) / 10)
CENTS = st.integers(0, 3000).map(lambda n: Decimal(n) / 100)


def packs(*pairs: str) -> Packs:
    return [tuple(map(Decimal, pair.split(" at "))) for pair in pairs]  # type: ignore[misc]


def key(chosen: Chosen) -> Key:
    return chosen.price, chosen.size, sum(chosen.counts)


def by_trying_everything(need: Decimal, choices: Packs) -> Key:
    """The best key of all sets without a pack too many."""
    (size, price), *rest = choices
    best: Key | None = None
    count = 0
    while True:
        left = need - count * size
        if left <= 0:
            below: Key | None = (Decimal(0), Decimal(0), 0)
        else:
            below = by_trying_everything(left, rest) if rest else None
        if below is not None:
            found = (count * price + below[0], count * size + below[1], count + below[2])
            best = found if best is None or found < best else best
        if left <= 0:
            assert best is not None
            return best
        count += 1


def test_one_large_pack_beats_many_small_ones() -> None:
    # Five of 1 gal cost 290, one of 5 gal costs 228.
    assert choose_packs(Decimal("4.2"), packs("1 at 58", "5 at 228")) == Chosen(
        counts=(0, 1), size=Decimal(5), price=Decimal(228)
    )


def test_at_the_same_price_less_is_left_over() -> None:
    # 3 + 4 and 4 + 4 both cost 20; 7 leaves nothing of a need of 7.
    assert choose_packs(Decimal(7), packs("3 at 10", "4 at 10")).counts == (1, 1)


def test_at_the_same_price_and_size_fewer_packs_are_bought() -> None:
    assert choose_packs(Decimal(4), packs("1 at 5", "2 at 10", "4 at 20")).counts == (0, 0, 1)
    # 2 + 2 + 3 and 1 + 6 both hold 7 for 7
    assert choose_packs(Decimal(7), packs("1 at 1", "2 at 2", "3 at 3", "6 at 6")).counts == (1, 0, 0, 1)


def test_a_need_of_exactly_five_never_buys_a_sixth() -> None:
    third = Decimal(5) / Decimal(3)
    assert third * 3 != 5
    assert choose_packs(third * 3, packs("1 at 58")).counts == (5,)
    assert choose_packs(Decimal("5.0000000000000000000001"), packs("1 at 58")).counts == (5,)


def test_no_need_buys_nothing() -> None:
    assert choose_packs(Decimal(0), packs("1 at 58")) == Chosen(counts=(0,), size=Decimal(0), price=Decimal(0))
    assert choose_packs(Decimal(-1), packs("1 at 58")).counts == (0,)


def test_two_packs_of_one_size_are_told_apart_by_price() -> None:
    assert choose_packs(Decimal(3), packs("1 at 9", "1 at 8")).counts == (0, 3)


def test_a_pack_without_a_price_is_used_before_all_others() -> None:
    assert choose_packs(Decimal(7), packs("5 at 20", "2 at 0")).counts == (0, 4)


def test_sizes_that_can_not_be_are_refused() -> None:
    for pairs in ((), ("0 at 1",), ("-1 at 1",), ("1 at -1",)):
        with pytest.raises(PacksFault):
            choose_packs(Decimal(1), packs(*pairs))


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(TENTHS, CENTS), min_size=1, max_size=4), st.integers(1, 600))
def test_no_set_beats_the_chosen_one(choices: Packs, tenths: int) -> None:
    need = Decimal(tenths) / 10
    smallest = min(size for size, _price in choices)
    need = min(need, smallest * 25)
    assert key(choose_packs(need, choices)) == by_trying_everything(need, choices)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 60), st.integers(1, 3000)), min_size=1, max_size=6), st.integers(1, 5000))
def test_the_price_is_that_of_scipys_integer_programming(pairs: list[tuple[int, int]], need: int) -> None:
    from scipy.optimize import LinearConstraint, milp  # takes most of a second to import

    found = choose_packs(Decimal(need), [(Decimal(size), Decimal(cents)) for size, cents in pairs])
    sizes, cents = zip(*pairs, strict=True)
    best = milp(
        cents, constraints=LinearConstraint([sizes], lb=need), integrality=[1] * len(pairs), options={"mip_rel_gap": 0}
    )
    assert best.success
    assert found.price == round(best.fun)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(TENTHS, CENTS), min_size=1, max_size=4), st.integers(1, 10**7), st.integers(1, 10**7))
def test_more_need_never_costs_less(choices: Packs, one: int, other: int) -> None:
    small, large = sorted((one, other))
    assert choose_packs(Decimal(small), choices).price <= choose_packs(Decimal(large), choices).price


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(TENTHS, CENTS), min_size=1, max_size=5), st.integers(1, 10**7))
def test_the_set_covers_the_need_and_holds_no_pack_too_many(choices: Packs, need: int) -> None:
    chosen = choose_packs(Decimal(need), choices)
    assert chosen.size == sum(count * size for count, (size, _price) in zip(chosen.counts, choices, strict=True))
    assert chosen.size >= need
    held = [size for count, (size, _price) in zip(chosen.counts, choices, strict=True) if count]
    assert chosen.size - min(held) < need


def test_litres_beside_gallons_at_nearly_the_same_price_end_soon() -> None:
    gallon = Decimal("3.785411784")
    choices = [(Decimal(1), Decimal("10")), (Decimal(4), Decimal("39.99")), (gallon, Decimal("37.85"))]
    choices += [(5 * gallon, Decimal("189.25")), (Decimal(10), Decimal("99.97"))]
    start = perf_counter()
    choose_packs(Decimal(2000), choices)
    assert perf_counter() - start < 1


def test_sizes_without_a_common_measure_give_up_with_a_reason() -> None:
    sizes = [1 + Decimal(n * n + 1) / 1_000_000 for n in range(1, 9)]
    start = perf_counter()
    with pytest.raises(PacksFault, match="too fine a common measure"):
        choose_packs(Decimal(2000), [(size, size) for size in sizes])
    assert perf_counter() - start < 5
