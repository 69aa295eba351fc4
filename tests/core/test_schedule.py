"""The payments of a contract through its changes: with which one each change is due, always adding up to the cent."""

from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from quoting.core.contracts import Change, ContractSum, PaidWith, TaxOff, TaxShare, agreed_of
from quoting.core.payments import Payment
from quoting.core.schedule import next_accepted, next_part, schedule

D = Decimal
LAST, NEXT, SPREAD, OWN = PaidWith


def tax(amount: str, base: str = "533.28") -> TaxShare:
    return TaxShare(name="Sales tax", rate=D("0.0625"), on="materials", base=D(base), amount=D(amount))


def contract(*changes: Change, off: tuple[TaxOff, ...] = ()) -> ContractSum:
    """1,533.33 in 383.33, 766.67 and 383.33."""
    payments = [("Deposit", "383.33"), ("Progress", "766.67"), ("Rest", "383.33")]
    return ContractSum(
        currency="USD",
        paper="0417-B",
        original=agreed_of([("Pool deck", D("1000.00")), ("Steps", D("500.00"))], [tax("33.33")]),
        changes=changes,
        payments=tuple(Payment(name=name, amount=D(amount)) for name, amount in payments),
        taxes_off=off,
    )


def change(amount: str, paid_with: PaidWith = LAST, place: int = 1, number: str = "0417-C1") -> Change:
    of = agreed_of([("Pool deck", D(amount))], [])
    return Change(number=number, of=of, title="The walk", paid_with=paid_with, place=place)


def amounts(found: ContractSum, billed: str = "0") -> list[str]:
    return [str(part.amount) for part in schedule(found, D(billed))]


def test_without_changes_the_payments_are_those_agreed() -> None:
    assert amounts(contract()) == ["383.33", "766.67", "383.33"]


def test_a_change_is_paid_with_the_last_payment_or_with_the_one_that_was_next() -> None:
    assert amounts(contract(change("100.00"))) == ["383.33", "766.67", "483.33"]
    assert amounts(contract(change("100.00", NEXT, 2))) == ["383.33", "866.67", "383.33"]


def test_a_change_with_a_payment_of_its_own_stands_before_the_last() -> None:
    parts = schedule(contract(change("100.00", OWN)), D("1200.00"))
    # 1,200.00 billed: 383.33, then 766.67, which leaves 50.00 of the change's own
    assert [(part.name, part.trigger, str(part.amount), str(part.billed)) for part in parts] == [
        ("Deposit", "", "383.33", "383.33"),
        ("Progress", "", "766.67", "766.67"),
        ("The walk", "when change 0417-C1 is done", "100.00", "50.00"),
        ("Rest", "", "383.33", "0.00"),
    ]
    assert [part.change for part in parts] == ["", "", "0417-C1", ""]


def test_what_is_taken_off_has_no_payment_of_its_own() -> None:
    assert amounts(contract(change("-100.00", OWN))) == ["383.33", "766.67", "283.33"]


def test_a_spread_change_goes_on_the_payments_that_are_left_in_proportion() -> None:
    # 100.00 over 766.67 and 383.33 of 1,150.00: 66.667 and 33.333; the cent goes to the larger remainder, .667
    assert amounts(contract(change("100.00", SPREAD, 2))) == ["383.33", "833.34", "416.66"]
    # of 1,533.33 in all: 25.00 is 6.24995, 12.50011 and 6.24995; cut to cents two are left, for the first and the last
    assert amounts(contract(change("25.00", SPREAD, 1))) == ["389.58", "779.17", "389.58"]


def test_a_spread_deduction_never_takes_more_than_there_is() -> None:
    assert amounts(contract(change("-1150.00", SPREAD, 2))) == ["383.33", "0.00", "0.00"]
    # more than the two can bear: it comes off the last, then off the ones before it
    assert amounts(contract(change("-1200.00", SPREAD, 2))) == ["333.33", "0.00", "0.00"]


def test_a_deduction_that_the_last_can_not_bear_comes_off_the_one_before() -> None:
    # 383.33 − 500.00 = −116.67; 766.67 − 116.67 = 650.00
    assert amounts(contract(change("-500.00"))) == ["383.33", "650.00", "0.00"]


def test_a_deduction_from_the_first_comes_off_the_ones_after_it() -> None:
    assert amounts(contract(change("-400.00", NEXT, 1))) == ["0.00", "750.00", "383.33"]


def test_what_is_added_fills_first_what_a_deduction_left_below_nothing() -> None:
    # 1,533.33 agreed − 1,533.34 leaves −0.01; 0.01 more makes it nothing, whichever payment it names.
    assert amounts(contract(change("-1533.34"), change("0.01", NEXT, 1))) == ["0.00", "0.00", "0.00"]


def test_taxes_that_were_taken_off_come_off_all_payments_in_proportion() -> None:
    off = TaxOff(of=agreed_of([], [tax("-33.33", "-533.28")]), by="certificate 12", on=date(2026, 6, 1))
    found = contract(off=(off,))
    assert (found.now.total, found.now.taxes) == (D("1500.00"), ())
    # 33.33 × 383.33 ÷ 1,533.33 = 8.3325, × 766.67 ÷ … = 16.665, and 8.3325; the cent goes to the middle one
    assert amounts(found) == ["375.00", "750.00", "375.00"]


@given(
    st.lists(st.tuples(st.integers(-200_000, 300_000), st.sampled_from(list(PaidWith)), st.integers(1, 4)), max_size=6)
)
def test_the_payments_add_up_through_every_change(changes: list[tuple[int, PaidWith, int]]) -> None:
    found = contract(*[change(str(D(cents) / 100), how, place) for cents, how, place in changes])
    parts = schedule(found, D(0))
    assert sum((part.amount for part in parts), D(0)) == found.now.total
    assert found.now.total < 0 or all(part.amount >= 0 for part in parts)


def test_what_is_billed_fills_the_payments_in_their_order() -> None:
    parts = schedule(contract(), D("500.00"))
    assert [(part.billed, part.left) for part in parts] == [
        (D("383.33"), D("0.00")),
        (D("116.67"), D("650.00")),
        (D(0), D("383.33")),
    ]


def test_the_next_payment_is_the_first_that_is_not_all_billed() -> None:
    part = next_part(schedule(contract(), D("383.33")))
    assert part is not None
    assert (part.place, part.left) == (2, D("766.67"))


def test_when_all_is_billed_there_is_no_next_payment() -> None:
    assert next_part(schedule(contract(), D("1533.33"))) is None


def test_a_change_never_goes_with_the_deposit_where_there_are_other_payments() -> None:
    assert [next_accepted(schedule(contract(), D(billed))) for billed in ("0", "383.33", "1150.00", "1533.33")] == [
        2, 2, 3, 3
    ]  # fmt: skip
    plain = ContractSum(currency="USD", paper="0417-B", original=contract().original)
    assert next_accepted(schedule(plain, D(0))) == 1


def test_a_contract_without_terms_is_paid_in_one() -> None:
    plain = ContractSum(currency="USD", paper="0417-B", original=contract().original)
    assert [(part.name, part.amount) for part in schedule(plain, D(0))] == [("In all", D("1533.33"))]
