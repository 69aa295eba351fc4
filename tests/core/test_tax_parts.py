"""A price cut by the rates that meet on it."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from quoting.core.contracts import Agreed, AreaLine, TaxShare
from quoting.core.tax_parts import TaxPart, tax_parts
from tests.sample_bill import agreed


def test_a_tax_on_the_price_leaves_one_part():
    bill = agreed([("Deck", "600.00"), ("Walk", "375.00")], [("City", "0.01375", "price", "975.00", "13.41")])
    assert tax_parts(bill, "USD") == (
        TaxPart(rate=Decimal("0.01375"), lines=bill.lines, base=Decimal("975.00"), tax=Decimal("13.41")),
    )


def test_a_tax_on_the_materials_is_charged_on_a_part_which_bears_the_citys_as_well():
    # 210.00 of 600 + 400: 126.00 on the deck, 84.00 on the walk. City 10.00: 10 × 210/1000 = 2.10 here, 7.90 there.
    bill = agreed(
        [("Deck", "600.00"), ("Walk", "400.00")],
        [("State", "0.06", "materials", "210.00", "12.60"), ("City", "0.01", "price", "1000.00", "10.00")],
    )
    assert tax_parts(bill, "USD") == (
        TaxPart(
            rate=Decimal("0.07"),
            lines=lines(("Deck", "126.00"), ("Walk", "84.00")),
            base=Decimal("210.00"),
            tax=Decimal("14.70"),
        ),
        TaxPart(
            rate=Decimal("0.01"),
            lines=lines(("Deck", "474.00"), ("Walk", "316.00")),
            base=Decimal("790.00"),
            tax=Decimal("7.90"),
        ),
    )


def test_without_a_tax_all_of_the_price_bears_nothing():
    bill = agreed([("Deck", "600.00")], [])
    assert tax_parts(bill, "USD") == (
        TaxPart(rate=Decimal(0), lines=bill.lines, base=Decimal("600.00"), tax=Decimal(0)),
    )


def test_two_parts_under_one_rate_are_one():
    # 100 of materials and 200 of labour, both at 5 %: 300 at 5 %, 5.00 + 10.00; 100 bear nothing.
    bill = agreed(
        [("Deck", "400.00")],
        [("Goods", "0.05", "materials", "100.00", "5.00"), ("Work", "0.05", "labour", "200.00", "10.00")],
    )
    assert tax_parts(bill, "USD") == (
        TaxPart(rate=Decimal("0.05"), lines=lines(("Deck", "300.00")), base=Decimal("300.00"), tax=Decimal("15.00")),
        TaxPart(rate=Decimal(0), lines=lines(("Deck", "100.00")), base=Decimal("100.00"), tax=Decimal(0)),
    )


cents = st.integers(-200_000, 500_000).map(lambda cents: Decimal(cents).scaleb(-2))


@given(
    areas=st.lists(cents, min_size=1, max_size=5),
    bases=st.lists(st.tuples(cents, cents, st.sampled_from(["materials", "labour"])), max_size=3),
    city=cents,
)
def test_parts_always_add_up_to_the_bill(
    areas: list[Decimal], bases: list[tuple[Decimal, Decimal, str]], city: Decimal
):
    price = sum(areas, Decimal(0))
    taxes = [TaxShare(name=f"T{n}", rate=Decimal(n) / 100, on=on, base=base, amount=amount)
             for n, (base, amount, on) in enumerate(bases)]  # fmt: skip
    taxes.append(TaxShare(name="City", rate=Decimal("0.01"), on="price", base=price, amount=city))
    bill = Agreed(
        lines=tuple(AreaLine(area=f"A{n}", amount=amount) for n, amount in enumerate(areas)), taxes=tuple(taxes)
    )
    parts = tax_parts(bill, "USD")
    assert sum(part.base for part in parts) == bill.price
    assert sum(part.tax for part in parts) == bill.tax
    assert all(sum(line.amount for line in part.lines) == part.base for part in parts)
    for line in bill.lines:
        assert sum(each.amount for part in parts for each in part.lines if each.area == line.area) == line.amount


def lines(*said: tuple[str, str]) -> tuple[AreaLine, ...]:
    return tuple(AreaLine(area=area, amount=Decimal(amount)) for area, amount in said)
