"""Interest on late payment by its two rules."""

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.interest import InterestFault, compound_interest, late_interest, months_and_days, simple_interest

D = Decimal


def test_simple_interest_on_a_year_of_365_days() -> None:
    # 1,000.00 × 0.12 × 30 ÷ 365 = 9.863… → 9.86
    assert simple_interest(D("1000.00"), D("0.12"), 30, "USD", year_days=365) == D("9.86")


def test_compound_interest_by_months_and_days() -> None:
    # 1,000.00 × 1.01² × (1 + 0.12 × 10 ÷ 360) − 1,000.00 = 1,020.10 × 1.00333… − 1,000.00 = 23.5003… → 23.50
    assert compound_interest(D("1000.00"), D("0.12"), 2, 10, "USD") == D("23.50")


@pytest.mark.parametrize(
    ("due", "paid", "found"),
    [
        (date(2026, 4, 1), date(2026, 4, 11), (0, 10)),
        (date(2026, 4, 1), date(2026, 6, 11), (2, 10)),
        (date(2026, 4, 15), date(2026, 6, 11), (1, 27)),  # to 15 May, then 27 days
        (date(2026, 1, 31), date(2026, 3, 1), (1, 1)),  # to 28 February, then a day
        (date(2025, 12, 31), date(2026, 1, 31), (1, 0)),
        (date(2026, 4, 11), date(2026, 4, 1), (0, 0)),
    ],
)
def test_whole_months_and_the_days_after_them(due: date, paid: date, found: tuple[int, int]) -> None:
    assert months_and_days(due, paid) == found


def test_what_is_paid_in_time_bears_no_interest() -> None:
    assert late_interest(D("1500.00"), D("0.065"), date(2026, 4, 1), date(2026, 4, 1), "USD") == D("0.00")


def test_up_to_thirty_days_both_rules_are_the_simple_one() -> None:
    due, paid = date(2026, 4, 1), date(2026, 5, 1)
    simple = late_interest(D("1500.00"), D("0.065"), due, paid, "USD")
    assert late_interest(D("1500.00"), D("0.065"), due, paid, "USD", compounding=True) == simple == D("8.13")


def test_over_a_month_the_compounding_rule_goes_by_whole_months() -> None:
    due, paid = date(2026, 4, 1), date(2026, 7, 1)
    # simple: 1,500 × 0.065 × 91 ÷ 360 = 24.6458… → 24.65; three months: 1,500 × 1.005416…³ − 1,500 = 24.5072… → 24.51
    assert late_interest(D("1500.00"), D("0.065"), due, paid, "USD") == D("24.65")
    assert late_interest(D("1500.00"), D("0.065"), due, paid, "USD", compounding=True) == D("24.51")


def test_a_sum_below_nothing_bears_none() -> None:
    with pytest.raises(InterestFault):
        simple_interest(D("-1.00"), D("0.065"), 10, "USD")
