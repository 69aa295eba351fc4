"""Dated rules held against an offer."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from quoting.core.business_days import Calendar
from quoting.core.payments import THIRD, Cap, Payment
from quoting.core.region_rules import (
    OfferTerms,
    Period,
    RegionRule,
    RuleFault,
    RuleKind,
    Verdict,
    cancel_periods,
    check_offer,
    deposit_caps,
    last_day_to_cancel,
)

D = Decimal


def rule(kind: RuleKind, figures: Mapping[str, str], **facts: Any) -> RegionRule:
    """A rule of an invented region."""
    told = {"key": "xx-rule", "region": "Elsewhere", "name": "Rule of Elsewhere", "source": "Code of Elsewhere 7"}
    return RegionRule(kind=kind, figures=figures, **{**told, "as_of": date(2020, 3, 1), **facts})


def terms(total: str, *amounts: str, **facts: Any) -> OfferTerms:
    """An offer of this total, paid in these amounts."""
    names = ("Deposit", "Progress", "Balance")
    payments = tuple(Payment(name=name, amount=D(amount)) for name, amount in zip(names, amounts, strict=False))
    return OfferTerms(total=D(total), currency="USD", payments=payments, **facts)


def said(one: RegionRule, offer: OfferTerms) -> tuple[bool, str] | None:
    """What a rule says, or None where it does not reach the offer."""
    verdicts = check_offer([one], offer)
    return (verdicts[0].ok, verdicts[0].sentence) if verdicts else None


def test_a_verdict_names_the_rule_its_source_and_its_date() -> None:
    cap = rule(RuleKind.DEPOSIT_CAP, {"fraction": "0.10"})
    (verdict,) = check_offer([cap], terms("3000.00", "900.00", "2100.00"))
    sentence = "Rule of Elsewhere: the deposit of 900.00 is more than the 300.00 allowed."
    assert verdict == Verdict(rule=cap, ok=False, sentence=sentence)
    assert (verdict.key, verdict.source) == ("xx-rule", "Code of Elsewhere 7, as of 1 March 2020")


def test_a_rule_from_a_copy_without_a_date_says_so() -> None:
    (verdict,) = check_offer([rule(RuleKind.NOTICE, {}, as_of=None)], terms("1.00"))
    assert verdict.source == "Code of Elsewhere 7, from a copy without a date"


@pytest.mark.parametrize(
    ("figures", "cap"),
    [
        ({"fraction": "1/3"}, Cap(fraction=THIRD)),
        ({"amount": "1000"}, Cap(amount=D(1000))),
        ({"of": "lesser", "fraction": "0.10", "amount": "1000"}, Cap(fraction=D("0.10"), amount=D(1000))),
        (
            {"of": "greater", "fraction": "1/3", "special_order": "yes"},
            Cap(fraction=THIRD, amount=D("2600.00"), greater=True),
        ),
    ],
)
def test_caps_as_a_share_a_sum_or_the_lesser_or_greater_of_both(figures: Mapping[str, str], cap: Cap) -> None:
    offer = terms("6000.00", special_order=D("2600.00"))
    assert deposit_caps([rule(RuleKind.DEPOSIT_CAP, figures)], offer) == (cap,)


@pytest.mark.parametrize(("total", "reached"), [("3000.00", False), ("3000.01", True)])
def test_a_cap_over_a_total(total: str, reached: bool) -> None:
    cap = rule(RuleKind.DEPOSIT_CAP, {"fraction": "1/3", "over": "3000"})
    assert (said(cap, terms(total, "1.00", "2999.00")) is not None) == reached


def test_a_deposit_at_the_cap_is_kept() -> None:
    cap = rule(RuleKind.DEPOSIT_CAP, {"fraction": "1/3"})
    assert said(cap, terms("2000.00", "666.66", "1333.34")) == (
        True,
        "Rule of Elsewhere: the deposit of 666.66 is within the 666.66 allowed.",
    )
    assert said(cap, terms("2000.00", "666.67", "1333.33"))[0] is False


def test_an_offer_paid_in_one_has_no_deposit() -> None:
    assert said(rule(RuleKind.DEPOSIT_CAP, {"fraction": "0.10"}), terms("2000.00", "2000.00")) is None


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        ((None, D("500.00"), D("1000.00")), (True, "no payment runs ahead of the work.")),
        (
            (None, D("499.99"), D("1000.00")),
            (False, "with “Progress”, 500.00 are paid, and work for 499.99 is done by then."),
        ),
        ((None, None, D("1000.00")), (False, "say how much of the work is done when “Progress” is due.")),
    ],
)
def test_progress_never_runs_ahead_of_the_work(done: tuple[Decimal | None, ...], expected: tuple[bool, str]) -> None:
    """100 + 400 = 500 are paid when progress is due."""
    offer = terms("1000.00", "100.00", "400.00", "500.00", done_by=done)
    assert said(rule(RuleKind.PROGRESS, {}), offer) == (expected[0], f"Rule of Elsewhere: {expected[1]}")


@pytest.mark.parametrize(("total", "reached"), [("999.99", False), ("1000.00", True)])
def test_a_form_from_a_total(total: str, reached: bool) -> None:
    assert (said(rule(RuleKind.WRITTEN_FORM, {"from": "1000"}), terms(total)) is not None) == reached


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"written": False}, (False, "a contract of 1,500.00 must be in writing.")),
        ({"has": frozenset({"names"})}, (False, "the paper lacks dates, warranty.")),
        (
            {"has": frozenset({"names", "dates", "warranty", "price"})},
            (True, "the paper has what the written form asks for."),
        ),
    ],
)
def test_a_form_needs_what_it_names(facts: dict[str, Any], expected: tuple[bool, str]) -> None:
    form = rule(RuleKind.WRITTEN_FORM, {"over": "1000", "needs": "names, dates, warranty"})
    assert said(form, terms("1500.00", **facts)) == (expected[0], f"Rule of Elsewhere: {expected[1]}")


def test_a_notice_is_on_the_paper_or_not() -> None:
    notice = rule(RuleKind.NOTICE, {"over": "500"})
    assert said(notice, terms("500.00")) is None
    assert said(notice, terms("500.01")) == (False, "Rule of Elsewhere: the notice is not on the paper.")
    on_it = terms("500.01", notices=frozenset({"xx-rule"}))
    assert said(notice, on_it) == (True, "Rule of Elsewhere: the notice is on the paper.")


OLDER = {"days": "3", "older_age": "65", "older_days": "5"}


@pytest.mark.parametrize(("age", "days"), [(64, 3), (65, 5), (None, 5)])
def test_an_age_that_nobody_stated_gives_the_longer_period(age: int | None, days: int) -> None:
    period = rule(RuleKind.CANCELLATION, OLDER)
    assert cancel_periods([period], terms("100.00", buyer_age=age)) == (
        Period(rule=period, days=days, calendar=Calendar.SALES),
    )


@pytest.mark.parametrize(
    ("total", "at_home", "reached"),
    [
        ("24.99", True, False),
        ("25.00", True, True),
        ("129.99", False, False),
        ("130.00", False, True),
        ("25.00", None, True),
    ],
)
def test_a_period_from_a_total_by_where_it_was_signed(total: str, at_home: bool | None, reached: bool) -> None:
    period = rule(RuleKind.CANCELLATION, {"days": "3", "from_home": "25", "from_elsewhere": "130"})
    assert bool(cancel_periods([period], terms(total, at_home=at_home))) == reached


def test_a_period_for_sales_at_home_only() -> None:
    period = rule(RuleKind.CANCELLATION, {"days": "3", "from_home": "25"})
    assert cancel_periods([period], terms("900.00", at_home=False)) == ()


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (
            {},
            (False, "it may be cancelled for 3 business days, and the notice that says so is not on the paper."),
        ),
        (
            {"notices": frozenset({"xx-rule"})},
            (True, "it may be cancelled for 3 business days after it is signed."),
        ),
        (
            {"notices": frozenset({"xx-rule"}), "signed_on": date(2025, 8, 1), "begins_on": date(2025, 8, 6)},
            (True, "it may be cancelled until midnight of 5 August 2025."),
        ),
        (
            {"notices": frozenset({"xx-rule"}), "signed_on": date(2025, 8, 1), "begins_on": date(2025, 8, 5)},
            (False, "it may be cancelled until midnight of 5 August 2025, and work begins on 5 August 2025."),
        ),
    ],
)
def test_work_waits_for_the_end_of_the_period(facts: dict[str, Any], expected: tuple[bool, str]) -> None:
    """Friday 1 August 2025: Sat 2, Mon 4, Tue 5."""
    period = rule(RuleKind.CANCELLATION, {"days": "3"})
    assert said(period, terms("900.00", **facts)) == (expected[0], f"Rule of Elsewhere: {expected[1]}")


def test_the_longest_of_several_periods_holds() -> None:
    """From Friday 1 August 2025: three business days end on Tue 5, fourteen days on Fri 15."""
    rules = [
        rule(RuleKind.CANCELLATION, {"days": "14", "calendar": "every"}),
        rule(RuleKind.CANCELLATION, {"days": "3"}),
    ]
    assert last_day_to_cancel(rules, terms("900.00"), date(2025, 8, 1)) == date(2025, 8, 15)
    assert last_day_to_cancel([], terms("900.00"), date(2025, 8, 1)) is None


@pytest.mark.parametrize(
    ("kind", "figures", "why"),
    [
        (RuleKind.DEPOSIT_CAP, {}, "a cap needs a fraction, an amount, or both."),
        (RuleKind.DEPOSIT_CAP, {"fraction": "0.1", "amount": "5"}, "with a fraction and an amount, say “lesser”"),
        (RuleKind.DEPOSIT_CAP, {"fraction": "a tenth"}, "fraction: “a tenth” is not a plain number"),
        (RuleKind.DEPOSIT_CAP, {"fraction": "-0.1"}, "fraction must not be negative."),
        (RuleKind.CANCELLATION, {}, "a period needs its days."),
        (RuleKind.CANCELLATION, {"days": "2.5"}, "days must be a whole number."),
        (RuleKind.CANCELLATION, {"days": "3", "calendar": "moon"}, "its calendar is “sales”, “office” or “every”."),
    ],
)
def test_figures_that_can_not_be_used_are_refused_with_the_rule(
    kind: RuleKind, figures: Mapping[str, str], why: str
) -> None:
    with pytest.raises(RuleFault) as caught:
        check_offer([rule(kind, figures)], terms("900.00", "100.00", "800.00"))
    assert str(caught.value).startswith(f"Rule “xx-rule”: {why}")
