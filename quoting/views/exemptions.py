"""Taking tax off a contract by a certificate that the customer handed in: looked at first, then confirmed."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.documents.invoices import signed_text
from quoting.forms.exemptions import ExemptionForm
from quoting.models import Job
from quoting.services.contracts import NoContract, need_contract
from quoting.services.exemptions import CantExempt, exempt_contract, holding_for, taken_off_by
from quoting.views.access import find_job, office_only


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def exemption(request: HttpRequest, number: str) -> HttpResponse:
    """The certificates that hold today for this place, and what each takes off; a POST confirms one."""
    job = find_job(request.user, number)
    try:
        contract, rows = need_contract(job), offered_for(job)
        form = ExemptionForm(request.POST or None, certificates=[row["certificate"] for row in rows])
        if form.is_valid():
            done = exempt_contract(job=job, certificate=form.cleaned_data["certificate"], by=request.user)  # type: ignore[arg-type]
            messages.success(request, f"The tax is taken off: {done}. The next bill says so.")
            return redirect("job-money", number=number)
    except (NoContract, CantExempt) as refused:
        messages.error(request, str(refused))
        return redirect("job-money", number=number)
    context = {"job": job, "rows": rows, "form": form, "contract": contract, "currency": contract.currency}
    return render(request, "money/exemption.html", context, status=422 if form.is_bound else 200)


def offered_for(job: Job) -> list[dict[str, Any]]:
    """Each certificate that holds today with what it takes off the contract; those that take off nothing left out."""
    found = []
    for certificate in holding_for(job):
        off = taken_off_by(job, certificate)
        if off.taxes:
            currency = need_contract(job).currency
            taxes = [(tax.name, signed_text(tax.amount, currency)) for tax in off.taxes]
            found.append({"certificate": certificate, "taxes": taxes, "total": signed_text(off.total, currency)})
    return found
