"""All that stands on a statement of account, as plain strings: open bills, how long they have been due, the sum."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from quoting.core.ageing import SPANS, Ageing
from quoting.core.books import from_minor
from quoting.documents.contexts import Facts, day_text, letterhead, lines_of, sheet, sum_text
from quoting.documents.invoices import late_words, signed_text
from quoting.models import Firm


def statement_facts(
    *, firm: Firm, customer: Any, where: str, bills: Sequence[Any], credit: int, owed_back: int, spans: Ageing,
    at: datetime, number: str = "",
) -> Facts:  # fmt: skip
    """The facts of one statement. `bills` are services/statements.OpenBill; `credit`, `owed_back` (given back of
    payments that bounced afterwards) and `spans` are in minor units. Interest that is not billed is told, and not asked
    for. Without a number it is a look at the books, not a paper that was issued.
    """
    currency = firm.currency

    def told(minor: int) -> str:
        return signed_text(from_minor(minor, currency), currency)

    interest = sum((bill.interest for bill in bills), Decimal(0))
    total = from_minor(spans.total + owed_back - credit, currency)
    name = "Statement of account"
    return {
        "format": "1",
        "kind": "statement",
        "name": name,
        "number": number,
        "date": day_text(at),
        "currency": currency,
        "sheet": sheet(firm),
        "firm": letterhead(firm),
        "foot": {
            "firm": firm.name,
            "telephone": firm.phone,
            "paper": f"{name} {number}" if number else name,
            "where": customer.name,
            "date": day_text(at),
        },
        "customer": customer.name,
        "post": lines_of(customer.post_address) or ([where] if where else []),
        "bills": [
            {
                "number": bill.number,
                "place": bill.place,
                "due": day_text(bill.due_on),
                "late": str(bill.late) if bill.late else "",
                "billed": told(bill.billed),
                "left": told(bill.amount),
                "interest": sum_text(bill.interest, currency) if bill.interest else "",
            }
            for bill in bills
        ],
        "interest": sum_text(interest, currency) if interest else "",
        "owed_back": told(owed_back) if owed_back else "",
        "credit": told(-credit) if credit else "",
        "kept": sum_text(from_minor(credit, currency), currency) if credit else "",
        "owing": sum_text(abs(total), currency),
        "total": signed_text(total, currency),
        "asks": "yes" if total > 0 else "",
        "spans": [
            {"words": f"{span} days" if place else span, "amount": told(amount)}
            for place, (span, amount) in enumerate(zip(SPANS, spans.spans, strict=True))
        ],
        "pay": {"to": lines_of(firm.pay_to), "link": firm.pay_link},
        "late": late_words(firm),
    }
