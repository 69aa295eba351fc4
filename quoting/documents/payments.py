"""All that stands on a receipt, as plain strings."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from quoting.core.books import Balances, from_minor
from quoting.core.contracts import ContractSum
from quoting.documents.contexts import Facts, day_text, listed, sum_text
from quoting.documents.invoices import BillStamp, head_facts, signed_text
from quoting.models import Firm, Job, Payment


def receipt_facts(
    *,
    firm: Firm,
    job: Job,
    payment: Payment,
    put_on: Sequence[tuple[str, Decimal]],
    moved: Decimal,
    balances: Balances,
    contract: ContractSum | None,
    stamp: BillStamp,
    amount: Decimal,
    folders: Sequence[str],
) -> Facts:
    """The facts of one receipt: what came in, what it was put on, and where its folders stand with it; `moved` is what
    of it went on a refund of a payment that bounced, `amount` the whole of it, and `folders` those it went over."""
    currency = payment.currency
    credit = amount - sum((each for _number, each in put_on), moved)

    def told(minor: int) -> str:
        return signed_text(from_minor(minor, currency), currency)

    return {
        **head_facts(firm, job, "Receipt", stamp, currency),
        "kind": "receipt",
        "received": day_text(payment.on),
        "method": payment.get_method_display(),
        "reference": payment.reference,
        "amount": sum_text(amount, currency),
        "put_on": [{"number": number, "amount": sum_text(each, currency)} for number, each in put_on],
        "moved": sum_text(moved, currency) if moved else "",
        "credit": sum_text(credit, currency) if credit else "",
        "folders": listed(folders) if len(folders) > 1 else "",
        "account": [
            *([{"words": "Contract sum now", "amount": sum_text(contract.now.total, currency)}] if contract else []),
            {"words": "Billed so far", "amount": told(balances.billed.amount)},
            {"words": "Paid so far", "amount": told(balances.paid.amount)},
            {"words": "Still to pay on bills", "amount": told(balances.due.amount)},
        ],
        "deposits": told(balances.deposits.amount) if balances.deposits.amount else "",
    }
