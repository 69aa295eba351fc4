"""Money: all bills by state and search, what is owed and for how long, and a job's money on one page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from quoting.core.ageing import SPANS, Ageing, ageing, ageing_by_customer
from quoting.core.books import Balances, EntryKind, Figure, from_minor
from quoting.documents.ageing import draw_ageing
from quoting.documents.contexts import day_text, sum_text
from quoting.documents.invoices import signed_text
from quoting.models import Invoice, Job, Payment
from quoting.models.invoices import InvoiceQuerySet
from quoting.services.billing import Billing, billing_of
from quoting.services.books import balances_of
from quoting.services.contracts import NoContract, estimated_cost
from quoting.services.owed import Due, dues_of, owed_by
from quoting.services.payments import use_credit as put_credit
from quoting.views.access import find_job, office_only
from quoting.views.mast import the_firm

LONGEST_SEARCH = 200
LEAF = 50
"""Bills on one leaf of the list."""

STATES = {
    "open": "to be paid",
    "overdue": "overdue",
    "paid": "paid",
    "drafted": "drafted",
    "credit": "credit notes",
}
WIDE_PX, NARROW_PX = 670, 350
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
    EntryKind.EARNED: "earned with {}",
}
"""What an entry of the books is called in a long-hand sum; the number of its paper goes in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A bill as a list shows it: its state in a word, and what is due on it."""

    invoice: Invoice
    state: str
    due: Decimal

    @property
    def overdue(self) -> bool:
        return self.state == "overdue"


@office_only
@require_safe
def money(request: HttpRequest) -> HttpResponse:
    """All bills, the newest first, by state and search, leaf by leaf."""
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    state = request.GET.get("state", "")
    state = state if state in STATES else ""
    today, dues = timezone.localdate(), dues_of()
    found = _in_state(Invoice.objects.with_paper().found_by(words), state, dues, today)
    leaf, newer, older = _leaf(found, request.GET.get("after", ""), request.GET.get("before", ""))
    kept = {name: value for name, value in (("q", words), ("state", state)) if value}
    of_all = ageing(owed_by(dues.values()), today)
    currency = the_firm(request).currency
    context = {
        "rows": rows_of(leaf, dues, today, currency),
        "words": words,
        "state": state,
        "state_word": STATES.get(state, ""),
        "states": STATES,
        "newer_url": f"?{urlencode(kept | {'before': leaf[0].pk})}" if newer else "",
        "older_url": f"?{urlencode(kept | {'after': leaf[-1].pk})}" if older else "",
        "narrowed": bool(kept),
        "owed": from_minor(of_all.total, currency),
        "late": from_minor(of_all.late, currency),
        "currency": currency,
    }
    return render(request, "money/list.html", context)


@office_only
@require_safe
def money_owed(request: HttpRequest) -> HttpResponse:
    """What is owed, by customer and in all, and for how long: drawn, and in a table as well."""
    today, currency = timezone.localdate(), the_firm(request).currency
    owed = owed_by(dues_of().values())
    in_all = ageing(owed, today)
    context = {
        "spans": SPANS,
        "customers": [
            {
                "name": name.partition("\n")[0],
                "pk": name.partition("\n")[2],
                "cells": _cells(each, currency),
                "total": _told(each.total, currency),
            }
            for name, each in ageing_by_customer(owed, today)
        ],
        "cells": _cells(in_all, currency),
        "total": _told(in_all.total, currency),
        "late": _told(in_all.late, currency),
        "drawn": _drawn(in_all, currency) if in_all.total else {},
        "currency": currency,
        "today": today,
    }
    return render(request, "money/owed.html", context)


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
    context = {
        "job": job,
        "billing": billing,
        "currency": currency,
        "figures": _figures(job, billing, found, currency),
        "draft": Invoice.objects.filter(job=job, state=Invoice.State.DRAFTED).first(),
        "rows": _bills_of(job, found, currency),
        "payments": _payments_of(job, found, currency),
        "credit": from_minor(max(found.credit.amount, 0), currency),
        "due": from_minor(found.due.amount, currency),
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
    }
    told = {name: _told(each.amount, currency) if each.amount else "" for name, each in sums.items()}
    told |= {name: told[name] or _told(0, currency) for name in ("billed", "paid", "due")}
    accepted = job.standing is not None and job.standing.state == job.standing.State.ACCEPTED
    return {
        "billed": told
        | {"rows": rows, "any": bool(rows or found.paid.made_of), "agreed": accepted, "currency": currency}
    }


def rows_of(invoices: list[Invoice], dues: dict[int, Due], today: date, currency: str) -> list[Row]:
    """Bills as a list shows them."""
    rows = []
    for each in invoices:
        due = dues[each.pk].amount if each.pk in dues else 0
        rows.append(Row(invoice=each, state=state_of(each, due, today), due=from_minor(due, currency)))
    return rows


def state_of(invoice: Invoice, due: int, today: date) -> str:
    """The state of a bill in a word."""
    if invoice.state == Invoice.State.DRAFTED:
        return "drafted"
    if invoice.kind == Invoice.Kind.CREDIT:
        return "issued"
    if due <= 0:
        return "paid"
    return "overdue" if invoice.due_on and invoice.due_on < today else "issued"


def _in_state(found: InvoiceQuerySet, state: str, dues: dict[int, Due], today: date) -> InvoiceQuerySet:
    if state == "drafted":
        return found.filter(state=Invoice.State.DRAFTED)
    if state == "credit":
        return found.issued().filter(kind=Invoice.Kind.CREDIT)
    if state == "paid":
        return found.bills().exclude(pk__in=[pk for pk, due in dues.items() if due.amount > 0])
    if state in ("open", "overdue"):
        late = [
            pk
            for pk, due in dues.items()
            if due.amount > 0 and (state == "open" or (due.due_on and due.due_on < today))
        ]
        return found.bills().filter(pk__in=late)
    return found


def _leaf(found: InvoiceQuerySet, after: str, before: str) -> tuple[list[Invoice], bool, bool]:
    """One leaf by key, and whether there are newer and older ones."""
    key = after or before
    if not (key.isascii() and key.isdigit() and len(key) < 18):
        rows = list(found[: LEAF + 1])
        return rows[:LEAF], False, len(rows) > LEAF
    if after:
        rows = list(found.filter(pk__lt=int(key))[: LEAF + 1])
        return rows[:LEAF], bool(rows), len(rows) > LEAF
    rows = list(found.filter(Q(pk__gt=int(key))).order_by("pk")[: LEAF + 1])
    return rows[:LEAF][::-1], len(rows) > LEAF, bool(rows)


def _cells(of: Ageing, currency: str) -> list[str]:
    return [_told(each, currency) if each else "" for each in of.spans]


def _told(minor: int, currency: str) -> str:
    return signed_text(from_minor(minor, currency), currency)


def _drawn(of: Ageing, currency: str) -> dict[str, Any]:
    """The spans in two widths, with a description that says every figure."""
    rows = [(f"{span} days" if span != "current" else span, each) for span, each in zip(SPANS, of.spans, strict=True)]
    told = [(words, each, _told(each, currency)) for words, each in rows]
    return {
        key: draw_ageing(told, width_px=width, prefix=f"ageing-{key}")
        for key, width in (("wide", WIDE_PX), ("narrow", NARROW_PX))
    }


def _bills_of(job: Job, found: Balances, currency: str) -> list[Row]:
    """The bills and credit notes of a job, in the order in which they were issued."""
    today, rows = timezone.localdate(), []
    for each in Invoice.objects.with_paper().issued().filter(job=job).order_by("pk"):
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
                "amount": _told(each.amount if came else -each.amount, currency),
                "left": _told(sums.left, currency) if came and sums.left else "",
                "bounced": bool(sums.bounced),
            }
        )
    return rows


def _figures(job: Job, billing: Billing | None, found: Balances, currency: str) -> list[dict[str, Any]]:
    """Each figure of a job's money with the long-hand sum that it is made of."""
    rows: list[dict[str, Any]] = []
    if billing:
        contract = billing.contract
        lines = [("+" if n else "", line.area, line.amount) for n, line in enumerate(contract.original.lines)]
        lines += [("+", tax.name, tax.amount) for tax in contract.original.taxes]
        rows.append(_figure("Agreed", contract.original.total, lines, currency, f"as accepted, {contract.paper}"))
        lines = [("+" if n else "", f"change {each.number}", each.of.total) for n, each in enumerate(contract.changes)]
        rows.append(_figure("Changed", contract.changed.total, lines, currency, ""))
        lines = [("", "agreed", contract.original.total), ("+", "changed", contract.changed.total)]
        rows.append(_figure("Contract sum now", contract.now.total, lines, currency, "", strong=True))
    for words, figure, note in (
        ("Billed", found.billed, "less what was credited"),
        ("Paid", found.paid, "less what was given back or bounced"),
        ("Due", found.due, "of the bills, not paid yet"),
        ("Deposits held", found.deposits, "owed to the customer until earned"),
        ("Credit", found.credit, "paid, and on no bill"),
    ):
        rows.append(
            _figure(words, from_minor(figure.amount, currency), _made_of(figure, currency), currency, note,
                    strong=words == "Due")
        )  # fmt: skip
    costs = estimated_cost(job) if billing else []
    if costs:
        lines = [("+" if n else "", name, amount) for n, (name, amount) in enumerate(costs)]
        total = sum((amount for _name, amount in costs), Decimal(0))
        rows.append(_figure("Cost estimated", total, lines, currency, "with overhead, before tax"))
    return rows


def _made_of(figure: Figure, currency: str) -> list[tuple[str, str, Decimal]]:
    """The entries of a figure in words."""
    lines = []
    for n, (entry, minor) in enumerate(figure.made_of):
        words = f"{SAID[entry.kind].format(entry.invoice or entry.paper)}, {day_text(entry.on)}"
        sign = "" if not n else "+" if minor >= 0 else MINUS
        lines.append((sign, words, from_minor(abs(minor) if n else minor, currency)))
    return lines


def _figure(
    words: str, total: Decimal, lines: list[tuple[str, str, Decimal]], currency: str, note: str, *, strong: bool = False
) -> dict[str, Any]:
    told = [(sign, signed_text(amount, currency), label) for sign, label, amount in lines]
    if told:
        told.append(("=", signed_text(total, currency), words.lower()))
    return {"words": words, "figure": signed_text(total, currency), "lines": told, "note": note, "strong": strong}
