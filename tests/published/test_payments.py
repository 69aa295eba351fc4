"""Deposits against the caps of law, as dated: tests of the arithmetic, never advice."""

from decimal import Decimal

import pytest

from quoting.core.payments import THIRD, Cap, Term, split_payments

D = Decimal
CALIFORNIA = Cap(fraction=D("0.10"), amount=D("1000"))


def deposit(total: str, cap: Cap) -> Decimal:
    """The deposit on a total when all of it is asked for at once."""
    terms = [Term(name="Deposit", fraction=D(1), caps=(cap,)), Term(name="Balance")]
    first, last = split_payments(D(total), terms, "USD")
    assert first.amount + last.amount == D(total)
    return first.amount


@pytest.mark.parametrize(("total", "most"), [("3000", "300"), ("10000", "1000"), ("40000", "1000")])
def test_the_lesser_of_a_tenth_and_a_thousand(total: str, most: str) -> None:
    """After Cal. B&P 7159.5(a)(3), as of 2007: the lesser of 10 % and $1,000."""
    assert deposit(total, CALIFORNIA) == D(most)


@pytest.mark.parametrize(("special_order", "most"), [("0", "2000"), ("2600", "2600")])
def test_the_greater_of_a_third_and_special_orders(special_order: str, most: str) -> None:
    """After M.G.L. c. 142A s. 2(a)(6): on $6,000, the greater of one third and the cost of special-order goods."""
    assert deposit("6000", Cap(fraction=THIRD, amount=D(special_order), greater=True)) == D(most)


@pytest.mark.parametrize(("total", "most"), [("1000.00", "333.33"), ("2000.00", "666.66"), ("999.00", "333.00")])
def test_a_third_is_rounded_down(total: str, most: str) -> None:
    """Md. Bus. Reg. 8-617 (2005) and 10 M.R.S. 1487: at most one third. Half up, a third of 2,000.00 is 666.67: too
    much.
    """
    assert deposit(total, Cap(fraction=THIRD)) == D(most)


def test_lesser_and_greater_are_not_the_same() -> None:
    """One mistaken for the other would pass two of the three laws."""
    assert deposit("3000", CALIFORNIA) != deposit("3000", Cap(fraction=D("0.10"), amount=D("1000"), greater=True))
