"""A customer's certificates of exemption: the list, one more, its file, and taking a wrong one away."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from customers.models import Customer
from quoting.documents.certificates import ENDINGS, CertificateRefused
from quoting.documents.picture import LARGEST_FILE
from quoting.forms.certificates import CertificateForm
from quoting.models import Certificate
from quoting.services.certificates import CertificateUsed, TooManyCertificates, add_certificate, remove_certificate
from quoting.services.exemptions import taxes_of
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.papers import SANDBOX


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def certificates(request: HttpRequest, pk: int) -> HttpResponse:
    """The certificates of a customer, and a form for one more."""
    who = _who(pk)
    form = CertificateForm(request.POST or None, request.FILES or None, taxes=taxes_of(the_firm(request)))
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            # One byte more than is allowed is enough to be refused.
            content = file.read(LARGEST_FILE + 1)
            kept = add_certificate(customer=who, by=request.user, content=content, **form.facts)  # type: ignore[arg-type]
        except (CertificateRefused, TooManyCertificates) as refused:
            form.add_error("file", str(refused))
        else:
            messages.success(request, f"Certificate {kept.number} is kept.")
            return redirect("certificates", pk=pk)
    rows = list(who.certificates.without_file())
    context = {"who": who, "form": form, "rows": rows}
    return render(request, "customers/certificates.html", context, status=422 if form.errors else 200)


@office_only
@require_safe
def certificate_file(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """The file of one, as a download from which nothing runs."""
    found = get_object_or_404(Certificate, pk=row, customer=_who(pk))
    answer = HttpResponse(bytes(found.content), content_type=found.content_type)
    answer["Content-Disposition"] = f'attachment; filename="certificate-{found.pk}.{ENDINGS[found.content_type]}"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = SANDBOX
    answer["Cross-Origin-Resource-Policy"] = "same-origin"
    answer["Cache-Control"] = "private, no-store"
    return answer


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def certificate_remove(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Asks once, then takes a certificate away."""
    who = _who(pk)
    found = get_object_or_404(Certificate.objects.without_file(), pk=row, customer=who)
    if request.method != "POST":
        return render(request, "customers/certificate_remove.html", {"who": who, "row": found})
    try:
        remove_certificate(certificate=found, by=request.user)  # type: ignore[arg-type]
    except CertificateUsed as used:
        messages.error(request, str(used))
    else:
        messages.success(request, f"Certificate {found.number} is taken away.")
    return redirect("certificates", pk=pk)


def _who(pk: int) -> Customer:
    if pk >= 2**63:
        raise Http404
    return get_object_or_404(Customer.objects.current(), pk=pk)
