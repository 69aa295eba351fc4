"""Open invoices against outside figures: the official examples and unit tests of EN 16931 (CEN/TC 434, file of rules
for UBL), rebuilt with the trade's words. The rules themselves are run by `tests/open_rules.py`.
"""

from decimal import Decimal

import pytest
from lxml import etree

from quoting.core.rounding import round_money
from quoting.documents.ubl import ubl_of
from tests.open_rules import broken_names, broken_rules
from tests.sample_bill import agreed, bill_facts, credit_facts

CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
SUMS = ("LineExtensionAmount", "TaxExclusiveAmount", "TaxInclusiveAmount", "PrepaidAmount", "PayableAmount")


@pytest.mark.parametrize(
    ("base", "rate", "tax"),
    [
        ("1460.50", "0.25", "365.13"),  # EN 16931 example 2: half even would give 365.12
        ("-6491.34", "0.25", "-1622.84"),  # BR-CO-17, unit test 2: a half goes away from zero
        ("2141.19", "0.021", "44.96"),  # BR-CO-17, unit test 5: 44.96499; rounded twice it would be 44.97
        ("-25.00", "0", "0.00"),  # BR-CO-17, unit tests 4, 6 and 8
        ("183.23", "0.06", "10.99"),  # EN 16931 example 1
        ("46.37", "0.21", "9.74"),  # EN 16931 example 1
    ],
)
def test_tax_is_rounded_half_up_once(base: str, rate: str, tax: str):
    assert round_money(Decimal(base) * Decimal(rate), "EUR") == Decimal(tax)


@pytest.mark.parametrize(
    ("quantity", "price", "per", "net"),
    [
        ("132", "15.24", "12", "167.64"),  # EN 16931 example 8: price per base quantity
        ("16000", "0.00880", "1", "140.80"),  # EN 16931 example 8: a unit price with five decimals
        ("16000", "0.00101", "1", "16.16"),  # EN 16931 example 8
        ("1", "441.00", "12", "36.75"),  # EN 16931 example 8: a yearly price, one month
        ("1", "678.00", "12", "56.50"),  # EN 16931 example 8
    ],
)
def test_a_line_is_rounded_once(quantity: str, price: str, per: str, net: str):
    assert round_money(Decimal(quantity) * Decimal(price) / Decimal(per), "EUR") == Decimal(net)


def test_example_1_tax_on_the_sum_at_two_rates():
    # 183.23 at 6 % and 46.37 at 21 %: 10.99 + 9.74 = 20.73; 183.23 + 46.37 = 229.60; 229.60 + 20.73 = 250.33
    bill = agreed(
        [("Deck", "229.60")],
        [("A", "0.06", "labour", "183.23", "10.99"), ("B", "0.21", "materials", "46.37", "9.74")],
    )
    content = ubl_of(bill_facts(bill))
    assert broken_rules(content) == []
    assert sums(content) == ["229.60", "229.60", "250.33", "250.33"]
    assert said(content, "TaxAmount") == ["20.73", "9.74", "10.99"]


EXAMPLE_2 = agreed(
    [("Deck", "1461.50"), ("Walk, left out", "-25.00")],
    [("A", "0.25", "labour", "1460.50", "365.13"), ("B", "0.15", "materials", "1.00", "0.15")],
)
"""The allowance and the charge of the example, 100 each, cancel out; our bills have neither."""


def test_example_2_with_a_prepayment():
    # 1,460.50 + 1.00 - 25.00 = 1,436.50; 365.13 + 0.15 + 0.00 = 365.28; 1,801.78 - 1,000.00 = 801.78
    content = ubl_of(bill_facts(EXAMPLE_2, prepaid="1000.00"))
    assert broken_rules(content) == []
    assert sums(content) == ["1436.50", "1436.50", "1801.78", "1000.00", "801.78"]
    assert said(content, "TaxableAmount") == ["1460.50", "1.00", "-25.00"]
    assert said(content, "TaxAmount") == ["365.28", "365.13", "0.15", "0.00"]


def test_what_is_paid_in_full_leaves_nothing_due():
    # BR-CO-16, unit test: 12,829.69 - 12,829.69 = 0
    content = ubl_of(bill_facts(agreed([("Deck", "12829.69")], []), prepaid="12829.69"))
    assert broken_rules(content) == []
    assert sums(content)[-1] == "0.00"


@pytest.mark.parametrize(("one", "other", "net"), [("110.00", "-90.00", "20.00"), ("-110.00", "90.00", "-20.00")])
def test_a_sum_of_lines_with_one_below_nothing(one: str, other: str, net: str):
    # BR-CO-10, unit tests
    content = ubl_of(bill_facts(agreed([("Deck", one), ("Walk", other)], [])))
    assert broken_rules(content) == []
    assert sums(content)[0] == net


def test_a_bill_and_its_credit_note_come_to_nothing():
    # The example of a storno: +720.81 - 720.81 = 0.00 at 19 %; 720.81 × 0.19 = 136.9539, rounded 136.95
    bill = agreed([("Deck", "720.81")], [("A", "0.19", "price", "720.81", "136.95")])
    bills, credits = sums(ubl_of(bill_facts(bill))), sums(ubl_of(credit_facts(bill)))
    assert [Decimal(one) - Decimal(other) for one, other in zip(bills, credits, strict=True)] == [Decimal(0)] * 4


@pytest.mark.parametrize(
    ("base", "rate", "tax"),
    [
        ("1000.00", "0.25", "251.00"),  # BR-CO-17, unit test 9
        ("2141.19", "0.021", "43.91"),  # BR-CO-17, unit test 10
    ],
)
def test_the_rules_refuse_a_tax_that_is_not_the_rate_of_its_base(base: str, rate: str, tax: str):
    content = ubl_of(bill_facts(agreed([("Deck", base)], [("A", rate, "price", base, tax)])))
    assert "BR-CO-17" in broken_names(content)


def test_the_rules_refuse_lines_that_do_not_add_up():
    # BR-CO-10, unit test: 110 + 90 is not 200.01
    content = ubl_of(bill_facts(agreed([("Deck", "110.00"), ("Walk", "90.00")], [])))
    assert "BR-CO-10" in broken_names(content.replace(b">200.00</cbc:LineExt", b">200.01</cbc:LineExt"))


@pytest.mark.parametrize(
    ("tag", "rule"),
    [
        ("TaxExclusiveAmount", "BR-CO-13"),
        ("TaxInclusiveAmount", "BR-CO-15"),
        ("PayableAmount", "BR-CO-16"),
    ],
)
def test_the_rules_refuse_a_sum_that_is_a_cent_off(tag: str, rule: str):
    content = ubl_of(bill_facts(EXAMPLE_2, prepaid="1000.00"))
    tree = etree.fromstring(content)
    one = next(tree.iter(f"{CBC}{tag}"))
    one.text = str(Decimal(one.text or "") + Decimal("0.01"))
    assert rule in broken_names(etree.tostring(tree))


def sums(content: bytes) -> list[str]:
    whole = next(etree.fromstring(content).iter("{*}LegalMonetaryTotal"))
    return [one.text or "" for one in whole if etree.QName(one).localname in SUMS]


def said(content: bytes, tag: str) -> list[str]:
    return [one.text or "" for one in etree.fromstring(content).iter(f"{CBC}{tag}")]
