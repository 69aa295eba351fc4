"""What lies on the slab of a property after all our jobs there: a page, and a paper for whoever works on it next."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from quoting.core.scope import Units
from quoting.documents.press_order import PaperNotPrinted
from quoting.services.slab_record import print_slab, slab_of
from quoting.views.access import find_job, may_see_money
from quoting.views.mast import the_firm
from quoting.views.papers import pdf_response
from quoting.views.setting_up import needs_firm


@require_safe
@needs_firm
def slab_record(request: HttpRequest, number: str) -> HttpResponse:
    """Area by area: what lies there today, and the layers, the last first. The crew reads it as well, without leads to
    folders: it may not open them all.
    """
    job = find_job(request.user, number)
    areas = slab_of(job, Units(the_firm(request).units))
    return render(request, "hand_over/slab.html", {"job": job, "areas": areas, "office": may_see_money(request.user)})


@require_safe
@needs_firm
def slab_record_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """The same on paper."""
    job = find_job(request.user, number)
    try:
        pdf = print_slab(job=job)
    except PaperNotPrinted as refused:
        messages.error(request, str(refused))
        return redirect("slab-record", number=number)
    return pdf_response(pdf, f"slab-record-{number}.pdf")
