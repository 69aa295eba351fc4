"""All that stands on a bill of interest, as plain strings: the rule, and how it was reckoned, stretch by stretch."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from quoting.core.contracts import Agreed
from quoting.documents.bill_parties import parties_of
from quoting.documents.billed import figures_of
from quoting.documents.contexts import Facts, day_text, percent_text, sum_text
from quoting.documents.invoices import TITLES, BillStamp, head_facts, pay_facts
from quoting.models import Firm, Invoice, Job


def interest_facts(
    *, firm: Firm, job: Job, late: Invoice, bill: Agreed, interest: Any, was: Decimal, stamp: BillStamp
) -> Facts:
    """The facts of one. `interest` is a services/late_interest.LateInterest; `was` what the late bill came to."""
    currency = firm.currency
    return {
        **head_facts(firm, job, TITLES[Invoice.Kind.INTEREST], stamp, currency),
        "kind": "invoice",
        "bill_kind": Invoice.Kind.INTEREST.value,
        "due_day": day_text(stamp.due_on),
        "due_on": stamp.due_on.isoformat() if stamp.due_on else "",
        "prepaid": "0",
        "event": "",
        "words": [
            f"Invoice {late} of {day_text(late.issued_on)} came to {sum_text(was, currency)} {currency} and was due on "
            f"{day_text(late.due_on)}."
        ],
        "lines": [{"area": line.area, "amount": sum_text(line.amount, currency)} for line in bill.lines],
        "price": sum_text(bill.price, currency),
        "taxes": [],
        "total": sum_text(bill.total, currency),
        "paid": "",
        "due": sum_text(bill.total, currency),
        "account": [],
        "earlier_due": "",
        "rule": rule_words(firm),
        "working": working_facts(interest, currency),
        "pay": pay_facts(firm, stamp.number, bill.total, currency),
        "late": "",
        "figures": figures_of(bill, currency),
        "parties": parties_of(firm, job),
    }


def working_facts(interest: Any, currency: str) -> list[Facts]:
    """Each late stretch: the sum, from when to when, how many days, and its interest."""
    return [
        {
            "amount": sum_text(each.amount, currency),
            "since": day_text(each.since),
            "until": day_text(each.until),
            "paid": "yes" if each.paid else "",
            "days": str(each.days),
            "interest": sum_text(each.interest, currency),
        }
        for each in interest.stretches
    ]


def rule_words(firm: Firm) -> str:
    """The rule by which it is reckoned, so that anybody can reckon it again."""
    rate, year = percent_text(firm.late_rate), firm.late_year_days
    if firm.late_rule == Firm.LateRule.COMPOUNDING:
        return (
            f"The rule: {rate} a year. Up to 30 days sum × rate × days ÷ {year}; longer, the sum grows by a twelfth of "
            f"the rate each whole month, and by days ÷ {year} for the days after it. The day due does not count, the "
            "day of payment does. Each is rounded once, to the cent."
        )
    return (
        f"The rule: {rate} a year; sum × rate × days ÷ {year}. The day due does not count, the day of payment does. "
        "Each is rounded once, to the cent."
    )
