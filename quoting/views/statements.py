"""What a customer owes, told to him: his statement as a PDF, and a reminder that is read over before it goes out."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from customers.models import Customer
from quoting.documents.press_order import PaperNotPrinted
from quoting.forms.letters import LetterForm, new_act
from quoting.models import Invoice, Message
from quoting.services.statements import NothingOwed, draft_reminder, print_statement, send_reminder
from quoting.views.access import office_only
from quoting.views.papers import pdf_response


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
