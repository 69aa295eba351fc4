"""The facts of a bill, as far as a machine reads them: made without a database in microseconds."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from quoting.core.contracts import Agreed, AreaLine, TaxShare
from quoting.documents.billed import figures_of

PLACE = {"street": "14 Alder Court", "town": "Larkmere", "region": "Ohio", "postcode": "43000", "country": "US"}


def agreed(lines: list[tuple[str, str]], taxes: list[tuple[str, str, str, str, str]]) -> Agreed:
    """From texts: areas with sums, taxes with name, rate, on, base and amount."""
    return Agreed(
        lines=tuple(AreaLine(area=area, amount=Decimal(amount)) for area, amount in lines),
        taxes=tuple(
            TaxShare(name=name, rate=Decimal(rate), on=on, base=Decimal(base), amount=Decimal(amount))
            for name, rate, on, base, amount in taxes
        ),
    )


def bill_facts(bill: Agreed, *, prepaid: str = "0.00", **facts: Any) -> dict[str, Any]:
    """The facts of a progress bill of Ferrow & Daughter that says so much."""
    return {
        "kind": "invoice",
        "bill_kind": "progress",
        "number": "2026-088",
        "issued_on": "2026-06-12",
        "due_on": "2026-06-26",
        "currency": "USD",
        "event": "When the colour is on",
        "words": ["Thank you."],
        "folder": "0417",
        "prepaid": prepaid,
        "pay": {"to": ["Larkmere Savings", "Account 555"], "link": "https://example.com/pay", "reference": "2026-088"},
        "late": "",
        "figures": figures_of(bill, "USD"),
        "parties": {
            "seller": {
                "name": "Ferrow & Daughter", "street": "3 Mill Lane", "town": "Larkmere", "region": "Ohio",
                "postcode": "43000", "country": "US", "registration": "Ohio vendor 55-0101", "phone": "555-0101",
                "email": "office@example.com",
            },
            "buyer": {"name": "Mrs A. Wexley", "lines": [], **PLACE},
            "place": PLACE,
        },
    } | facts  # fmt: skip


def credit_facts(bill: Agreed, **facts: Any) -> dict[str, Any]:
    """The facts of a credit note to that bill."""
    of = {"kind": "credit-note", "number": "2026-089", "credits": "2026-088", "credits_on": "2026-06-12",
          "reason": "The walk was left out."}  # fmt: skip
    return bill_facts(bill, **of) | facts
