"""A job's money on one page, from agreed to paid and what it costs; each figure opens to what it is made of."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from quoting.core.books import Balances, EntryKind, Figure, from_minor
from quoting.documents.contexts import day_text, sum_text
from quoting.documents.invoices import signed_text
from quoting.models import Invoice, Job, Payment
from quoting.models.invoices import InvoiceQuerySet
from quoting.services.billing import Billing, billing_of
from quoting.services.books import balances_of
from quoting.services.contracts import NoContract, estimated_cost
from quoting.services.payments import use_credit as put_credit
from quoting.views.access import find_job, office_only
from quoting.views.books import Row, state_of, told
from quoting.views.exemptions import offered_for
from quoting.views.mast import the_firm

MINUS = "\u2212"
SAID = {
    EntryKind.AGREED: "{} accepted",
    EntryKind.CHANGED: "change {} accepted",
    EntryKind.BILLED: "{} billed",
    EntryKind.CREDITED: "{} credited",
    EntryKind.RECEIVED: "payment received",
    EntryKind.REFUNDED: "given back",
    EntryKind.BOUNCED: "payment bounced",
    EntryKind.SPREAD: "paid on {}",
    EntryKind.MOVED: "put on what was given back of a payment that bounced",
    EntryKind.EARNED: "earned with {}",
}
"""What an entry of the books is called in a long-hand sum; the number of its paper goes in."""

TAXES_OFF = "taxes taken off by a certificate"


@office_only
@require_safe
def job_money(request: HttpRequest, number: str) -> HttpResponse:
    """A job's money on one page: agreed, changed, billed, paid, due, cost estimated; each figure opens to its sum."""
    job = find_job(request.user, number)
    try:
        billing: Billing | None = billing_of(job)
    except NoContract:
        billing = None
    found = billing.balances if billing else balances_of(job)
    currency = billing.contract.currency if billing else the_firm(request).currency
    rows = _bills_of(job, found, currency)
    context = {
        "job": job,
        "billing": billing,
        "currency": currency,
        "figures": _figures(job, billing, found, currency),
        "exemptions": offered_for(job) if billing else [],
        "parts": _parts(billing) if billing else [],
        "in_all": _parts_in_all(billing, rows) if billing else {},
        "draft": Invoice.objects.filter(job=job, state=Invoice.State.DRAFTED).first(),
        "rows": rows,
        "payments": _payments_of(job, found, currency),
        "credit": from_minor(max(found.credit.amount, 0), currency),
        "due": from_minor(found.due.amount + found.owed_back.amount, currency),
        "over": from_minor(0, currency) - billing.left if billing and billing.left < 0 else None,
    }
    return render(request, "money/job.html", context)


@office_only
@require_POST
def use_credit(request: HttpRequest, number: str) -> HttpResponse:
    """Put the customer's credit on the bills that are due."""
    job = find_job(request.user, number)
    used = put_credit(job=job, by=request.user)  # type: ignore[arg-type]
    currency = the_firm(request).currency
    messages.success(
        request,
        f"{sum_text(from_minor(used, currency), currency)} was put on the oldest bills." if used else "Nothing to put.",
    )
    return redirect("job-money", number=number)


def billed_in(job: Job, currency: str) -> dict[str, Any]:
    """What the folder's page shows under Billed: two queries, whatever was billed."""
    found = balances_of(job)
    rows = _bills_of(job, found, currency)
    sums = {
        "billed": found.billed,
        "paid": found.paid,
        "due": found.due,
        "held": found.deposits,
        "credit": found.credit,
        "owed_back": found.owed_back,
    }
    always = ("billed", "paid", "due")
    said = {name: told(each.amount, currency) if each.amount or name in always else "" for name, each in sums.items()}
    accepted = job.standing is not None and job.standing.state == job.standing.State.ACCEPTED
    return {
        "billed": said
        | {"rows": rows, "any": bool(rows or found.paid.made_of), "agreed": accepted, "currency": currency}
    }


def _rows_of(job: Job) -> InvoiceQuerySet:
    """Issued bills and credit notes, with the number of the bill that a note takes back, without bytes."""
    found = Invoice.objects.with_paper().issued().filter(job=job).select_related("credits__paper")
    return found.defer("paper__pdf", "paper__facts", "credits__paper__pdf", "credits__paper__facts").order_by("pk")


def _bills_of(job: Job, found: Balances, currency: str) -> list[Row]:
    """The bills and credit notes of a job, in the order in which they were issued."""
    today, rows = timezone.localdate(), []
    for each in _rows_of(job):
        due = found.invoice(str(each)).due if each.kind != Invoice.Kind.CREDIT else 0
        rows.append(Row(invoice=each, state=state_of(each, due, today), due=from_minor(due, currency)))
    return rows


def _payments_of(job: Job, found: Balances, currency: str) -> list[dict[str, Any]]:
    """What came in, with what of it is on no bill; refunds and bounced ones below nothing."""
    rows = []
    for each in Payment.objects.filter(job=job).select_related("entered_by").order_by("on", "pk"):
        came = each.kind == Payment.Kind.RECEIVED
        sums = found.payment(str(each.pk))
        rows.append(
            {
                "row": each,
                "amount": told(each.amount if came else -each.amount, currency),
                "left": told(sums.left, currency) if came and sums.left else "",
                "bounced": bool(sums.bounced),
            }
        )
    return rows


