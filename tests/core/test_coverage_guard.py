"""What should be gone, and what was."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.coverage_guard import (
    BLOTCHY_DO,
    DO,
    DO_KEYS,
    CoverageRange,
    GuardFault,
    GuardLine,
    Judged,
    Puts,
    guard_lines,
    judge,
)
from quoting.core.rounding import round_half_up
from quoting.core.scope_file import scope_from_data
from quoting.core.units import from_unit, to_unit
from quoting.core.work_out import work_out
from tests.sample_scopes import everything

D = Decimal


def per_gallon(number: str) -> Decimal:
    return from_unit(D(number), "ft**2/gal")


def gallons(number: str) -> Decimal:
    return from_unit(D(number), "gal")


def guard(low: str, high: str, *, surface: str = "600", waste: str = "0", puts: Puts = Puts.FILM) -> GuardLine:
    area = from_unit(D(surface), "ft**2")
    return GuardLine(
        place=0,
        step="Seal",
        area="Patio",
        material="sealer",
        name="Sealer",
        coat=1,
        coats=2,
        puts=puts,
        surface=area,
        coverage=CoverageRange(low=per_gallon(low), high=per_gallon(high)),
        waste=D(waste),
        planned=area / per_gallon(high),
        solids=D("0.25") if puts is Puts.FILM else None,
    )


def in_gallons(volume: Decimal) -> Decimal:
    return round_half_up(to_unit(volume, "gal"), 4)


def in_mils(film: Decimal) -> Decimal:
    return round_half_up(to_unit(film, "mil"), 2)


def test_what_should_be_gone():
    # 600 ÷ 300 = 2 gal to 600 ÷ 200 = 3 gal; 1604.17 ÷ 300 = 5.35 mil to 8.02 mil
    line = guard("200", "300")
    assert (in_gallons(line.low), in_gallons(line.high)) == (2, 3)
    assert (in_mils(line.thin), in_mils(line.thick)) == (D("5.35"), D("8.02"))


def test_waste_may_be_lost_on_top():
    # 3 gal × 1.05
    assert in_gallons(guard("200", "300", waste="0.05").high) == D("3.15")


@pytest.mark.parametrize(
    ("used", "word", "off"),
    [
        ("1.9", Judged.TOO_THIN, "0.1"),
        ("2.5", Judged.RIGHT, "0"),
        ("3.2", Judged.TOO_THICK, "0.2"),
    ],
)
def test_what_was_used_is_answered_at_once(used: str, word: Judged, off: str):
    answer = judge(guard("200", "300"), gallons(used))
    assert (answer.word, in_gallons(answer.off), answer.do) == (word, D(off), DO[Puts.FILM, word])


def test_the_film_that_it_means():
    # 2.4 gal on 600 ft²: 250 ft²/gal, 6.42 mil wet; a quarter of it dry
    answer = judge(guard("200", "300"), gallons("2.4"))
    assert (in_mils(answer.wet_film), in_mils(answer.dry_film)) == (D("6.42"), D("1.60"))


def test_a_blotchy_failure():
    # common practice, no published source: 5 gal on 600 ft² = 120 ft²/gal = 13 wet mils (1604.17 ÷ 120 = 13.37)
    answer = judge(guard("200", "300"), gallons("5"))
    assert (answer.word, in_mils(answer.wet_film), answer.do[-1]) == (Judged.TOO_THICK, D("13.37"), BLOTCHY_DO)


def test_colour_is_broomed_off_and_not_rolled_out():
    answer = judge(guard("150", "250", puts=Puts.COLOUR), gallons("5"))
    assert answer.do == ("stop", "broom-off-excess", "rag-test-before-sealing", "call")


def test_nothing_used_is_no_film():
    answer = judge(guard("200", "300"), D(0))
    assert (answer.word, answer.coverage, answer.wet_film, answer.dry_film) == (Judged.TOO_THIN, None, 0, None)


def test_less_than_nothing_is_refused():
    with pytest.raises(GuardFault, match="nothing or more"):
        judge(guard("200", "300"), D(-1))


@pytest.mark.parametrize(("low", "high"), [("0", "1"), ("2", "1")])
def test_a_range_that_is_none_is_refused(low: str, high: str):
    with pytest.raises(GuardFault, match="from low to high"):
        CoverageRange(low=D(low), high=D(high))


def test_a_line_for_each_coat_and_area():
    lines = guard_lines(work_out(scope_from_data(everything())))
    assert [(line.step, line.area, line.coat, line.coats, line.puts) for line in lines] == [
        ("Wash", "Deck", 1, 1, Puts.SOLUTION),
        ("Wash", "Walk", 1, 1, Puts.SOLUTION),
        ("Base tone", "Deck", 1, 1, Puts.COLOUR),
        ("Seal", "Deck", 1, 2, Puts.FILM),
        ("Seal", "Walk", 1, 2, Puts.FILM),
        ("Seal", "Deck", 2, 2, Puts.FILM),
        ("Seal", "Walk", 2, 2, Puts.FILM),
    ]


def test_a_known_range_counts_and_else_the_plan_with_its_spread():
    known = CoverageRange(low=per_gallon("180"), high=per_gallon("260"))
    lines = guard_lines(work_out(scope_from_data(everything())), {("sealer", "Deck", 1): known})
    deck, walk = (line for line in lines if (line.step, line.coat) == ("Seal", 1))
    assert deck.coverage == known
    # 260 ft²/gal less and more by 15 %: 221 and 299
    spread = tuple(round_half_up(to_unit(each, "ft**2/gal"), 6) for each in (walk.coverage.low, walk.coverage.high))
    assert spread == (221, 299)


def test_the_plan_adds_up_to_what_the_workings_need():
    workings = work_out(scope_from_data(everything()))
    sealer = next(figure for figure in workings.materials if figure.material == "sealer")
    planned = sum((line.planned for line in guard_lines(workings) if line.material == "sealer"), D(0))
    assert round_half_up(planned, 18) == round_half_up(sealer.need, 18)


@pytest.mark.parametrize("spread", ["-0.1", "1"])
def test_a_spread_that_cannot_be_is_refused(spread: str):
    with pytest.raises(GuardFault, match="under 100 %"):
        guard_lines(work_out(scope_from_data(everything())), spread=D(spread))


def test_every_answer_says_what_to_do():
    assert DO.keys() == {(puts, word) for puts in Puts for word in Judged}
    assert {key for keys in DO.values() for key in keys} | {BLOTCHY_DO} == set(DO_KEYS)


USED = st.decimals("0", "0.05", places=5)
ORDER = (Judged.TOO_THIN, Judged.RIGHT, Judged.TOO_THICK)


@settings(max_examples=60, deadline=None)
@given(USED, USED)
def test_more_is_never_judged_thinner(one: Decimal, other: Decimal):
    less, more = (judge(guard("200", "300"), used) for used in sorted((one, other)))
    assert ORDER.index(less.word) <= ORDER.index(more.word)
    assert less.wet_film <= more.wet_film


@settings(max_examples=60, deadline=None)
@given(st.integers(50, 400), st.integers(0, 200), st.integers(50, 3000))
def test_what_should_be_gone_grows_with_the_area(low: int, more: int, surface: int):
    small, large = (guard(str(low), str(low + more), surface=str(size)) for size in (surface, surface + 1))
    assert small.low < large.low
    assert small.high < large.high
    assert small.low <= small.high
