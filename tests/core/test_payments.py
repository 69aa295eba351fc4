"""How a total is paid: the parts always add up."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.payments import THIRD, Cap, Payment, Term, TermsFault, split_payments, with_caps

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


def test_what_a_cap_takes_off_a_part_is_asked_for_with_the_next() -> None:
    """Of 10,000: half is 5,000, capped at 1,000; 4,000 of it go to progress, 2,500 + 4,000 = 6,500; 2,500 are left."""
    terms = [
        Term(name="Deposit", fraction=D("0.50"), trigger="on acceptance"),
        Term(name="Progress", fraction=D("0.25"), trigger="when the colour is on"),
        Term(name="Balance", trigger="at hand-over"),
    ]
    assert split_payments(D("10000.00"), with_caps(terms, [Cap(amount=D("1000"))]), "USD") == (
        Payment(name="Deposit", amount=D("1000.00"), capped=True, trigger="on acceptance"),
        Payment(name="Progress", amount=D("6500.00"), trigger="when the colour is on"),
        Payment(name="Balance", amount=D("2500.00"), trigger="at hand-over"),
    )


def test_the_lowest_of_several_caps_holds() -> None:
    caps = [Cap(fraction=D("0.10"), amount=D("1000")), Cap(fraction=THIRD)]
    terms = with_caps([Term(name="Deposit", fraction=D("0.5")), Term(name="Balance")], caps)
    assert split_payments(D("3000.00"), terms, "USD")[0].amount == D("300.00")


def test_a_single_payment_is_no_deposit() -> None:
    terms = [Term(name="Whole sum")]
    assert with_caps(terms, [Cap(amount=D("1000"))]) == tuple(terms)
