"""A bill or a credit note in an open standard's words: UBL 2.1 after EN 16931, made from the frozen facts of the paper.

The same facts always give the same bytes, so nothing but the facts is kept. EN 16931 knows one tax, which it calls VAT:
sales taxes stand in its place, the ones that meet on a part of the price added up, and each is named in the note.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from quoting.core.contracts import Agreed
from quoting.core.rounding import round_money
from quoting.core.tax_parts import TaxPart, tax_parts
from quoting.documents.billed import bill_from
from quoting.documents.contexts import percent_text
from quoting.documents.xml_lines import Lines

SPECIFICATION = "urn:cen.eu:en16931:2017"
NAMESPACE = "urn:oasis:names:specification:ubl:schema:xsd:{}-2"
TYPES = {"deposit": "386", "progress": "326", "final": "380", "single": "380", "interest": "380"}
"""Codes of UNTDID 1001: prepayment, partial and commercial invoice."""

CREDIT_NOTE = "381"
SALES_TAX = "TAX"
"""Marks a registration that is no VAT number; EN 16931 reads any other word than VAT so."""

UNIT_ONE = "C62"
"""UN/ECE Recommendation 20: one, of what has no other unit."""

NOT_DEFINED = "1"
"""UNTDID 4461: how it is paid is agreed between the parties."""

ONLY_TAX = "Tax that earlier bills left"
"""The one line of a bill that asks for nothing but tax."""

TAXED, EXEMPT, OUTSIDE = "S", "E", "O"
NO_TAX = "No tax is charged on this work."
NO_TAX_ON_PART = "This part of the price is not taxed."


class NotOpen(Exception):
    """This bill can't be said in the open standard; the sentence says why."""


def ubl_of(facts: Mapping[str, Any]) -> bytes:
    """The XML file of a bill or a credit note, from the facts of its paper. Raises NotOpen."""
    parties = facts.get("parties")
    if not parties:
        raise NotOpen("This paper was issued before machine-readable bills were kept.")
    if not parties["seller"]["registration"]:
        raise NotOpen("The firm had neither registration nor licence when this was issued; the standard wants one.")
    credit = facts["kind"] == "credit-note"
    bill, currency = bill_from(facts["figures"]), facts["currency"]
    parts = tax_parts(bill, currency)
    name = "CreditNote" if credit else "Invoice"
    ours = Lines(NAMESPACE.format(name), name, currency)
    _head(ours, facts, bill, credit=credit)
    _party(ours.into("AccountingSupplierParty"), parties["seller"], parts)
    _party(ours.into("AccountingCustomerParty"), parties["buyer"], ())
    _address(ours.into("Delivery").into("DeliveryLocation"), "Address", parties["place"])
    _payment(ours, facts, credit=credit)
    _taxes(ours, bill, parts)
    prepaid = Decimal(facts.get("prepaid") or 0)
    _sums(ours, bill, prepaid)
    said = [(part, line.area, line.amount) for part in parts for line in part.lines]
    for number, (part, area, amount) in enumerate(said or [(parts[0], ONLY_TAX, bill.price)], start=1):
        _line(ours, number, area, amount, part, parts, credit=credit)
    return ours.bytes()


def _head(ours: Lines, facts: Mapping[str, Any], bill: Agreed, *, credit: bool) -> None:
    """What kind of document, its number, its days, what it says in words, and what it belongs to."""
    ours.say("CustomizationID", SPECIFICATION)
    ours.say("ID", facts["number"])
    ours.say("IssueDate", facts["issued_on"])
    if credit:
        ours.say("CreditNoteTypeCode", CREDIT_NOTE)
    else:
        ours.say("DueDate", facts["due_on"])
        ours.say("InvoiceTypeCode", TYPES[facts["bill_kind"]])
    ours.say("Note", _note(facts, bill))
    ours.say("DocumentCurrencyCode", facts["currency"])
    ours.say("BuyerReference", facts["folder"])
    if credit:
        named = ours.into("BillingReference").into("InvoiceDocumentReference")
        named.say("ID", facts["credits"])
        named.say("IssueDate", facts["credits_on"])


def _note(facts: Mapping[str, Any], bill: Agreed) -> str:
    said = [facts.get("event", ""), facts.get("reason", ""), *facts.get("words", ()), *facts.get("exempt", ())]
    for tax in bill.taxes:
        said.append(f"{tax.name}: {percent_text(tax.rate)} of {tax.base:f} is {tax.amount:f}.")
    return " ".join(each for each in said if each)


