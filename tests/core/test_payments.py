"""How a total is paid: the parts always add up."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.payments import THIRD, Cap, Payment, Term, TermsFault, split_payments

D = Decimal


def test_the_last_payment_takes_the_remainder() -> None:
    terms = [Term(name="Deposit", fraction=THIRD), Term(name="Progress", fraction=THIRD), Term(name="Balance")]
    assert split_payments(D("1000.00"), terms, "USD") == (
        Payment(name="Deposit", amount=D("333.33")),
        Payment(name="Progress", amount=D("333.33")),
        Payment(name="Balance", amount=D("333.34")),
    )


def test_an_amount_is_no_more_than_what_is_left() -> None:
    terms = [Term(name="Deposit", amount=D("500.00")), Term(name="Balance")]
    assert [payment.amount for payment in split_payments(D("120.00"), terms, "USD")] == [D("120.00"), D("0.00")]


def test_a_cap_says_that_it_held() -> None:
    terms = [Term(name="Deposit", fraction=D("0.5"), caps=(Cap(amount=D("1000")),)), Term(name="Balance")]
    assert split_payments(D("4000.00"), terms, "USD")[0] == Payment(name="Deposit", amount=D("1000.00"), capped=True)
    assert split_payments(D("1500.00"), terms, "USD")[0] == Payment(name="Deposit", amount=D("750.00"))


@pytest.mark.parametrize(
    ("terms", "why"),
    [
        ([], "at least one payment"),
        ([Term(name="Balance", fraction=D("0.5"))], "comes last"),
        ([Term(name="Deposit"), Term(name="Balance")], "either a fraction of the total or an amount"),
        ([Term(name="Deposit", fraction=D("0.1"), amount=D(5)), Term(name="Balance")], "either a fraction"),
        ([Term(name="Deposit", fraction=D("-0.1")), Term(name="Balance")], "must not be negative"),
        ([Term(name="Deposit", fraction=D("0.1"), caps=(Cap(),)), Term(name="Balance")], "a cap needs"),
    ],
)
def test_terms_that_can_not_be_kept_are_refused(terms: list[Term], why: str) -> None:
    with pytest.raises(TermsFault, match=f"(?i){why}"):
        split_payments(D("100.00"), terms, "USD")


def test_a_negative_total_is_refused() -> None:
    with pytest.raises(TermsFault, match="must not be negative"):
        split_payments(D("-1.00"), [Term(name="Balance")], "USD")


@given(
    st.decimals(0, 10**8, places=2), st.lists(st.decimals(0, 1, places=4), max_size=5), st.decimals(0, 5000, places=2)
)
def test_payments_add_up_and_none_is_negative(total: Decimal, fractions: list[Decimal], most: Decimal) -> None:
    terms = [Term(name=f"{i}", fraction=fraction, caps=(Cap(amount=most),)) for i, fraction in enumerate(fractions)]
    payments = split_payments(total, [*terms, Term(name="Balance")], "USD")
    assert sum(payment.amount for payment in payments) == total
    assert min(payment.amount for payment in payments) >= 0
