"""What is agreed: the original, the changes and what stands now add up line by line and tax by tax."""

from decimal import Decimal

from quoting.core.contracts import (
    Agreed,
    AreaLine,
    Change,
    ContractSum,
    TaxShare,
    added,
    agreed_of,
    negative,
    taken_off,
)

D = Decimal


def tax(base: str, amount: str, rate: str = "0.0625", name: str = "Sales tax", on: str = "materials") -> TaxShare:
    return TaxShare(name=name, rate=D(rate), on=on, base=D(base), amount=D(amount))


def agreed(deck: str, base: str, amount: str) -> Agreed:
    return agreed_of([("Pool deck", D(deck))], [tax(base, amount)])


DECK = agreed("2400.00", "640.00", "40.00")
WALK = agreed_of([("Front walk", D("585.00"))], [tax("160.00", "10.00")])


def test_price_tax_and_total_follow_from_the_lines() -> None:
    assert (DECK.price, DECK.tax, DECK.total) == (D("2400.00"), D("40.00"), D("2440.00"))


def test_changes_are_added_to_the_original() -> None:
    contract = ContractSum(
        currency="USD",
        paper="0417-B",
        original=DECK,
        changes=(Change(number="0417-C1", of=WALK, days=1), Change(number="0417-C2", of=negative(WALK), days=-1)),
        days=4,
    )
    # 2,440.00 + 595.00 − 595.00 = 2,440.00; 4 + 1 − 1 = 4 days
    assert (contract.original.total, contract.changed.total, contract.now.total) == (D("2440.00"), D(0), D("2440.00"))
    assert contract.days_now == 4


def test_taxes_of_one_name_rate_and_base_are_one_tax() -> None:
    # 40.00 + 10.00 = 50.00 on 640.00 + 160.00 = 800.00
    assert added([DECK, WALK]).taxes == (tax("800.00", "50.00"),)


def test_a_tax_whose_rate_changed_stays_apart() -> None:
    later = agreed_of([("Steps", D("100.00"))], [tax("30.00", "2.10", rate="0.07")])
    assert [share.rate for share in added([DECK, later]).taxes] == [D("0.0625"), D("0.07")]


def test_areas_of_one_name_are_one_line() -> None:
    assert added([DECK, agreed("-400.00", "0.00", "0.00")]).lines == (AreaLine(area="Pool deck", amount=D("2000.00")),)


def test_what_one_adds_to_the_other_has_no_lines_of_nothing() -> None:
    assert taken_off(added([DECK, WALK]), DECK) == WALK


def test_days_that_were_never_said_stay_unsaid() -> None:
    contract = ContractSum(
        currency="USD", paper="0417-B", original=DECK, changes=(Change(number="1", of=WALK, days=2),)
    )
    assert contract.days_now is None
