"""Materials as CSV: written for a spreadsheet, and a price list read into a draft."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from customers.csv_cells import LARGEST_FILE
from quoting.forms.pricebook import PriceListForm, VersionForm
from quoting.models import ChangedMeanwhile, PriceList
from quoting.services.editions import EditionFrozen
from quoting.services.price_list_file import COLUMNS, read_materials, write_materials
from quoting.services.price_lists import PriceListFaults, TakenAlready, keep_price_list, take_price_list
from quoting.services.pricebook import read_book
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.pricebook import MEANWHILE, find_draft, find_edition

MOST_CHANGES = 200


@office_only
@require_GET
def materials_csv(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The materials of an edition with packs and prices, as a file for a spreadsheet."""
    edition = find_edition(pk)
    name = f"materials-{slugify(edition.name) or edition.pk}.csv"
    return StreamingHttpResponse(
        (line.encode() for line in write_materials(read_book(edition))),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"},
    )


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def price_list_read(request: HttpRequest, pk: int) -> HttpResponse:
    """Take in a CSV file for a draft; what it would do is shown before anything is written."""
    edition = find_draft(pk)
    form = PriceListForm(request.POST or None, request.FILES or None, initial={"version": edition.version})
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            if file.size > LARGEST_FILE:
                form.add_error("file", "The file is larger than 10 MB.")
            else:
                kept = keep_price_list(edition=edition, name=file.name, content=file.read())
                return redirect("price-list", pk=pk, row=kept.pk)
        except (PriceListFaults, TakenAlready, EditionFrozen) as error:
            form.add_error("file", str(error))
    context = {"edition": edition, "form": form, "columns": COLUMNS}
    return render(request, "pricebook/price_list_read.html", context, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def price_list(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """What a file would do to the draft; taking it over does all of it."""
    edition = find_draft(pk)
    found = get_object_or_404(PriceList.objects.select_related("edition"), edition=edition, pk=row, taken_at=None)
    if request.method == "POST":
        form = VersionForm(request.POST)
        version = form.cleaned_data["version"] if form.is_valid() else 0
        try:
            report = take_price_list(price_list=found, version=version, currency=the_firm(request).currency)
        except ChangedMeanwhile:
            messages.error(request, f"{MEANWHILE} Nothing has been written.")
            return redirect("price-list", pk=pk, row=row)
        except PriceListFaults:
            return redirect("price-list", pk=pk, row=row)
        except (TakenAlready, EditionFrozen) as error:
            messages.error(request, str(error))
        else:
            count = len(report.changes)
            messages.success(request, f"{found.name} is taken over: {count} {'change' if count == 1 else 'changes'}.")
        return redirect("edition", pk=pk)
    report = read_materials(bytes(found.content), read_book(edition))
    context = {
        "edition": edition,
        "price_list": found,
        "report": report,
        "changes": report.changes[:MOST_CHANGES],
        "more": max(0, len(report.changes) - MOST_CHANGES),
    }
    return render(request, "pricebook/price_list.html", context)


@office_only
@require_POST
def price_list_drop(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Forget a file that has not been taken over."""
    edition = find_draft(pk)
    get_object_or_404(PriceList, edition=edition, pk=row, taken_at=None).delete()
    messages.success(request, "The file is forgotten. Nothing was changed.")
    return redirect("edition", pk=pk)
