"""What a customer owes, told to him: his statements, kept as they were sent; reminders, read over before they go."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from customers.models import Customer
from quoting.core.books import from_minor
from quoting.documents.press_order import PaperNotPrinted
from quoting.forms.letters import LetterForm, new_act
from quoting.forms.statements import StatementForm
from quoting.models import Invoice, Message
from quoting.services.money_papers import StillMoving
from quoting.services.owed import dues_of
from quoting.services.statements import (
    NothingOwed,
    NothingToState,
    beside_bills,
    draft_reminder,
    issue_statement,
    open_bills,
    print_statement,
    send_reminder,
)
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.papers import pdf_response


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def statements(request: HttpRequest, pk: int) -> HttpResponse:
    """What a customer owes now, and the statements that he got; a POST issues the next one, and mails it if it may."""
    who = get_object_or_404(Customer.objects.current(), pk=pk)
    form = StatementForm(request.POST or None, initial={"to": who.email, "once": new_act()})
    if form.is_valid():
        to, once = form.cleaned_data["to"], form.cleaned_data["once"]
        try:
            paper = issue_statement(customer=who, by=request.user, mail_to=to, once=once)  # type: ignore[arg-type]
        except (NothingToState, StillMoving, PaperNotPrinted) as refused:
            messages.error(request, str(refused))
        else:
            mailed = f" It waits to be mailed to {to}." if to else ""
            messages.success(request, f"Statement {paper.number} is issued and kept.{mailed}")
        return redirect("statements", pk=pk)
    return render(request, "money/statements.html", _page(request, who, form), status=422 if form.is_bound else 200)


def _page(request: HttpRequest, who: Customer, form: StatementForm) -> dict[str, Any]:
    """Open bills, what stands beside them, and what was issued, with its mails."""
    firm, today = the_firm(request), timezone.localdate()
    bills = open_bills(firm, dues_of(who.pk).values(), today)
    credit, owed_back = beside_bills(who)
    mails = Message.objects.filter(kind=Message.Kind.STATEMENT).only("paper_id", "to", "state", "sent_at")
    rows = who.statements.select_related("paper__issued_by").defer("paper__pdf")
    rows = rows.prefetch_related(Prefetch("paper__messages", queryset=mails, to_attr="mails"))
    total = from_minor(sum(bill.amount for bill in bills) + owed_back - credit, firm.currency)
    return {
        "who": who,
        "form": form,
        "currency": firm.currency,
        "bills": [
            {
                "number": bill.number,
                "place": bill.place,
                "due_on": bill.due_on,
                "late": bill.late,
                "left": from_minor(bill.amount, firm.currency),
            }
            for bill in bills
        ],
        "credit": from_minor(credit, firm.currency),
        "owed_back": from_minor(owed_back, firm.currency),
        "total": total,
        "owing": abs(total),
        "rows": [{"paper": row.paper, "total": _asked(json.loads(row.paper.facts))} for row in rows],
    }


def _asked(facts: Mapping[str, str]) -> str:
    """What a statement asked for, or told of as the customer's credit."""
    return facts["owing"] if facts["asks"] or facts["owing"].strip("0.") == "" else f"credit {facts['owing']}"


@office_only
@require_safe
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """The statement of a customer as it stands now."""
    customer = get_object_or_404(Customer.objects.current(), pk=pk)
    try:
        pdf = print_statement(customer=customer)
    except PaperNotPrinted as refused:
        messages.error(request, str(refused))
        return redirect("money-owed")
    return pdf_response(pdf, f"statement-{timezone.localdate()}.pdf")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_remind(request: HttpRequest, number: str) -> HttpResponse:
    """A reminder, to be read over; a POST puts it into the outbox. It never goes out by itself."""
    bills = Invoice.objects.with_paper().bills()
    invoice = get_object_or_404(bills, paper__number=number)
    before = Message.objects.filter(paper=invoice.paper, kind=Message.Kind.REMINDER).order_by("-pk").first()
    try:
        subject, words = draft_reminder(invoice=invoice, by=request.user)  # type: ignore[arg-type]
        first = {"to": invoice.job.property.customer.email, "subject": subject, "words": words, "once": new_act()}
        form = LetterForm(request.POST or None, initial=first)
        if form.is_valid():
            mail = send_reminder(invoice=invoice, by=request.user, **form.facts)  # type: ignore[arg-type]
            messages.success(request, f"The reminder of {number} waits to be mailed to {mail.to}.")
            return redirect("bill", number=number)
    except NothingOwed as why:
        messages.error(request, str(why))
        return redirect("bill", number=number)
    context = {"form": form, "paper": invoice.paper, "job": invoice.job, "before": before}
    return render(request, "money/remind.html", context, status=422 if form.is_bound else 200)
