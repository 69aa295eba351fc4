"""Interest on a bill that was paid late: looked at with its rule and its working, and billed by one press."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from quoting.documents.interest import rule_words, working_facts
from quoting.documents.press_order import PaperNotPrinted
from quoting.forms.late_interest import InterestForm
from quoting.models import Invoice
from quoting.services import late_interest as acts
from quoting.services.money_papers import StillMoving
from quoting.views.access import office_only
from quoting.views.mast import the_firm


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def bill_interest(request: HttpRequest, number: str) -> HttpResponse:
    """What interest on a bill comes to, and how; a POST bills it. It is never billed by itself."""
    invoice = get_object_or_404(Invoice.objects.with_paper().bills(), paper__number=number)
    try:
        interest = acts.interest_on_bill(invoice, timezone.localdate())
        first = {"total": interest.total, "to": invoice.job.property.customer.email}
        form = InterestForm(request.POST or None, initial=first)
        if form.is_valid():
            paper = acts.bill_interest(
                invoice=invoice, total=form.cleaned_data["total"], by=request.user, mail_to=form.cleaned_data["to"],  # type: ignore[arg-type]
            )  # fmt: skip
            messages.success(request, f"{paper.number} is issued over the interest. {number} itself stays as it was.")
            return redirect("bill", number=paper.number)
    except (acts.NoInterest, acts.ReckonedMeanwhile, StillMoving, PaperNotPrinted) as refused:
        messages.error(request, str(refused))
        return redirect("bill", number=number)
    firm = the_firm(request)
    context = {
        "invoice": invoice,
        "job": invoice.job,
        "number": number,
        "form": form,
        "working": working_facts(interest, firm.currency),
        "total": interest.total,
        "rule": rule_words(firm),
        "currency": firm.currency,
    }
    return render(request, "money/interest.html", context, status=422 if form.is_bound else 200)
