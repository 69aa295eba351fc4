"""Late interest against the federal Prompt Payment rule and its worked examples."""

from datetime import date
from decimal import Decimal

from quoting.core.interest import late_interest, months_and_days, simple_interest

D = Decimal


def test_ten_days_at_six_and_a_half_per_cent() -> None:
    # 5 CFR 1315.17(a): $1,500.00, 10 days, 6.5 %: 1,500 × 0.065 ÷ 360 × 10 = $2.71
    assert simple_interest(D("1500.00"), D("0.065"), 10, "USD") == D("2.71")


def test_days_are_counted_from_the_day_after_the_one_on_which_it_was_due() -> None:
    # Bureau of the Fiscal Service, Prompt Payment, simple interest: due 1 April, paid 11 April: 10 days, 2 to 11 April
    assert months_and_days(date(2026, 4, 1), date(2026, 4, 11)) == (0, 10)
    assert late_interest(D("1500.00"), D("0.065"), date(2026, 4, 1), date(2026, 4, 11), "USD") == D("2.71")


def test_the_rate_is_never_rounded_first() -> None:
    # The same page works 6.625 % out as .066 and prints $2.75; with the rate itself it is 2.7604…, $2.76.
    exact = simple_interest(D("1500.00"), D("0.06625"), 10, "USD")
    assert exact == D("2.76")
    assert exact != D("2.75") == simple_interest(D("1500.00"), D("0.066"), 10, "USD")


def test_up_to_thirty_one_days_is_simple_and_over_a_month_compounds() -> None:
    # The same page: the simple formula for payments under 31 days late, compounding for over a month.
    due = date(2026, 4, 1)
    for paid, differs in ((date(2026, 5, 1), False), (date(2026, 7, 15), True)):
        simple = late_interest(D("15000.00"), D("0.06625"), due, paid, "USD")
        compounding = late_interest(D("15000.00"), D("0.06625"), due, paid, "USD", compounding=True)
        assert (simple != compounding) is differs
