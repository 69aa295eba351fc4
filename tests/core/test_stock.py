"""Stock by lot."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.stock import Held, LeftOver, StockFault, drawn, drawn_first, left_over

D = Decimal


def held(left: str, size: str = "5", lot: str = "", count: int = 1) -> Held:
    return Held(material="sealer", size=D(size), left=D(left), lot=lot, count=count)


def test_an_opened_pack_is_one_of_which_some_is_gone():
    assert (held("5").opened, held("4").opened) == (False, True)


@pytest.mark.parametrize(("left", "count"), [("0", 1), ("6", 1), ("5", 0)])
def test_stock_that_cannot_be_is_refused(left: str, count: int):
    with pytest.raises(StockFault, match="more than nothing and at most its size"):
        held(left, count=count)


def test_opened_packs_are_taken_first():
    full, opened = held("5", count=3, lot="L1"), held("2", lot="L1")
    assert drawn_first([full, opened], D(6)) == (opened, full)


def test_one_lot_that_covers_the_need_is_taken_by_itself():
    # L1 has 5, L2 10 with an opened pack: 8 takes L2 alone
    one, two = held("5", lot="L1"), held("5", lot="L2", count=2)
    assert drawn_first([one, two], D(8))[0] == two


def test_the_smallest_lot_that_does_is_taken():
    large, small = held("5", lot="L1", count=9), held("5", lot="L2", count=2)
    assert drawn_first([large, small], D(8))[0] == small


def test_what_comes_back():
    # 5 + 5, and 6 used: one is empty, 4 are left in the other
    assert left_over([held("5", lot="L1", count=2)], D(6)) == (
        LeftOver(material="sealer", size=D(5), left=D(4), lot="L1"),
    )


def test_a_pack_that_was_not_opened_comes_back_full():
    full, opened = left_over([held("5", count=2)], D(0)), left_over([held("5")], D(1))
    assert ([each.opened for each in full], opened[0].opened) == ([False, False], True)


def test_more_than_was_taken_is_refused():
    with pytest.raises(StockFault, match="More was used than was taken"):
        left_over([held("5")], D("5.1"))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.decimals("0.1", "5", places=1), min_size=1, max_size=6), st.integers(0, 100))
def test_what_is_used_and_what_comes_back_is_what_was_taken(lefts: list[Decimal], share: int):
    taken = [held(str(left)) for left in lefts]
    used = sum(lefts, D(0)) * share / 100
    assert sum((each.left for each in left_over(taken, used)), D(0)) + used == sum(lefts, D(0))


# what a day took


def took(**figures: object) -> tuple[int, Decimal]:
    told = {"size": Decimal(5), "full": 3, "open_before": Decimal(0), "used": None, "packs": None, "left": None}
    found = drawn(**(told | {name: None if value is None else Decimal(str(value)) for name, value in figures.items()}))
    return int(found.opened), found.left


def test_an_amount_opens_as_many_packs_as_it_takes():
    # 6 of packs of 5: two, and 4 left in the second; 5 are one, and nothing left.
    assert [took(used=6), took(used=5), took(used=0)] == [(2, 4), (1, 0), (0, 0)]


def test_the_open_pack_goes_first():
    # 2 open: 2 empty it; 3 take one more, which keeps 4.
    assert [took(open_before=2, used=2), took(open_before=2, used=3)] == [(0, 0), (1, 4)]


def test_packs_that_were_counted_and_what_was_found_left_go_first():
    assert [took(used=6, packs=3), took(used=6, left="3.5"), took(left=2)] == [(2, 4), (2, Decimal("3.5")), (1, 2)]


def test_no_more_packs_were_opened_than_there_were():
    assert took(full=1, used=20) == (1, 0)


def test_nothing_written_changes_nothing():
    assert took(open_before=2) == (0, 2)
