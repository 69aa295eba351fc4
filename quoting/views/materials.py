"""A material of the price book: its packs, how far it goes, and what it takes to handle it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quoting.forms.materials import CoverageFormSet, MaterialForm, PackFormSet
from quoting.forms.pricebook import VersionForm
from quoting.models import ChangedMeanwhile, Coverage, Edition, Material
from quoting.services.editions import EditionFrozen, StillUsed, free_key, keep_rows
from quoting.services.learning import tell_what_jobs_say
from quoting.services.pricebook import read_book
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.pricebook import MEANWHILE, find_draft, find_edition, two_hands


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def material(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """One material of an edition: read in any, edited in a draft."""
    edition = find_edition(pk)
    found = get_object_or_404(Material.objects.prefetch_related("packs"), edition=edition, pk=row)
    if not edition.is_drafted:
        covers = list(found.coverages.in_book_order())
        tell_what_jobs_say(found, covers)
        context = {
            "edition": edition,
            "material": found,
            "coverages": covers,
            "users": read_book(edition).users_of(found),
        }
        return render(request, "pricebook/material_read.html", context)
    return _edit(request, edition, found)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def material_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A new material in a draft."""
    edition = find_draft(pk)
    return _edit(request, edition, Material(edition=edition))


def _edit(request: HttpRequest, edition: Edition, row: Material) -> HttpResponse:
    data, currency = request.POST or None, the_firm(request).currency
    form = MaterialForm(data, instance=row, currency=currency)
    if data is not None:
        form.is_valid()  # the packs are held against the kind that was typed
    packs = PackFormSet(data, instance=row, prefix="packs", form_kwargs={"currency": currency})
    rows_in_order = Coverage.objects.in_book_order()
    coverages = CoverageFormSet(
        data, instance=row, queryset=rows_in_order, prefix="coverages", form_kwargs={"currency": currency}
    )
    version = VersionForm(data, initial={"version": edition.version})
    forms = [form, packs, coverages]
    good = data is not None and all(each.is_valid() for each in (*forms, version))
    if good:
        both = [hands for each in forms for hands in each.both_changed()] if row.pk else []
        if both and version.cleaned_data["version"] != edition.version:
            return two_hands(request, edition, both, back_url=request.path)
        if not row.pk:
            row.key = free_key(row.name, edition.materials.values_list("key", flat=True))
            row.position = min(edition.materials.count(), 32_000)
        rows = [row, *packs.kept_rows, *coverages.kept_rows]
        removed = [*packs.removed_rows, *coverages.removed_rows]
        try:
            keep_rows(edition=edition, version=edition.version, rows=rows, removed=removed)
        except (ChangedMeanwhile, EditionFrozen):
            messages.error(request, MEANWHILE)
        else:
            messages.success(request, f"{row.name} is kept.")
        return redirect("material", pk=edition.pk, row=row.pk) if row.pk else redirect("edition", pk=edition.pk)
    if row.pk:
        tell_what_jobs_say(row, [each.instance for each in coverages.initial_forms])
    context = {
        "edition": edition,
        "material": row,
        "form": form,
        "packs": packs,
        "coverages": coverages,
        "forms": forms,
        "users": read_book(edition).users_of(row) if row.pk else [],
    }
    return render(request, "pricebook/material.html", context, status=200 if data is None else 422)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def material_remove(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Remove a material from a draft, asked once; what a system needs stays."""
    edition = find_draft(pk)
    found = get_object_or_404(Material, edition=edition, pk=row)
    here = reverse("material", args=[pk, row])
    if request.method == "POST":
        try:
            keep_rows(edition=edition, version=edition.version, removed=[found])
        except StillUsed as error:
            messages.error(request, str(error))
            return redirect(here)
        except (ChangedMeanwhile, EditionFrozen):
            messages.error(request, MEANWHILE)
            return redirect(here)
        messages.success(request, f"{found.name} is out of {edition.name}.")
        return redirect("edition", pk=pk)
    context = {
        "edition": edition,
        "title": f"Remove {found.name}?",
        "words": f"Its packs, prices and coverage go from the draft {edition.name}. Other editions keep it.",
        "act": f"Remove {found.name}",
        "back_url": here,
    }
    return render(request, "pricebook/ask.html", context)