def _party(ours: Lines, party: Mapping[str, Any], parts: tuple[TaxPart, ...]) -> None:
    one = ours.into("Party")
    one.into("PartyName").say("Name", party["name"])
    _address(one, "PostalAddress", party)
    registration = party.get("registration", "")
    if registration and any(part.rate for part in parts):
        scheme = one.into("PartyTaxScheme")
        scheme.say("CompanyID", registration)
        scheme.into("TaxScheme").say("ID", SALES_TAX)
    legal = one.into("PartyLegalEntity")
    legal.say("RegistrationName", party["name"])
    legal.say("CompanyID", registration)
    if party.get("phone") or party.get("email"):
        contact = one.into("Contact")
        contact.say("Name", party["name"])
        contact.say("Telephone", party.get("phone", ""))
        contact.say("ElectronicMail", party.get("email", ""))


def _address(ours: Lines, tag: str, party: Mapping[str, Any]) -> None:
    """An address in its pieces, or in the lines in which it was written down."""
    at = ours.into(tag)
    lines = party.get("lines") or []
    at.say("StreetName", lines[0] if lines else party.get("street", ""))
    at.say("AdditionalStreetName", lines[1] if len(lines) > 1 else "")
    at.say("CityName", party.get("town", ""))
    at.say("PostalZone", party.get("postcode", ""))
    at.say("CountrySubentity", party.get("region", ""))
    if len(lines) > 2:
        at.into("AddressLine").say("Line", ", ".join(lines[2:]))
    at.into("Country").say("IdentificationCode", party["country"])


def _payment(ours: Lines, facts: Mapping[str, Any], *, credit: bool) -> None:
    """How it is paid: the reference, and the firm's own account or page in words."""
    if credit:
        ours.into("PaymentTerms").say("Note", "Put on the customer’s account; nothing is to be paid on this paper.")
        return
    pay = facts["pay"]
    means = ours.into("PaymentMeans")
    told = ", ".join(each for each in (*pay["to"], pay["link"]) if each)
    means.say("PaymentMeansCode", NOT_DEFINED, **({"name": told} if told else {}))
    means.say("PaymentID", pay["reference"])
    ours.into("PaymentTerms").say("Note", " ".join(each for each in (f"Due {facts['due_on']}.", facts["late"]) if each))


def _taxes(ours: Lines, bill: Agreed, parts: tuple[TaxPart, ...]) -> None:
    total = ours.into("TaxTotal")
    total.money("TaxAmount", bill.tax)
    for part in parts:
        sub = total.into("TaxSubtotal")
        sub.money("TaxableAmount", part.base)
        sub.money("TaxAmount", part.tax)
        _category(sub, "TaxCategory", part, parts, why=True)


def _category(ours: Lines, tag: str, part: TaxPart, parts: tuple[TaxPart, ...], *, why: bool = False) -> None:
    code = TAXED if part.rate else EXEMPT if any(each.rate for each in parts) else OUTSIDE
    category = ours.into(tag)
    category.say("ID", code)
    if code != OUTSIDE:
        category.say("Percent", f"{(part.rate * 100).normalize():f}")
    if why and code != TAXED:
        category.say("TaxExemptionReason", NO_TAX if code == OUTSIDE else NO_TAX_ON_PART)
    category.into("TaxScheme").say("ID", "VAT")


def _sums(ours: Lines, bill: Agreed, prepaid: Decimal) -> None:
    sums = ours.into("LegalMonetaryTotal")
    sums.money("LineExtensionAmount", bill.price)
    sums.money("TaxExclusiveAmount", bill.price)
    sums.money("TaxInclusiveAmount", bill.total)
    if prepaid:
        sums.money("PrepaidAmount", prepaid)
    sums.money("PayableAmount", bill.total - prepaid)


def _line(
    ours: Lines, number: int, area: str, amount: Decimal, part: TaxPart, parts: tuple[TaxPart, ...], *, credit: bool
) -> None:
    """One area, or what of it stands under one rate. A deduction is one taken away: the standard has no prices below
    nothing."""
    line = ours.into("CreditNoteLine" if credit else "InvoiceLine")
    line.say("ID", str(number))
    line.say("CreditedQuantity" if credit else "InvoicedQuantity", "-1" if amount < 0 else "1", unitCode=UNIT_ONE)
    line.money("LineExtensionAmount", amount)
    item = line.into("Item")
    if len(parts) > 1:
        item.say("Description", f"What of it bears {percent_text(part.rate)} of tax" if part.rate else NO_TAX_ON_PART)
    item.say("Name", area)
    _category(item, "ClassifiedTaxCategory", part, parts)
    line.into("Price").money("PriceAmount", abs(round_money(amount, ours.currency)))
