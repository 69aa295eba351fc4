"""Money that came in: entering it, its page with its acts, giving it back, taking back what bounced, its receipt."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.core.books import EntryKind, from_minor
from quoting.core.spreading import SpreadFault
from quoting.documents.contexts import sum_text
from quoting.documents.press_order import PaperNotPrinted
from quoting.forms.letters import new_act
from quoting.forms.payments import BouncedForm, PaymentForm, RefundForm
from quoting.models import Payment
from quoting.services import payments as acts
from quoting.services.books import balances_of, entries_of
from quoting.services.money_papers import StillMoving
from quoting.services.receipts import issue_receipt
from quoting.views.access import find_job, office_only
from quoting.views.mast import the_firm


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def payment_enter(request: HttpRequest, number: str) -> HttpResponse:
    """A payment, and the bills that it is put on."""
    job, currency = find_job(request.user, number), the_firm(request).currency
    found = balances_of(job)
    dues = [(each.number, from_minor(each.due, currency)) for each in found.invoices if each.due > 0]
    owed_back = from_minor(found.owed_back.amount, currency)
    in_all = sum((due for _number, due in dues), owed_back)
    first = {"on": timezone.localdate(), "method": Payment.Method.CHECK, "once": new_act(), "amount": in_all or None}
    form = PaymentForm(request.POST or None, initial=first, dues=dues)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            payment = acts.enter_payment(
                job=job, on=typed["on"], method=typed["method"], amount=typed["amount"], reference=typed["reference"],
                chosen=form.chosen, by=request.user, once=typed["once"],  # type: ignore[arg-type]
            )  # fmt: skip
        except SpreadFault as fault:
            form.add_error("amount", str(fault))
        else:
            messages.success(request, f"{sum_text(typed['amount'], currency)} is entered.")
            return redirect("payment", number=number, pk=payment.pk)
    context = {"job": job, "form": form, "dues": dues, "owed_back": owed_back, "currency": currency}
    return render(request, "money/payment_enter.html", context, status=422 if form.is_bound else 200)


@office_only
@require_safe
def payment(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """A payment: what it was put on, what became of it, and its acts."""
    row = _payment(request, number, pk)
    sums, currency = balances_of(row.job).payment(str(row.pk)), row.currency
    on_bills: dict[str, int] = {}
    for each in entries_of(row.job):
        if each.kind is EntryKind.SPREAD and each.payment == str(row.pk):
            on_bills[each.invoice] = on_bills.get(each.invoice, 0) + each.amount
    parts = [*row.parts]
    reversals = list(row.reversed_by.order_by("pk"))
    context: dict[str, Any] = {
        "job": row.job,
        "row": row,
        "currency": currency,
        "amount": from_minor(row.amount, currency),
        "on_bills": [(bill, from_minor(minor, currency)) for bill, minor in on_bills.items() if minor],
        "left": from_minor(max(sums.left, 0), currency),
        "bounced": any(each.kind == Payment.Kind.BOUNCED for each in reversals),
        "moved": from_minor(abs(sums.moved), currency),
        "owed_back": from_minor(max(-sums.left, 0), currency),
        "given_back": from_minor(-sums.refunded, currency),
        "reversals": [(each, from_minor(each.amount, currency)) for each in reversals],
        "receipt": getattr(row.whole or row, "receipt", None),
        "parts": [(each, from_minor(each.amount, currency)) for each in parts] if len(parts) > 1 else [],
        "whole": from_minor(sum(each.amount for each in parts), currency),
        "came": row.kind == Payment.Kind.RECEIVED,
    }
    return render(request, "money/payment.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def payment_refund(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """How much of a payment is given back; asked once."""
    row = _payment(request, number, pk)
    most = from_minor(acts.left_of_whole(row), row.currency)
    first = {"on": timezone.localdate(), "method": row.method, "once": new_act(), "amount": most or None}
    form = RefundForm(request.POST or None, initial=first, most=most)
    if form.is_valid() or _same_again(form):
        typed = form.cleaned_data
        try:
            acts.refund_payment(payment=row, by=request.user, **typed)  # type: ignore[arg-type]
        except acts.CantRefund as cant:
            form.add_error("amount", str(cant))
        else:
            messages.success(request, "Noted that it was given back.")
            return redirect("payment", number=number, pk=pk)
    context = {"job": row.job, "row": row, "form": form, "most": most, "currency": row.currency}
    return render(request, "money/refund.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def payment_bounced(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Asks once, then reverses a payment that bounced."""
    row = _payment(request, number, pk)
    form = BouncedForm(request.POST or None, initial={"on": timezone.localdate(), "once": new_act()})
    if form.is_valid():
        typed = form.cleaned_data
        try:
            acts.bounce_payment(payment=row, on=typed["on"], reason=typed["reason"], by=request.user)  # type: ignore[arg-type]
        except acts.CantBounce as cant:
            messages.error(request, str(cant))
        else:
            messages.success(request, "Reversed. What it had paid is due again.")
        return redirect("payment", number=number, pk=pk)
    given_back = -sum(balances_of(each.job).payment(str(each.pk)).refunded for each in row.parts)
    context = {
        "job": row.job, "row": row, "form": form,
        "amount": from_minor(sum(each.amount for each in row.parts), row.currency),
        "given_back": from_minor(given_back, row.currency),
    }  # fmt: skip
    return render(request, "money/bounced.html", context, status=422 if form.is_bound else 200)


@office_only
@require_POST
def payment_receipt(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Issue the receipt of a payment; the one that is there, if one is."""
    row = _payment(request, number, pk)
    try:
        paper = issue_receipt(payment=row, by=request.user)  # type: ignore[arg-type]
    except (acts.CantBounce, StillMoving, PaperNotPrinted) as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"Receipt {paper.number} is issued.")
    return redirect("payment", number=number, pk=pk)


def _same_again(form: RefundForm) -> bool:
    """A second click: the refund of this form is entered already, so that its sum is no longer on no bill."""
    once = form.data.get("once", "")
    if not form.is_bound or not Payment.objects.filter(once=once).exists():
        return False
    form.cleaned_data.setdefault("amount", form.most)
    return not set(form.errors) - {"amount"}


def _payment(request: HttpRequest, number: str, pk: int) -> Payment:
    job = find_job(request.user, number)
    rows = Payment.objects.select_related("of", "entered_by", "receipt__paper", "whole__receipt__paper").defer(
        *(f"{of}receipt__paper__{name}" for of in ("", "whole__") for name in ("pdf", "facts"))
    )
    row = get_object_or_404(rows, job=job, pk=pk)
    row.job = job
    return row
