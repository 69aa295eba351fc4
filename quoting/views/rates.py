"""Labour tasks, charges and unit prices of the price book: a row a page."""

from __future__ import annotations

from typing import Any, NamedTuple

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quoting.forms.pricebook import ChargeForm, TaskForm, UnitPriceForm, VersionForm
from quoting.forms.rows import RowForm
from quoting.models import ChangedMeanwhile, Charge, Edition, LabourTask, UnitPrice
from quoting.services.editions import EditionFrozen, StillUsed, free_key, keep_rows
from quoting.services.learning import rate_said
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.pricebook import MEANWHILE, find_draft, status_of, two_hands


class Kind(NamedTuple):
    """A kind of row: its model and form, where an edition keeps it, and what one is called."""

    model: Any
    form: type[RowForm]
    kept_as: str
    called: str


KINDS = {
    "labour": Kind(LabourTask, TaskForm, "tasks", "labour task"),
    "charges": Kind(Charge, ChargeForm, "charges", "charge"),
    "unit-prices": Kind(UnitPrice, UnitPriceForm, "unit_prices", "unit price"),
}


def _kind(noun: str) -> Kind:
    if noun not in KINDS:
        raise Http404("The price book has no such rows.")
    return KINDS[noun]


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def rate_add(request: HttpRequest, pk: int, noun: str) -> HttpResponse:
    """A new row in a draft."""
    edition, kind = find_draft(pk), _kind(noun)
    return _edit(request, edition, kind, kind.model(edition=edition))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def rate(request: HttpRequest, pk: int, noun: str, row: int) -> HttpResponse:
    """One row of a draft."""
    edition, kind = find_draft(pk), _kind(noun)
    return _edit(request, edition, kind, get_object_or_404(kind.model, edition=edition, pk=row), noun)


def _edit(request: HttpRequest, edition: Edition, kind: Kind, row: Any, noun: str = "") -> HttpResponse:
    data = request.POST or None
    form = kind.form(data, instance=row, currency=the_firm(request).currency)
    version = VersionForm(data, initial={"version": edition.version})
    if data is not None and form.is_valid() and version.is_valid():
        both = form.both_changed() if row.pk else []
        if both and version.cleaned_data["version"] != edition.version:
            return two_hands(request, edition, both, back_url=request.path)
        if not row.pk:
            rows = getattr(edition, kind.kept_as)
            row.position = min(rows.count(), 32_000)
            if hasattr(row, "key"):
                row.key = free_key(row.name, rows.values_list("key", flat=True))
        try:
            keep_rows(edition=edition, version=edition.version, rows=[row])
        except (ChangedMeanwhile, EditionFrozen):
            messages.error(request, MEANWHILE)
        else:
            messages.success(request, f"{row.name} is kept.")
        return redirect("edition", pk=edition.pk)
    context = {
        "edition": edition,
        "form": form,
        "title": row.name if row.pk else f"A further {kind.called}",
        "act": f"Keep the {kind.called}",
        "version": edition.version,
        "jobs_say": rate_said(row) if row.pk and isinstance(row, LabourTask) else None,
        "remove_url": reverse("rate-remove", args=[edition.pk, noun, row.pk]) if row.pk else "",
    }
    return render(request, "pricebook/row.html", context, status=status_of(form))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def rate_remove(request: HttpRequest, pk: int, noun: str, row: int) -> HttpResponse:
    """Remove a row from a draft, asked once; what a system needs stays."""
    edition, kind = find_draft(pk), _kind(noun)
    found = get_object_or_404(kind.model, edition=edition, pk=row)
    if request.method == "POST":
        try:
            keep_rows(edition=edition, version=edition.version, removed=[found])
        except StillUsed as error:
            messages.error(request, str(error))
        except (ChangedMeanwhile, EditionFrozen):
            messages.error(request, MEANWHILE)
        else:
            messages.success(request, f"{found.name} is out of {edition.name}.")
        return redirect("edition", pk=pk)
    context = {
        "edition": edition,
        "title": f"Remove {found.name}?",
        "words": f"The {kind.called} goes from the draft {edition.name}. Other editions keep it.",
        "act": f"Remove {found.name}",
        "back_url": reverse("rate", args=[pk, noun, row]),
    }
    return render(request, "pricebook/ask.html", context)
