"""A bill as a machine reads it: from the facts of its paper alone, and valid by the published rules."""

import pytest
from lxml import etree

from quoting.documents.ubl import NotOpen, ubl_of
from tests.open_rules import broken_rules
from tests.sample_bill import agreed, bill_facts, credit_facts

CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
TWO_TAXES = agreed(
    [("Pool deck", "600.00"), ("Front walk", "375.00")],
    [("State", "0.0625", "materials", "210.33", "13.15"), ("City", "0.01375", "price", "975.00", "13.41")],
)
NO_TAX = agreed([("Pool deck", "600.00")], [])


@pytest.mark.parametrize("kind", ["deposit", "progress", "final", "single"])
def test_every_kind_of_bill_is_valid_by_the_published_rules(kind: str):
    assert broken_rules(ubl_of(bill_facts(TWO_TAXES, prepaid="100.00", bill_kind=kind))) == []


def test_a_credit_note_is_valid_by_the_published_rules():
    assert broken_rules(ubl_of(credit_facts(TWO_TAXES))) == []


def test_a_bill_without_tax_is_valid_by_the_published_rules():
    assert broken_rules(ubl_of(bill_facts(NO_TAX))) == []


def test_a_part_that_is_not_taxed_is_exempt_with_its_reason():
    bill = agreed([("Pool deck", "600.00")], [("State", "0.06", "materials", "200.00", "12.00")])
    content = ubl_of(bill_facts(bill))
    assert broken_rules(content) == []
    assert said(content, "TaxExemptionReason") == ["This part of the price is not taxed."]


def test_a_tax_that_comes_off_again_is_valid_by_the_published_rules():
    # 324.00 was billed before with 24.00 of tax, which a certificate takes off: 700.00 less those 24.00
    bill = agreed([("Pool deck", "700.00")], [("City", "0.08", "price", "-300.00", "-24.00")])
    assert broken_rules(ubl_of(bill_facts(bill))) == []


def test_a_deduction_is_one_taken_away():
    # 600.00 - 100.00 = 500.00
    content = ubl_of(bill_facts(agreed([("Pool deck", "600.00"), ("Front walk", "-100.00")], [])))
    assert broken_rules(content) == []
    assert said(content, "InvoicedQuantity") == ["1", "-1"]
    assert said(content, "PriceAmount") == ["600.00", "100.00"]
    assert said(content, "PayableAmount") == ["500.00"]


def test_a_bill_of_nothing_but_tax_is_valid():
    bill = agreed([], [("State", "0.06", "price", "0.00", "0.01")])
    assert broken_rules(ubl_of(bill_facts(bill))) == []


def test_a_letter_address_takes_the_place_of_the_property():
    facts = bill_facts(NO_TAX)
    facts["parties"]["buyer"] = {
        "name": "Owners of Alder Court", "lines": ["c/o Penn & Co", "PO Box 12", "Larkmere", "43001"], "country": "US",
    }  # fmt: skip
    content = ubl_of(facts)
    assert broken_rules(content) == []
    assert said(content, "Line") == ["Larkmere, 43001"]


def test_the_same_facts_give_the_same_bytes():
    assert ubl_of(bill_facts(TWO_TAXES)) == ubl_of(bill_facts(TWO_TAXES))


def test_each_tax_is_named_in_the_note():
    assert said(ubl_of(bill_facts(TWO_TAXES)), "Note")[0] == (
        "When the colour is on Thank you. State: 6.25 % of 210.33 is 13.15. City: 1.375 % of 975.00 is 13.41."
    )


def test_a_credit_note_names_its_bill_and_why():
    content = ubl_of(credit_facts(NO_TAX))
    assert said(content, "CreditNoteTypeCode") == ["381"]
    assert said(content, "ID")[:2] == ["2026-089", "2026-088"]
    assert said(content, "Note")[0].endswith("The walk was left out. Thank you.")


def test_what_xml_cannot_hold_is_left_out_and_what_it_marks_up_is_escaped():
    content = ubl_of(bill_facts(agreed([("Deck <b>\x07&amp; steps", "5.00")], [])))
    assert broken_rules(content) == []
    assert "Deck <b>&amp; steps" in said(content, "Name")


def test_a_firm_without_a_registration_is_told_so():
    facts = bill_facts(NO_TAX)
    facts["parties"]["seller"]["registration"] = ""
    with pytest.raises(NotOpen, match="neither registration nor licence"):
        ubl_of(facts)


def test_a_paper_that_kept_no_parties_is_refused():
    facts = bill_facts(NO_TAX)
    del facts["parties"]
    with pytest.raises(NotOpen, match="before machine-readable bills"):
        ubl_of(facts)


def said(content: bytes, tag: str) -> list[str]:
    return [(one.text or "").replace("\u00a0", " ") for one in etree.fromstring(content).iter(f"{CBC}{tag}")]
