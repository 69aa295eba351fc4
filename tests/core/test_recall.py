"""When to think of sealing again. Common practice, no published source."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.recall import (
    STARTING_LIVES,
    Exposure,
    Life,
    Month,
    RecallFault,
    Seal,
    Season,
    Slab,
    Window,
    due,
    life_from,
    life_of,
    window_of,
    years_of,
)

SPRING = Season(first=3, last=10)


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
        (Seal.ACRYLIC, (), (24, 30, 36)),
        (Seal.ACRYLIC, (Exposure.HARD_USE,), (12, 18, 24)),  # 1 to 2 years in hard use
        (Seal.ACRYLIC, (Exposure.HARD_USE, Exposure.POOL), (12, 12, 12)),  # every season at pools
        (Seal.IMPRINTED, (), (36, 48, 60)),  # 3 to 5 years
        (Seal.PENETRANT, (), (84, 102, 120)),  # 7 to 10 years
        (Seal.PENETRANT, (Exposure.POOL,), (84, 102, 120)),  # no film, nothing to wear
    ],
)
def test_the_life_to_start_from(seal: Seal, exposures: tuple[Exposure, ...], life: tuple[int, int, int]):
    assert life_of(seal, exposures) == Life(least=life[0], likely=life[1], most=life[2])


def test_the_firms_own_lives_are_taken():
    lives = {
        (Seal.PAVER, None): Life(least=30, likely=40, most=50),
        (Seal.PAVER, Exposure.POOL): Life(least=20, most=44),
    }
    # the least of each: 20, the middle of 20 and 44 is 32, 44
    assert life_of(Seal.PAVER, [Exposure.POOL, Exposure.HARD_USE], lives) == Life(least=20, likely=32, most=44)


def test_a_seal_without_a_life_is_refused():
    with pytest.raises(RecallFault, match="No life is given"):
        life_of(Seal.PAVER, (), {})


def test_every_seal_has_a_life_and_every_film_is_shortened_by_every_exposure():
    films = {seal for seal in Seal if seal is not Seal.PENETRANT}
    wanted = {(seal, None) for seal in Seal} | {(seal, exposure) for seal in films for exposure in Exposure}
    assert set(STARTING_LIVES) == wanted


def test_years_are_months_and_back():
    # 1.5, 2 and 2.25 years are 18, 24 and 27 months
    life = life_from([Decimal("1.5"), Decimal(2), Decimal("2.25")])
    assert (life, years_of(life)) == (Life(least=18, likely=24, most=27), (Decimal("1.5"), Decimal(2), Decimal("2.25")))


def test_years_that_come_to_no_month_are_refused():
    with pytest.raises(RecallFault, match="at least a month"):
        life_from([Decimal("0.01"), Decimal("0.01"), Decimal("0.01")])


def test_the_window_is_in_months():
    window = window_of(date(2026, 5, 17), Life(least=24, most=36))
    assert window == Window(first=Month(2028, 5), likely=Month(2028, 11), last=Month(2029, 5))


def test_a_window_is_moved_into_the_season():
    # sealed in December: from December 2027 to December 2028; the firm seals from March to October
    window = window_of(date(2026, 12, 1), Life(least=12, most=24), season=SPRING)
    assert window == Window(first=Month(2028, 3), likely=Month(2028, 6), last=Month(2028, 10))


def test_a_window_in_winter_is_one_month_of_spring():
    window = window_of(date(2026, 12, 1), Life(least=12, most=12), season=SPRING)
    assert window == Window(first=Month(2028, 3), likely=Month(2028, 3), last=Month(2028, 3))


def test_a_season_may_go_over_the_new_year():
    # sealed in June 2026 in the south: from June 2027 on, but they seal from October to April
    window = window_of(date(2026, 6, 1), Life(least=12, most=24), Season(first=10, last=4))
    # the likeliest, December 2027, lies in it; the end, June 2028, goes back to April
    assert window == Window(first=Month(2027, 10), likely=Month(2027, 12), last=Month(2028, 4))


@pytest.mark.parametrize("season", [(0, 5), (3, 13)])
def test_a_season_that_is_none_is_refused(season: tuple[int, int]):
    with pytest.raises(RecallFault, match="1 to 12"):
        Season(first=season[0], last=season[1])


@pytest.mark.parametrize(("least", "most"), [(0, 5), (6, 5), (1, 601)])
def test_a_life_that_is_none_is_refused(least: int, most: int):
    with pytest.raises(RecallFault, match="from least over likely"):
        Life(least=least, most=most)


def test_a_window_goes_by():
    window = Window(first=Month(2026, 3), likely=Month(2026, 4), last=Month(2026, 5))
    assert (window.overdue(Month(2026, 5)), window.overdue(Month(2026, 6))) == (False, True)


def slab(key: str, first: Month, postcode: str = "", town: str = "Larkmere") -> Slab:
    window = Window(first=first, likely=first.plus(1), last=first.plus(2))
    return Slab(key=key, window=window, postcode=postcode, town=town)


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


def test_what_was_left_stands_in_the_month_in_which_it_comes_up_again():
    may = Month(2026, 5)
    left = replace(slab("1", Month(2026, 1)), rests=Month(2026, 7))
    assert [each.month for each in due([left], may, 3)] == [Month(2026, 7)]
    assert due([left], may, 2) == ()


def test_a_list_of_no_months_is_refused():
    with pytest.raises(RecallFault, match="1 to 240"):
        due([], Month(2026, 5), 0)


@settings(max_examples=60, deadline=None)
@given(
    st.dates(date(2000, 1, 1), date(2060, 12, 31)),
    st.integers(1, 100),
    st.integers(0, 60),
    st.builds(lambda first, last: Season(first=first, last=last), st.integers(1, 12), st.integers(1, 12)),
)
def test_a_window_never_opens_too_early_nor_closes_before_it_opens(sealed: date, least: int, more: int, season: Season):
    window = window_of(sealed, Life(least=least, most=least + more), season)
    assert Month.of(sealed).plus(least) <= window.first <= window.likely <= window.last
    assert season.holds(window.first)
