"""When to think of sealing again. Common practice, no published source."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.recall import (
    LIVES,
    SHORTENED,
    Exposure,
    Life,
    Month,
    RecallFault,
    Seal,
    Slab,
    Window,
    due,
    life_of,
    window_of,
)


def test_months_go_over_the_year():
    assert (Month(2026, 11).plus(3), Month(2026, 2).plus(-2)) == (Month(2027, 2), Month(2025, 12))


def test_a_month_s_first_day():
    assert Month.of(date(2026, 5, 17)).first_day == date(2026, 5, 1)


@pytest.mark.parametrize("month", [0, 13])
def test_a_month_that_is_none_is_refused(month: int):
    with pytest.raises(RecallFault, match="1 to 12"):
        Month(2026, month)


@pytest.mark.parametrize(
    ("seal", "exposures", "life"),
    [
        (Seal.ACRYLIC, (), (24, 36)),
        (Seal.ACRYLIC, (Exposure.HARD_USE,), (12, 24)),  # 1 to 2 years in hard use
        (Seal.ACRYLIC, (Exposure.HARD_USE, Exposure.POOL), (12, 12)),  # every season at pools
        (Seal.IMPRINTED, (), (36, 60)),  # 3 to 5 years
        (Seal.PENETRANT, (), (84, 120)),  # 7 to 10 years
    ],
)
def test_the_life_of_a_film(seal: Seal, exposures: tuple[Exposure, ...], life: tuple[int, int]):
    assert life_of(LIVES[seal], exposures) == Life(least=life[0], most=life[1])


def test_a_penetrant_is_not_shortened():
    assert life_of(LIVES[Seal.PENETRANT], [Exposure.POOL], film=False) == LIVES[Seal.PENETRANT]


def test_every_seal_has_a_life_and_every_exposure_shortens():
    assert (set(LIVES), set(SHORTENED)) == (set(Seal), set(Exposure))


def test_the_window_is_in_months():
    window = window_of(date(2026, 5, 17), Life(least=24, most=36))
    assert window == Window(first=Month(2028, 5), last=Month(2029, 5))


def test_a_window_is_moved_into_the_season():
    # sealed in December: from December 2027 to December 2028; the firm seals from March to October
    window = window_of(date(2026, 12, 1), Life(least=12, most=24), season=(3, 10))
    assert window == Window(first=Month(2028, 3), last=Month(2028, 10))


def test_a_window_in_winter_is_one_month_of_spring():
    window = window_of(date(2026, 12, 1), Life(least=12, most=12), season=(3, 10))
    assert window == Window(first=Month(2028, 3), last=Month(2028, 3))


@pytest.mark.parametrize("season", [(0, 5), (10, 3), (3, 13)])
def test_a_season_that_is_none_is_refused(season: tuple[int, int]):
    with pytest.raises(RecallFault, match="within one year"):
        window_of(date(2026, 12, 1), Life(least=12, most=12), season=season)


@pytest.mark.parametrize(("least", "most"), [(0, 5), (6, 5), (1, 601)])
def test_a_life_that_is_none_is_refused(least: int, most: int):
    with pytest.raises(RecallFault, match="least to most"):
        Life(least=least, most=most)


def test_a_window_goes_by():
    window = Window(first=Month(2026, 3), last=Month(2026, 5))
    assert (window.overdue(Month(2026, 5)), window.overdue(Month(2026, 6))) == (False, True)


def slab(key: str, first: Month, postcode: str = "", town: str = "Larkmere") -> Slab:
    return Slab(key=key, window=Window(first=first, last=first.plus(2)), postcode=postcode, town=town)


@pytest.mark.parametrize(
    ("postcode", "town", "name"),
    [("43210-1234", "Larkmere", "43210"), ("ab1 2cd", "", "AB1"), ("", " lark  mere ", "Lark Mere"), ("", "", "")],
)
def test_neighbourhoods(postcode: str, town: str, name: str):
    assert slab("1", Month(2026, 5), postcode, town).neighbourhood == name


def test_the_list_by_month_and_neighbourhood():
    may, june = Month(2026, 5), Month(2026, 6)
    one, two, three = slab("1", may, town="Ashby"), slab("2", may), slab("3", may)
    old, later = slab("4", Month(2025, 1)), slab("5", june)
    assert [(each.month, each.count, each.groups) for each in due([one, two, three, old, later], may, 2)] == [
        (may, 4, (("Larkmere", (old, two, three)), ("Ashby", (one,)))),
        (june, 1, (("Larkmere", (later,)),)),
    ]


def test_what_is_due_after_the_list_s_end_is_left_out():
    assert due([slab("1", Month(2026, 7))], Month(2026, 5), 2) == ()


def test_a_list_of_no_months_is_refused():
    with pytest.raises(RecallFault, match="1 to 240"):
        due([], Month(2026, 5), 0)


@settings(max_examples=60, deadline=None)
@given(
    st.dates(date(2000, 1, 1), date(2060, 12, 31)),
    st.integers(1, 100),
    st.integers(0, 60),
    st.tuples(st.integers(1, 12), st.integers(1, 12)).map(lambda pair: (min(pair), max(pair))),
)
def test_a_window_never_opens_too_early_nor_closes_before_it_opens(
    sealed: date, least: int, more: int, season: tuple[int, int]
):
    window = window_of(sealed, Life(least=least, most=least + more), season)
    assert Month.of(sealed).plus(least) <= window.first <= window.last
    assert season[0] <= window.first.month <= season[1]
