"""The homeowner's page of a bill: what is due, until when and how it is paid. Never a card's data."""

from __future__ import annotations

import json

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from quoting.core.books import from_minor
from quoting.documents.contexts import sum_text
from quoting.documents.pay_code import pay_code
from quoting.models import Invoice, PrivateLink
from quoting.services.books import balances_of
from quoting.views.books import state_of


def bill_page(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """A bill as it stands today, to whoever came by its private link: the sum that is still due, and how to pay it."""
    paper = link.paper
    invoice = Invoice.objects.select_related("paper", "job").defer("paper__pdf", "paper__facts").get(paper=paper)
    facts = json.loads(paper.facts)
    found, currency = balances_of(invoice.job), facts["currency"]
    sums = found.invoice(paper.number)
    due = sum_text(from_minor(max(sums.due, 0), currency), currency)
    pay = facts["pay"]
    told = "\n".join([*pay["to"], f"{due} {currency}", paper.number]) if pay["to"] else ""
    context = {
        "paper": paper,
        "facts": facts,
        "state": state_of(invoice, sums.due, timezone.localdate()),
        "due": due,
        "is_due": sums.due > 0,
        "paid": from_minor(sums.paid, currency),
        "credited": from_minor(-sums.credited, currency),
        "pay": pay,
        "code": pay_code(pay["link"] or told, "Code of how to pay") if sums.due > 0 else {},
    }
    return render(request, "homeowner/bill.html", context)
