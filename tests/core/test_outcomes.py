"""Figures of the offers, worked by hand."""

from datetime import date
from decimal import Decimal

from quoting.core.outcomes import Month, Outcome, Tally, outcomes_of, tally_of

NOTHING = Tally(offers=0, won=0, lost=0, open=0, rate=None, days=None, agreed=Decimal(0))


def won(sent: date, answered: date, agreed: str = "100.00") -> Outcome:
    return Outcome(sent=sent, won=True, answered=answered, agreed=Decimal(agreed))


def lost(sent: date, reason: str = "", answered: date | None = None) -> Outcome:
    return Outcome(sent=sent, won=False, answered=answered, reason=reason)


def test_nothing_offered_gives_no_rate_and_no_days():
    found = outcomes_of([])
    assert (found.whole, found.months, found.reasons) == (NOTHING, (), ())


def test_the_rate_leaves_out_what_is_open():
    june = date(2026, 6, 1)
    # 2 won of 3 decided: 2 ÷ 3 = 0.66666…, to four places 0.6667
    tally = tally_of([won(june, june), won(june, june), lost(june), Outcome(sent=june)])
    assert (tally.offers, tally.won, tally.lost, tally.open, tally.rate) == (4, 2, 1, 1, Decimal("0.6667"))


def test_a_yes_taken_back_is_one_of_those_lost():
    june = date(2026, 6, 1)
    # 1 won of 2 decided: 0.5
    tally = tally_of([won(june, june), Outcome(sent=june, won=False, answered=june, taken_back=True)])
    assert (tally.won, tally.lost, tally.taken_back, tally.rate) == (1, 1, 1, Decimal("0.5"))


def test_days_are_the_middle_one_so_that_one_long_wait_does_not_count_for_all():
    june = date(2026, 6, 1)
    # waits of 1, 3 and 60 days: the middle one is 3
    waits = [
        won(june, date(2026, 6, 2)),
        lost(june, answered=date(2026, 6, 4)),
        won(june, date(2026, 7, 31)),
        lost(june),
    ]
    assert tally_of(waits).days == Decimal(3)


def test_of_an_even_number_the_two_in_the_middle_are_halved():
    june = date(2026, 6, 1)
    # waits of 1, 2, 5 and 9 days: (2 + 5) ÷ 2 = 3.5
    answers = [won(june, date(2026, 6, day)) for day in (10, 2, 6, 3)]
    assert tally_of(answers).days == Decimal("3.5")


def test_what_was_agreed_is_added_to_the_cent():
    june = date(2026, 6, 1)
    # 0.10 + 0.20 + 1,234.56 = 1,234.86; a lost one adds nothing
    offers = [won(june, june, "0.10"), won(june, june, "0.20"), won(june, june, "1234.56"), lost(june)]
    assert tally_of(offers).agreed == Decimal("1234.86")


def test_every_month_stands_between_the_first_and_the_last():
    december, february = date(2025, 12, 30), date(2026, 2, 2)
    months = outcomes_of([lost(february), won(december, february)]).months
    assert [month.first for month in months] == [date(2025, 12, 1), date(2026, 1, 1), date(2026, 2, 1)]
    assert months[1] == Month(first=date(2026, 1, 1), tally=NOTHING)
    # won on the 34th day: 30 December to 2 February is 1 + 31 + 2
    assert (months[0].tally.won, months[0].tally.days, months[2].tally.lost) == (1, Decimal(34), 1)


def test_reasons_stand_by_how_often_they_were_given():
    june = date(2026, 6, 1)
    given = [lost(june, reason) for reason in ("later", "price", "", "price")]
    assert outcomes_of([*given, won(june, june)]).reasons == (("price", 2), ("", 1), ("later", 1))
