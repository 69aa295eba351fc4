"""A payment that a customer makes for several folders at once: entered in one go, over all his open bills."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from customers.models import Customer
from quoting.core.books import from_minor
from quoting.core.spreading import SpreadFault
from quoting.documents.contexts import sum_text
from quoting.forms.letters import new_act
from quoting.forms.payments import PaymentForm
from quoting.models import Invoice, Payment
from quoting.services.customer_payments import NothingDue, enter_for_customer
from quoting.services.owed import dues_of
from quoting.services.statements import beside_bills
from quoting.views.access import office_only
from quoting.views.mast import the_firm


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def customer_payment(request: HttpRequest, pk: int) -> HttpResponse:
    """A payment of a customer, and the bills of all his folders that it is put on."""
    who, currency = get_object_or_404(Customer.objects.current(), pk=pk), the_firm(request).currency
    open_dues = [due for due in dues_of(pk).values() if due.amount > 0]
    dues = [(due.number, from_minor(due.amount, currency)) for due in open_dues]
    owed_back = from_minor(beside_bills(who)[1], currency)
    bills = Invoice.objects.select_related("job__property").in_bulk([due.invoice for due in open_dues])
    places = {due.number: bills[due.invoice].job.property.street for due in open_dues}
    in_all = sum((due for _number, due in dues), owed_back)
    first = {"on": timezone.localdate(), "method": Payment.Method.CHECK, "once": new_act(), "amount": in_all or None}
    form = PaymentForm(request.POST or None, initial=first, dues=dues, places=places)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            payment = enter_for_customer(
                customer=who, on=typed["on"], method=typed["method"], amount=typed["amount"],
                reference=typed["reference"], chosen=form.chosen, by=request.user, once=typed["once"],  # type: ignore[arg-type]
            )  # fmt: skip
        except (NothingDue, SpreadFault) as fault:
            form.add_error("amount", str(fault))
        else:
            messages.success(request, f"{sum_text(typed['amount'], currency)} is entered.")
            return redirect("payment", number=payment.job.number, pk=payment.pk)
    context = {"who": who, "form": form, "dues": dues, "owed_back": owed_back, "currency": currency}
    return render(request, "money/customer_payment.html", context, status=422 if form.is_bound else 200)
