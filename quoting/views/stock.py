"""Stock on hand: the list by material and lot, a lot taken in, kept for a job, or booked back open."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from quoting.documents.crew_figures import amount_text
from quoting.forms.stock import BackForm, KeptForm, LotForm
from quoting.models import ChangedMeanwhile, Lot, Material
from quoting.services import stock as acts
from quoting.services.booking import to_book
from quoting.views.access import jobs_for, office_only
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm

LONGEST_SEARCH = 100
MOST = 500


@office_only
@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """What is on hand, by material and lot; found by name, lot or place."""
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    found = Lot.objects.on_hand().select_related("reserved_for", "came_back_from").found_by(words)
    units = str(the_firm(request).units)
    rows = [(lot, amount_text(lot.left, lot.dimension, units)) for lot in found[:MOST]]
    context = {"rows": rows, "words": words, "to_book": to_book(jobs_for(request.user))}
    return render(request, "crew/stock.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def lot_add(request: HttpRequest) -> HttpResponse:
    """Take in a lot."""
    form = LotForm(request.POST or None, materials=_materials())
    if form.is_valid():
        try:
            lot = acts.add_lot(by=request.user, **form.facts)
        except acts.TooMuch as fault:
            form.add_error("left", str(fault))
        else:
            messages.success(request, f"{lot.name} is in stock.")
            return redirect("stock")
    return render(request, "crew/lot_add.html", {"form": form}, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def lot(request: HttpRequest, pk: int) -> HttpResponse:
    """How many there are now, where, for whom."""
    found = get_object_or_404(Lot.objects.select_related("reserved_for"), pk=pk)
    form = KeptForm(request.POST or None, initial=_kept(found))
    if form.is_valid():
        try:
            acts.keep_lot(lot=found, by=request.user, **form.cleaned_data)
        except ChangedMeanwhile:
            now = Lot.objects.select_related("reserved_for").get(pk=pk)
            title = f"{now}: somebody counted it while you had it open."
            return two_hands(request, form, _kept(now), version=now.version, title=title, back_url=request.path)
        except acts.TooMuch as fault:
            form.add_error("count", str(fault))
        else:
            messages.success(request, "Kept.")
            return redirect("stock")
    context = {"form": form, "back": BackForm(), "lot": found}
    return render(request, "crew/lot.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["POST"])
def lot_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Book back one container of this lot, open."""
    found = get_object_or_404(Lot.objects.select_related("reserved_for"), pk=pk)
    back = BackForm(request.POST)
    if back.is_valid():
        try:
            acts.book_back(lot=found, by=request.user, on=timezone.localdate(), **back.cleaned_data)
        except acts.TooMuch as fault:
            back.add_error("left", str(fault))
        else:
            messages.success(request, "Booked back.")
            return redirect("stock")
    context = {"form": KeptForm(initial=_kept(found)), "back": back, "lot": found}
    return render(request, "crew/lot.html", context, status=422)


def _kept(lot: Lot) -> dict[str, Any]:
    reserved = lot.reserved_for.number if lot.reserved_for else ""
    return {"version": lot.version, "count": lot.count, "place": lot.place, "reserved_for": reserved}


def _materials() -> list[tuple[str, str]]:
    """Of the price book, by name; the newest edition's name where several have a key."""
    found = Material.objects.order_by("edition_id").values_list("key", "name")
    return sorted(dict(found).items(), key=lambda pair: pair[1].casefold())
