"""All that stands on a bill or a credit note, as plain strings: the templates print from these alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from quoting.core.contracts import Agreed, ContractSum, TaxShare
from quoting.documents.bill_parties import parties_of
from quoting.documents.billed import figures_of
from quoting.documents.contexts import Facts, day_text, letterhead, lines_of, percent_text, sheet, sum_text
from quoting.documents.pay_code import pay_code
from quoting.models import Firm, Invoice, Job

Kind = Invoice.Kind
TITLES = {
    Kind.DEPOSIT: "Deposit invoice",
    Kind.PROGRESS: "Progress invoice",
    Kind.FINAL: "Final invoice",
    Kind.SINGLE: "Invoice",
    Kind.INTEREST: "Interest invoice",
    Kind.CREDIT: "Credit note",
}
TAXED = {"price": "the price", "materials": "the materials’ share", "labour": "the labour’s share", "none": "nothing"}


@dataclass(frozen=True, slots=True, kw_only=True)
class BillStamp:
    """What a bill is called, and when it is issued and due."""

    number: str
    issued_at: datetime
    due_on: date | None = None
    is_draft: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Where the job stands beside this paper, in the contract's currency: what was billed before it, what of it is paid
    already from a credit, what earlier bills still ask for, and what is paid in all."""

    contract: ContractSum
    before: Decimal
    paid_on_it: Decimal
    earlier_due: Decimal
    paid: Decimal


def invoice_facts(
    *, firm: Firm, job: Job, invoice: Invoice, bill: Agreed, account: Account, stamp: BillStamp,
    exempt: Sequence[str] = (),
) -> Facts:  # fmt: skip
    """The facts of one bill; `exempt` says by which certificates tax is not charged."""
    currency = account.contract.currency
    due = bill.total - account.paid_on_it
    return {
        **head_facts(firm, job, TITLES[Kind(invoice.kind)], stamp, currency),
        "kind": "invoice",
        "bill_kind": invoice.kind,
        "due_day": day_text(stamp.due_on),
        "due_on": stamp.due_on.isoformat() if stamp.due_on else "",
        "prepaid": f"{account.paid_on_it:f}",
        "event": invoice.event,
        "words": lines_of(invoice.words),
        "exempt": list(exempt),
        "lines": [{"area": line.area, "amount": signed_text(line.amount, currency)} for line in bill.lines],
        "price": signed_text(bill.price, currency),
        "taxes": [tax_line(tax, currency) for tax in bill.taxes],
        "total": sum_text(bill.total, currency),
        "paid": sum_text(account.paid_on_it, currency) if account.paid_on_it else "",
        "due": sum_text(due, currency),
        "settled": "" if due > 0 else "yes",
        "account": _account(account, bill.total),
        "earlier_due": sum_text(account.earlier_due, currency) if account.earlier_due else "",
        "pay": pay_facts(firm, stamp.number, due, currency),
        "late": late_words(firm),
        "figures": figures_of(bill, currency),
        "parties": parties_of(firm, job),
    }


def credit_facts(
    *, firm: Firm, job: Job, credited: Invoice, reason: str, bill: Agreed, account: Account, left: Decimal,
    stamp: BillStamp,
) -> Facts:  # fmt: skip
    """The facts of one credit note; `left` is what the bill that it names still comes to."""
    currency = account.contract.currency
    return {
        **head_facts(firm, job, TITLES[Kind.CREDIT], stamp, currency),
        "kind": "credit-note",
        "credits": str(credited),
        "credits_date": day_text(credited.issued_on),
        "credits_on": credited.issued_on.isoformat() if credited.issued_on else "",
        "reason": reason,
        "lines": [{"area": line.area, "amount": signed_text(line.amount, currency)} for line in bill.lines],
        "price": signed_text(bill.price, currency),
        "taxes": [tax_line(tax, currency) for tax in bill.taxes],
        "total": sum_text(bill.total, currency),
        "left": sum_text(left, currency),
        "account": [] if credited.kind == Kind.INTEREST else _account(account, -bill.total),
        "figures": figures_of(bill, currency),
        "parties": parties_of(firm, job),
    }


