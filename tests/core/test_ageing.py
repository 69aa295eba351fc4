"""Ageing: the spans of bookkeeping, and who owes what."""

from datetime import date

import pytest

from quoting.core.ageing import Ageing, Owed, ageing, ageing_by_customer, days_late, span_of

TODAY = date(2026, 6, 30)


@pytest.mark.parametrize(
    ("due_on", "span"),
    [
        (date(2026, 7, 9), 0),
        (date(2026, 6, 30), 0),  # due today is current
        (date(2026, 6, 29), 1),
        (date(2026, 5, 31), 1),  # 30 days
        (date(2026, 5, 30), 2),  # 31
        (date(2026, 5, 1), 2),  # 60
        (date(2026, 4, 30), 3),  # 61
        (date(2026, 4, 1), 3),  # 90
        (date(2026, 3, 31), 4),  # 91
        (date(2020, 1, 1), 4),
    ],
)
def test_each_day_falls_into_one_span(due_on: date, span: int) -> None:
    assert span_of(due_on, TODAY) == span


def test_what_is_not_due_yet_is_not_late() -> None:
    assert (days_late(date(2026, 7, 9), TODAY), days_late(date(2026, 6, 20), TODAY)) == (0, 10)


OWED = [
    Owed(customer="Wexley", due_on=date(2026, 7, 9), amount=1000),
    Owed(customer="Adair", due_on=date(2026, 6, 1), amount=2500),
    Owed(customer="Wexley", due_on=date(2026, 3, 1), amount=700),
    Owed(customer="Nobody", due_on=date(2026, 3, 1), amount=0),
]


def test_all_together() -> None:
    found = ageing(OWED, TODAY)
    assert (found.spans, found.total, found.late) == ((1000, 2500, 0, 0, 700), 4200, 3200)


def test_by_customer_who_owes_most_stands_first() -> None:
    assert ageing_by_customer(OWED, TODAY) == (
        ("Adair", Ageing(spans=(0, 2500, 0, 0, 0))),
        ("Wexley", Ageing(spans=(1000, 0, 0, 0, 700))),
    )
