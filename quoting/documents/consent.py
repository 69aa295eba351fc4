"""The words that a homeowner agrees to: consent to electronic records, and what a yes means; each with a version.

The consent says what 15 U.S.C. 7001(c)(1) asks for: paper instead, taking the consent back and what that costs, what it
covers, how to do so and how to change the address, how to get a paper copy, and what machine is needed; it is confirmed
in a way that shows that the paper could be opened. A dated starting point, to be checked by the firm's adviser; never
advice. A changed wording gets a new version: what was agreed to is kept word for word with each acceptance.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from quoting.documents.agreed import Agreed
from quoting.documents.contexts import listed, sum_text

CONSENT_VERSION = "2 of November 2026"
INTENT_VERSION = "1 of November 2026"


def consent_text(facts: Mapping[str, Any]) -> str:
    """What the homeowner agrees to before he signs on the page; paragraphs parted by an empty line."""
    firm = facts["firm"]
    change = facts.get("kind") == "change-order"
    signs, covers = ("change orders", "this change order") if change else ("proposals", "this proposal")
    reach = listed(each for each in (firm["email"], firm["phone"], firm["address"]) if each) or "the address above"
    return "\n\n".join((
        f"I agree to get papers about this work from {firm['name']} electronically, on this page and by mail, and to "
        f"sign {signs} on this page.",
        "On paper instead: I may have everything on paper, and sign there, by asking for it. A paper copy of anything "
        f"that I get or sign electronically comes free of charge when I ask for it: {reach}.",
        f"What it covers: {covers}, its acceptance, and the papers of the same work: notices, changes, invoices "
        "and receipts. It covers no other work.",
        f"Taking it back: I may take this back at any time, free of charge, by writing or ringing: {reach}. What was "
        "signed before stays signed, and everything after it comes on paper. To change the address that mail goes "
        "to, I say so in the same way.",
        "What I need: a phone, tablet or computer with a web browser of the last few years, a program that shows PDF "
        "files, a mail address, and room to keep the files or a printer.",
        "That I can read such papers I have shown by opening the paper and writing down how many pages it has.",
        f"Wording {CONSENT_VERSION}.",
    ))  # fmt: skip


def intent_text(facts: Mapping[str, Any], agreed: Agreed) -> str:
    """What saying yes means, with the choice and its sum; or with the change and what the contract comes to."""
    if facts.get("kind") == "change-order":
        return (
            f"I accept change order {agreed.paper} of {facts['date']}, {facts['title']}, for "
            f"{sum_text(agreed.total, agreed.currency)} {agreed.currency} in all; the contract sum is then "
            f"{facts['sums'][-1]['amount']}. My name below is my signature. Wording {INTENT_VERSION}."
        )
    choice = f"option {agreed.option}, {agreed.names[0]}" if facts.get("several") else agreed.names[0]
    extras = f", with {listed(agreed.names[1:])}" if len(agreed.names) > 1 else ""
    read = ", and I have read what to expect" if facts.get("expectations") else ""
    return (
        f"I accept proposal {agreed.paper} of {facts['date']} with {choice}{extras}, for "
        f"{sum_text(agreed.total, agreed.currency)} {agreed.currency} in all{read}. My name below is my signature. "
        f"Wording {INTENT_VERSION}."
    )