def tax_line(tax: TaxShare, currency: str) -> Facts:
    """A tax by rate and base, as a bill tells it."""
    return {
        "words": f"{tax.name}, {percent_text(tax.rate)} on {TAXED.get(tax.on, tax.on)}",
        "base": signed_text(tax.base, currency),
        "amount": signed_text(tax.amount, currency),
    }


def pay_facts(firm: Firm, number: str, due: Decimal, currency: str) -> Facts:
    """How a bill is paid: the firm's own account or page, the reference, and a code of either. Never a card's data."""
    if due <= 0:
        return {"to": [], "link": "", "reference": number, "code": {}}
    to = lines_of(firm.pay_to)
    told = "\n".join([*to, f"{sum_text(due, currency)} {currency}", number]) if to else ""
    words = "Code of the page where this is paid" if firm.pay_link else "Code of the bank details, sum and reference"
    return {
        "to": to,
        "link": firm.pay_link,
        "link_words": firm.pay_link.removeprefix("https://").removeprefix("http://").rstrip("/"),
        "reference": number,
        "code": pay_code(firm.pay_link or told, words),
    }


def late_words(firm: Firm) -> str:
    """What the firm asks for when it is paid late; nothing where it asks for nothing, as by default."""
    if firm.late_rule == Firm.LateRule.OFF or not firm.late_rate:
        return ""
    how = "by days" if firm.late_rule == Firm.LateRule.SIMPLE else "compounding by months"
    return f"On what is paid after that day we reckon interest of {percent_text(firm.late_rate)} a year, {how}."


def head_facts(firm: Firm, job: Job, name: str, stamp: BillStamp, currency: str) -> Facts:
    """What every paper about money begins with."""
    customer = job.property.customer
    return {
        "format": "1",
        "name": name,
        "number": stamp.number,
        "draft": "yes" if stamp.is_draft else "",
        "date": day_text(stamp.issued_at),
        "issued_at": stamp.issued_at.isoformat(timespec="microseconds"),
        "issued_on": timezone.localdate(stamp.issued_at).isoformat(),
        "currency": currency,
        "sheet": sheet(firm),
        "firm": letterhead(firm),
        "foot": {
            "firm": firm.name,
            "telephone": firm.phone,
            "paper": f"Draft of {name.lower()} {stamp.number}" if stamp.is_draft else f"{name} {stamp.number}",
            "where": job.property.street,
            "date": day_text(stamp.issued_at),
        },
        "folder": job.number,
        "place": job.property.street,
        "where": ", ".join(job.property.address_lines[1:]),
        "customer": customer.name,
        "post": lines_of(customer.post_address),
    }


def _account(account: Account, this: Decimal) -> list[Facts]:
    """The contract and what was billed of it, line by line; sums below nothing are deductions and credits."""
    contract, currency = account.contract, account.contract.currency
    now, after = contract.now.total, account.before + this
    first = f"Contract {contract.paper}, as accepted" if contract.paper else "Nothing stands agreed any more"
    rows: list[tuple[str, Decimal, str]] = [(first, contract.original.total, "")]
    for change in contract.changes:
        title = f": {change.title}" if change.title else ""
        rows.append((f"Change {change.number}{title}", change.of.total, ""))
    rows += [(f"Tax taken off: {each.by}", each.of.total, "") for each in contract.taxes_off]
    if contract.changes or contract.taxes_off:
        rows.append(("Contract sum now", now, "line"))
    rows += [
        ("Billed before", account.before, ""),
        ("This invoice" if this >= 0 else "This credit note", this, ""),
        ("Billed after it", after, "line"),
        *([("Left to bill", now - after, "")] if contract.paper else []),
        ("Paid so far", account.paid, ""),
    ]
    return [{"words": words, "amount": signed_text(amount, currency), "line": line} for words, amount, line in rows]


def signed_text(amount: Decimal, currency: str) -> str:
    """A sum with a true minus."""
    return sum_text(amount, currency).replace("-", "\u2212")
