"""Money: all bills by state and search, what is owed and for how long, and a job's money on one page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from quoting.core.ageing import SPANS, Ageing, ageing, ageing_by_customer
from quoting.core.books import from_minor
from quoting.documents.ageing import draw_ageing
from quoting.documents.invoices import signed_text
from quoting.models import Invoice
from quoting.models.invoices import InvoiceQuerySet
from quoting.services.owed import Due, dues_of, owed_by
from quoting.views.access import office_only
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
                "total": told(each.total, currency),
            }
            for name, each in ageing_by_customer(owed, today)
        ],
        "cells": _cells(in_all, currency),
        "total": told(in_all.total, currency),
        "late": told(in_all.late, currency),
        "drawn": _drawn(in_all, currency) if in_all.total else {},
        "currency": currency,
        "today": today,
    }
    return render(request, "money/owed.html", context)


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
    return [told(each, currency) if each else "" for each in of.spans]


def told(minor: int, currency: str) -> str:
    """Minor units as a sum that is read, with a true minus."""
    return signed_text(from_minor(minor, currency), currency)


def _drawn(of: Ageing, currency: str) -> dict[str, Any]:
    """The spans in two widths, with a description that says every figure."""
    rows = [(f"{span} days" if span != "current" else span, each) for span, each in zip(SPANS, of.spans, strict=True)]
    said = [(words, each, told(each, currency)) for words, each in rows]
    return {
        key: draw_ageing(said, width_px=width, prefix=f"ageing-{key}")
        for key, width in (("wide", WIDE_PX), ("narrow", NARROW_PX))
    }
