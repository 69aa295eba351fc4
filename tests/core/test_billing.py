"""Billing: what an invoice says line by line, and the payments of a contract through its changes."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.billing import (
    AheadOfWork,
    BillingFault,
    bill,
    check_ahead_of_work,
    credit,
    earned_of_deposit,
)
from quoting.core.contracts import Agreed, AreaLine, TaxShare, added, agreed_of, negative

D = Decimal


def whole(price: str = "1000.00", tax: str = "33.33", steps: str = "500.00") -> Agreed:
    share = TaxShare(name="Sales tax", rate=D("0.0625"), on="materials", base=D("533.28"), amount=D(tax))
    return agreed_of([("Pool deck", D(price)), ("Steps", D(steps))], [share])


def test_a_first_invoice_has_its_share_of_each_tax_and_area() -> None:
    deposit = bill(whole(), Agreed(), D("383.33"), "USD")
    # share 383.33 ÷ 1,533.33 = 0.2499983…; tax 33.33 × it = 8.332… → 8.33; base 533.28 × it = 133.319… → 133.32
    # price 383.33 − 8.33 = 375.00; the deck's edge 375.00 × 1,000 ÷ 1,500 = 250.00, the steps 125.00
    assert deposit == agreed_of(
        [("Pool deck", D("250.00")), ("Steps", D("125.00"))],
        [TaxShare(name="Sales tax", rate=D("0.0625"), on="materials", base=D("133.32"), amount=D("8.33"))],
    )


def test_a_tax_on_the_whole_price_is_on_the_price_of_the_bill() -> None:
    taxed = agreed_of(
        [("Deck", D("650.00"))],
        [
            TaxShare(name="State", rate=D("0.0625"), on="materials", base=D("110.63"), amount=D("6.91")),
            TaxShare(name="City", rate=D("0.01375"), on="price", base=D("650.00"), amount=D("8.94")),
        ],
    )
    part = bill(taxed, Agreed(), D("100.00"), "USD")
    # share 100.00 ÷ 665.85; State 1.04, City 1.34; price 100.00 − 2.38 = 97.62
    assert (part.price, part.taxes[1].base) == (D("97.62"), D("97.62"))


def test_three_thirds_bring_the_tax_to_the_cent() -> None:
    third = agreed_of(
        [("Walk", D("100.00"))], [TaxShare(name="T", rate=D("0.01"), on="price", base=D("100.00"), amount=D("1.00"))]
    )
    before, taxes = Agreed(), []
    for _ in range(2):
        # cumulative 33.67 and 67.34 of 101.00: 0.33 and 0.67; so 0.33, 0.34, and 0.33 for the rest of 33.66
        one = bill(third, before, D("33.67"), "USD")
        taxes.append(one.tax)
        before = added([before, one])
    last = bill(third, before, D("33.66"), "USD")
    assert [*taxes, last.tax] == [D("0.33"), D("0.34"), D("0.33")]
    assert added([before, last]) == third


@given(
    st.lists(st.integers(1, 900_000), min_size=1, max_size=4),
    st.lists(st.integers(0, 90_000), max_size=3),
    st.lists(st.integers(1, 500_000), max_size=8),
)
def test_however_it_is_billed_it_adds_up(areas: list[int], taxes: list[int], cuts: list[int]) -> None:
    cents = D("0.01")
    lines = [(f"Area {n}", D(area) * cents) for n, area in enumerate(areas)]
    shares = [
        TaxShare(name=f"Tax {n}", rate=D("0.05"), on="price", base=D(tax * 20) * cents, amount=D(tax) * cents)
        for n, tax in enumerate(taxes)
    ]
    agreed, before = agreed_of(lines, shares), Agreed()
    for cut in cuts:
        amount = min(D(cut) * cents, agreed.total - before.total)
        if amount > 0:
            one = bill(agreed, before, amount, "USD")
            assert one.total == amount
            before = added([before, one])
    if agreed.total > before.total:
        before = added([before, bill(agreed, before, agreed.total - before.total, "USD")])
    assert (before.price, before.total) == (agreed.price, agreed.total)
    assert {tax.name: tax.amount for tax in before.taxes if tax.amount} == {
        tax.name: tax.amount for tax in agreed.taxes if tax.amount
    }


def test_after_a_change_the_next_invoice_takes_up_the_difference() -> None:
    deposit = bill(whole(), Agreed(), D("383.33"), "USD")
    now = added([whole(), agreed_of([("Front walk", D("585.00"))], [])])
    rest = bill(now, deposit, now.total - deposit.total, "USD")
    assert added([deposit, rest]) == now


def test_a_tax_that_was_taken_out_is_given_back() -> None:
    deposit = bill(whole(), Agreed(), D("383.33"), "USD")
    untaxed = agreed_of([("Pool deck", D("1000.00")), ("Steps", D("500.00"))], [])
    rest = bill(untaxed, deposit, untaxed.total - deposit.total, "USD")
    assert (rest.tax, added([deposit, rest]).tax) == (D("-8.33"), D("0.00"))


def test_an_invoice_credited_in_two_parts_is_gone_to_the_cent() -> None:
    invoice = bill(whole(), Agreed(), D("383.33"), "USD")
    first = bill(invoice, Agreed(), D("100.00"), "USD")
    second = bill(invoice, first, D("283.33"), "USD")
    assert added([invoice, negative(first), negative(second)]).total == 0
    assert added([first, second]) == invoice


@pytest.mark.parametrize("amount", ["0", "-1.00"])
def test_an_invoice_over_nothing_is_none(amount: str) -> None:
    with pytest.raises(BillingFault, match="more than nothing"):
        bill(whole(), Agreed(), D(amount), "USD")


def test_more_than_the_contract_is_not_billed() -> None:
    before = bill(whole(), Agreed(), D("1500.00"), "USD")
    with pytest.raises(BillingFault, match=r"Only 33\.33 is left; 33\.34 is more\."):
        bill(whole(), before, D("33.34"), "USD")


def test_areas_that_come_to_nothing_bear_the_price_all_the_same() -> None:
    odd = agreed_of([("Deck", D("0.00"))], [TaxShare(name="Fee", rate=D(0), on="none", base=D(0), amount=D("10.00"))])
    half = bill(odd, Agreed(), D("5.00"), "USD")
    assert (half.tax, half.total) == (D("5.00"), D("5.00"))


def test_nothing_is_asked_for_ahead_of_the_work() -> None:
    check_ahead_of_work(D("4000.00"), D("2000.00"), D("0.5"), "USD")
    with pytest.raises(AheadOfWork, match=r"2,000\.01 would be billed; work for 2,000\.00 is done"):
        check_ahead_of_work(D("4000.00"), D("2000.01"), D("0.5"), "USD")


def test_where_the_rule_is_on_the_work_done_must_be_said() -> None:
    with pytest.raises(AheadOfWork, match="how much of the work is done"):
        check_ahead_of_work(D("4000.00"), D("100.00"), None, "USD")


@pytest.mark.parametrize(
    ("others", "done", "earned"),
    [
        ("0", "0", "0"),  # nothing is done
        ("0", "300.00", "300.00"),  # work that no other bill covers
        ("2000.00", "2000.00", "0"),  # all that is done is billed elsewhere
        ("3000.00", "4000.00", "1000.00"),  # done: the whole deposit
        ("3000.00", "9000.00", "1000.00"),  # never more than the deposit
    ],
)
def test_a_deposit_is_earned_by_work_that_no_other_bill_covers(others: str, done: str, earned: str) -> None:
    assert earned_of_deposit(D("1000.00"), D(others), D(done)) == D(earned)


def test_lines_of_an_invoice_are_by_area() -> None:
    assert bill(whole(), Agreed(), D("1533.33"), "USD").lines == (
        AreaLine(area="Pool deck", amount=D("1000.00")),
        AreaLine(area="Steps", amount=D("500.00")),
    )


def deck_and_steps(deck: str, steps: str, base: str, tax: str) -> Agreed:
    state = TaxShare(name="State", rate=D("0.0625"), on="materials", base=D(base), amount=D(tax))
    return agreed_of([("Deck", D(deck)), ("Steps", D(steps))], [state])


def test_what_is_billed_more_than_the_contract_is_credited_line_by_line() -> None:
    # 100.00 of work on the steps is taken out of a job that is billed, and no material with it: no tax comes back.
    invoice, over = deck_and_steps("400.00", "200.00", "160.00", "10.00"), deck_and_steps("0.00", "100.00", "0", "0")
    assert credit(invoice, Agreed(), D("100.00"), over, "USD") == over


@pytest.mark.parametrize(
    ("amount", "over"),
    [
        ("99.99", deck_and_steps("0.00", "100.00", "0", "0")),  # another sum
        ("100.00", deck_and_steps("-50.00", "150.00", "0", "0")),  # one line goes up
        ("300.00", deck_and_steps("0.00", "300.00", "0", "0")),  # the bill has no 300.00 on the steps
        ("11.00", deck_and_steps("0.00", "0.00", "160.00", "11.00")),  # nor so much tax
    ],
)
def test_any_other_credit_is_in_proportion(amount: str, over: Agreed) -> None:
    invoice = deck_and_steps("400.00", "200.00", "160.00", "10.00")
    assert credit(invoice, Agreed(), D(amount), over, "USD") == bill(invoice, Agreed(), D(amount), "USD")
