"""Days of follow-ups: read as the firm writes them, due when they have come, never after the offer's end."""

from datetime import date

import pytest

from quoting.core.follow_ups import DaysFault, days_from, due_day

DAYS = (2, 5, 10)
SENT = date(2026, 6, 1)


@pytest.mark.parametrize(
    ("text", "days"), [("2, 5, 10", (2, 5, 10)), ("7", (7,)), (" 1,365 ", (1, 365)), ("", ()), ("  ", ())]
)
def test_days_are_read(text, days):
    assert days_from(text) == days


@pytest.mark.parametrize(
    "text", ["two", "2; 5", "5, 2", "2, 2", "0", "366", "2,", "1,2,3,4,5,6,7", "-2", "2.5", "1e2", "٢", "9" * 40]
)
def test_other_days_are_refused(text):
    with pytest.raises(DaysFault, match=r"Write the days after sending as whole numbers with commas: 2, 5, 10\."):
        days_from(text)


@pytest.mark.parametrize(
    ("today", "due"), [(1, None), (2, None), (3, 2), (5, 2), (6, 5), (10, 5), (11, 10), (30, 10)]
)  # sent on the 1st: day 2 is the 3rd, day 5 the 6th, day 10 the 11th
def test_the_last_day_that_has_come_is_due(today, due):
    assert due_day(DAYS, sent=SENT, today=date(2026, 6, today)) == due


@pytest.mark.parametrize(("handled", "due"), [(2, 5), (5, 5), (6, None), (7, None)])
def test_what_was_written_since_then_counts(handled, due):
    assert due_day(DAYS, sent=SENT, today=date(2026, 6, 8), handled=date(2026, 6, handled)) == due


@pytest.mark.parametrize(("until", "due"), [(8, 5), (7, None)])
def test_nothing_is_due_after_the_last_day(until, due):
    assert due_day(DAYS, sent=SENT, today=date(2026, 6, 8), until=date(2026, 6, until)) == due


def test_without_days_nothing_is_due():
    assert due_day((), sent=SENT, today=date(2026, 7, 1)) is None
