"""Sales and tax by region and tax, as a return wants them."""

from decimal import Decimal

from quoting.core.contracts import negative
from quoting.core.sales_tax import Sold, TaxLine, tax_lines, untaxed
from tests.sample_bill import agreed

PATIO = agreed(
    [("Patio", "1000.00")],
    [("City", "0.01", "price", "1000.00", "10.00"), ("State", "0.06", "materials", "200.00", "12.00")],
)
CHURCH = agreed([("Walk", "500.00")], [])


def test_a_tax_on_the_price_and_one_on_the_materials():
    # Of 1,000.00 the state taxes 200.00; 800.00 is exempt, and says why.
    assert tax_lines([Sold(bill=PATIO, region="Ohio")]) == (
        TaxLine(region="Ohio", name="City", rate=Decimal("0.01"), sales=Decimal("1000.00"),
                taxable=Decimal("1000.00"), tax=Decimal("10.00")),
        TaxLine(region="Ohio", name="State", rate=Decimal("0.06"), sales=Decimal("1000.00"),
                taxable=Decimal("200.00"), tax=Decimal("12.00"),
                reasons=(("only the materials’ share is taxed", Decimal("800.00")),)),
    )  # fmt: skip


def test_what_a_certificate_exempts_says_its_number():
    # 1,000.00 and 500.00 sold; the city taxes the first only.
    city = tax_lines([Sold(bill=PATIO), Sold(bill=CHURCH, exempt_by="certificate 12-7")])[0]
    assert (city.sales, city.taxable, city.exempt) == (Decimal("1500.00"), Decimal("1000.00"), Decimal("500.00"))
    assert city.reasons == (("certificate 12-7", Decimal("500.00")),)


def test_what_was_credited_is_taken_off():
    # 1,000.00 - 1,000.00
    lines = tax_lines([Sold(bill=PATIO), Sold(bill=negative(PATIO))])
    assert [(line.sales, line.taxable, line.exempt, line.tax, line.reasons) for line in lines] == [
        (Decimal("0.00"), Decimal("0.00"), Decimal("0.00"), Decimal("0.00"), ()),
        (Decimal("0.00"), Decimal("0.00"), Decimal("0.00"), Decimal("0.00"), ()),
    ]


def test_regions_stay_apart_and_one_without_a_tax_is_told_by_itself():
    sold = [Sold(bill=PATIO, region="Ohio"), Sold(bill=CHURCH, region="Oregon")]
    assert [(line.region, line.name, line.sales) for line in tax_lines(sold)] == [
        ("Ohio", "City", Decimal("1000.00")),
        ("Ohio", "State", Decimal("1000.00")),
    ]
    assert untaxed(sold) == (("Oregon", "no such tax was agreed", Decimal("500.00")),)


def test_nothing_sold_has_no_lines():
    assert (tax_lines([]), untaxed([])) == ((), ())
