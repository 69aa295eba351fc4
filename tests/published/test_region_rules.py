"""The rules that the product starts with, against the figures that are published; the arithmetic only, never advice."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from quoting.core.payments import Payment, Term, split_payments, with_caps
from quoting.core.region_rules import (
    OfferTerms,
    RegionRule,
    RuleKind,
    cancel_periods,
    check_offer,
    deposit_caps,
    last_day_to_cancel,
)
from quoting.services.region_rules import starter_rules

D = Decimal
RULES = {
    row["key"]: RegionRule(
        **{name: value for name, value in row.items() if name != "on"} | {"kind": RuleKind(row["kind"])}
    )
    for row in starter_rules()
}


def offer(total: str, deposit: str = "0", **facts: Any) -> OfferTerms:
    """An offer paid in two: this deposit, and the rest."""
    payments = (Payment(name="Deposit", amount=D(deposit)), Payment(name="Balance", amount=D(total) - D(deposit)))
    return OfferTerms(total=D(total), currency="USD", payments=payments, **facts)


def highest_deposit(key: str, total: str, special_order: str = "0") -> Decimal:
    """What a deposit of the whole comes down to."""
    caps = deposit_caps([RULES[key]], offer(total, special_order=D(special_order)))
    terms = with_caps([Term(name="Deposit", fraction=D(1)), Term(name="Balance")], caps)
    first, last = split_payments(D(total), terms, "USD")
    assert first.amount + last.amount == D(total)
    return first.amount


@pytest.mark.parametrize(("total", "most"), [("3000", "300"), ("10000", "1000"), ("40000", "1000")])
def test_california_deposit(total: str, most: str) -> None:
    """After Cal. B&P 7159.5(a)(3), as of 2007."""
    assert highest_deposit("ca-deposit", total) == D(most)


@pytest.mark.parametrize(("special_order", "most"), [("0", "2000"), ("2600", "2600")])
def test_massachusetts_deposit(special_order: str, most: str) -> None:
    """After M.G.L. c. 142A s. 2(a)(6): on $6,000, the greater of one third and special orders."""
    assert highest_deposit("ma-deposit", "6000", special_order) == D(most)


@pytest.mark.parametrize(("total", "most"), [("1000.00", "333.33"), ("2000.00", "666.66")])
def test_maryland_deposit_is_rounded_down(total: str, most: str) -> None:
    """Md. Bus. Reg. 8-617, as of 2005."""
    assert highest_deposit("md-deposit", total) == D(most)


@pytest.mark.parametrize(("total", "most"), [("3000.00", "3000.00"), ("3001.00", "1000.33")])
def test_maine_deposit_over_3000(total: str, most: str) -> None:
    """10 M.R.S. 1487."""
    assert highest_deposit("me-deposit", total) == D(most)


@pytest.mark.parametrize(
    ("key", "below", "reached"),
    [
        ("ca-written-form", "499.99", "500.00"),  # after Cal. B&P 7151, 7159, as of 2007
        ("ma-written-form", "1000.00", "1000.01"),  # M.G.L. c. 142A s. 2(a)
        ("me-written-form", "3000.00", "3000.01"),  # 10 M.R.S. 1487
        ("vt-written-form", "10000.00", "10000.01"),  # 26 V.S.A. 5509(b), from 1 July 2022
        ("ny-written-form", "500.00", "500.01"),  # N.Y. Gen. Bus. Law 771, from memory
    ],
)
def test_totals_from_which_a_contract_is_written(key: str, below: str, reached: str) -> None:
    assert check_offer([RULES[key]], offer(below)) == ()
    (verdict,) = check_offer([RULES[key]], offer(reached, written=False))
    assert not verdict.ok


@pytest.mark.parametrize(
    ("total", "at_home", "reached"), [("24.99", True, 0), ("25", True, 1), ("129.99", False, 0), ("130", False, 1)]
)
def test_federal_thresholds(total: str, at_home: bool, reached: int) -> None:
    """16 CFR 429.0(a); the $130 since 13 March 2015 by 80 FR 1329."""
    assert len(cancel_periods([RULES["us-cooling-off"]], offer(total, at_home=at_home))) == reached


def test_federal_deadline_over_a_holiday() -> None:
    """16 CFR 429.1(a), and 429.0(f) from memory: Wed 26 Nov 2025; Thu is Thanksgiving; Fri 28, Sat 29, Mon 1 Dec."""
    until = last_day_to_cancel([RULES["us-cooling-off"]], offer("900"), date(2025, 11, 26))
    assert until == date(2025, 12, 1)


@pytest.mark.parametrize(("age", "until"), [(64, date(2025, 8, 5)), (65, date(2025, 8, 7))])
def test_california_gives_older_buyers_five_days(age: int, until: date) -> None:
    """Cal. Civ. Code 1689.5 ff.; five days from 65 from memory. Fri 1 Aug 2025: Sat, Mon, Tue, Wed, Thu 7."""
    rules = [RULES["us-cooling-off"], RULES["ca-cancel"]]
    assert last_day_to_cancel(rules, offer("900", buyer_age=age), date(2025, 8, 1)) == until


def test_california_progress_payments() -> None:
    """Cal. B&P 7159.5(a)(4), (5), as of 2007: never more than the value of the work done."""
    verdicts = [
        check_offer([RULES["ca-progress"]], offer("1000", "100", done_by=(None, D(done))))[0].ok
        for done in ("999", "1000")
    ]
    assert verdicts == [False, True]