def _figures(job: Job, billing: Billing | None, found: Balances, currency: str) -> list[dict[str, Any]]:
    """Each figure of a job's money with the long-hand sum that it is made of."""
    rows = _agreed(billing, currency) if billing else []
    for words, figure, note, always in (
        ("Billed", found.billed, "less what was credited", True),
        ("Paid", found.paid, "less what was given back or bounced", True),
        ("Due", found.due, "of the bills, not paid yet", True),
        ("Owed back", found.owed_back, "given back of a payment that bounced afterwards; due beside the bills", False),
        ("Deposits held", found.deposits, "owed to the customer until earned", True),
        ("Credit", found.credit, "paid, and on no bill", True),
    ):
        if always or figure.amount:
            total, lines = from_minor(figure.amount, currency), _made_of(figure, currency)
            rows.append(_figure(words, total, lines, currency, note, strong=words == "Due"))
    if costs := estimated_cost(job) if billing else []:
        lines = _signed([(name, amount) for name, amount in costs])
        total = sum((amount for _name, amount in costs), Decimal(0))
        rows.append(_figure("Cost estimated", total, lines, currency, "with overhead, before tax"))
    return rows


def _agreed(billing: Billing, currency: str) -> list[dict[str, Any]]:
    """As accepted, what changed, and what stands now."""
    contract = billing.contract
    lines = [(line.area, line.amount) for line in contract.original.lines]
    lines += [(tax.name, tax.amount) for tax in contract.original.taxes]
    note = f"as accepted, {contract.paper}"
    rows = [_figure("Agreed", contract.original.total, _signed(lines), currency, note)]
    lines = [(f"change {each.number}", each.of.total) for each in contract.changes]
    lines += [(f"taxes taken off: {each.by}", each.of.total) for each in contract.taxes_off]
    rows.append(_figure("Changed", contract.changed.total, _signed(lines), currency, ""))
    lines = [("agreed", contract.original.total), ("changed", contract.changed.total)]
    rows.append(_figure("Contract sum now", contract.now.total, _signed(lines), currency, "", strong=True))
    return rows


def _parts(billing: Billing) -> list[dict[str, Any]]:
    """The payments agreed, each figure with what it is made of: the changes on it, and the bills that fill it."""
    rows, earlier, currency = [], Decimal(0), billing.contract.currency
    for part in billing.parts:
        amount = _figure("in all", part.amount, _signed(list(part.made_of)), currency, "")
        if not part.billed:
            lines: list[tuple[str, Decimal]] = []
        elif part.billed == part.amount:
            lines = [("all of it: bills go on the payments in their order", part.billed)]
        else:
            lines = [("billed in all, less what was credited", billing.before.total)]
            lines += [("for the payments before it", -earlier)] if earlier else []
        left = _signed([("agreed", part.amount), ("billed", -part.billed)]) if part.billed else []
        rows.append(
            {
                "part": part,
                "amount": amount if len(part.made_of) > 1 else amount | {"lines": []},
                "billed": _figure("billed", part.billed, _signed(lines), currency, ""),
                "left": _figure("left", part.left, left, currency, ""),
            }
        )
        earlier += part.amount
    return rows


def _parts_in_all(billing: Billing, bills: list[Row]) -> dict[str, Any]:
    """The last row of the payments: what is agreed, billed and left in all."""
    contract, currency = billing.contract, billing.contract.currency
    agreed = [(part.name, part.amount) for part in billing.parts]
    counted = [row.invoice for row in bills if not _is_interest(row.invoice)]
    billed = [(str(each), -each.amount if each.kind == Invoice.Kind.CREDIT else each.amount) for each in counted]
    left = [("contract sum now", contract.now.total), ("billed", -billing.before.total)]
    return {
        "amount": _figure("contract sum now", contract.now.total, _signed(agreed), currency, ""),
        "billed": _figure("billed", billing.before.total, _signed(billed), currency, ""),
        "left": _figure("left", billing.left, _signed(left), currency, ""),
    }


def _is_interest(invoice: Invoice) -> bool:
    """Whether it bills interest, or takes such a bill back: interest is no part of the contract."""
    return Invoice.Kind.INTEREST in (invoice.kind, invoice.credits.kind if invoice.credits else "")


def _made_of(figure: Figure, currency: str) -> list[tuple[str, str, Decimal]]:
    """The entries of a figure in words."""
    lines = []
    for entry, minor in figure.made_of:
        taxes_off = entry.kind is EntryKind.CHANGED and "-C" not in entry.paper
        words = TAXES_OFF if taxes_off else SAID[entry.kind].format(entry.invoice or entry.paper)
        lines.append((f"{words}, {day_text(entry.on)}", from_minor(minor, currency)))
    return _signed(lines)


def _signed(lines: list[tuple[str, Decimal]]) -> list[tuple[str, str, Decimal]]:
    """Lines of a long-hand sum: the first as it is, the others with their operator."""
    return [
        ("" if not n else "+" if amount >= 0 else MINUS, words, abs(amount) if n else amount)
        for n, (words, amount) in enumerate(lines)
    ]


def _figure(
    words: str, total: Decimal, lines: list[tuple[str, str, Decimal]], currency: str, note: str, *, strong: bool = False
) -> dict[str, Any]:
    shown = [(sign, signed_text(amount, currency), label) for sign, label, amount in lines]
    if shown:
        shown.append(("=", signed_text(total, currency), words.lower()))
    return {"words": words, "figure": signed_text(total, currency), "lines": shown, "note": note, "strong": strong}
