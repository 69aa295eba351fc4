"""The firm's list of gear: protective gear, tools, spares, tape and film, by kind of work, and where each is kept."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.core.gear import GearKind
from quoting.core.units import format_number, to_unit
from quoting.core.weather_limits import Work
from quoting.documents.contexts import NB
from quoting.documents.crew_words import say
from quoting.forms.gear import GearForm, gear_values
from quoting.forms.jobs import VersionForm
from quoting.models import ChangedMeanwhile, GearItem
from quoting.models.gear import KINDS
from quoting.services import gear as acts
from quoting.views.access import office_only
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm
from quoting.views.setting_up import needs_firm

HEADINGS = {
    GearKind.PROTECTIVE: ("Protective gear", "a thing to wear or to keep at hand"),
    GearKind.TOOL: ("Tools", "a tool"),
    GearKind.SPARE: ("Spares", "a spare"),
    GearKind.MASKING: ("Tape and film", "a roll"),
}
"""Each kind's heading, and what one more of it is called."""


@office_only
@require_safe
@needs_firm
def gear(request: HttpRequest) -> HttpResponse:
    """The list by kind; before the firm has one of its own, the one to begin with."""
    items, unit = acts.current_gear(), _unit(request)
    by_kind = {kind: [item for item in items if item.kind == kind] for kind in HEADINGS}
    context = {
        "is_firms": any(item.pk for item in items),
        "kinds": [
            (kind.value, *HEADINGS[kind], [(item, _works(item), _many(item, unit)) for item in found])
            for kind, found in by_kind.items()
        ],
        "count": len(items),
        "lacking": sum(item.lacks_spanish for item in items),
        "starting": sum(item.is_starting_value for item in items),
    }
    return render(request, "gear/list.html", context)


@office_only
@require_POST
@needs_firm
def gear_begin(request: HttpRequest) -> HttpResponse:
    """Take the list to begin with over as the firm's own."""
    if count := acts.begin_gear(by=request.user):  # type: ignore[arg-type]
        messages.success(request, f"{count} rows are yours to change, each marked as a starting value until you do.")
    return redirect("gear")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def gear_add(request: HttpRequest, kind: str) -> HttpResponse:
    """One more thing of this kind."""
    if kind not in KINDS:
        raise Http404
    first = {"count": 1, "per": "visit", "rows": 1, "waste": GearItem._meta.get_field("waste").default}
    form = GearForm(request.POST or None, kind=kind, roll_unit=_unit(request), initial=first)
    if form.is_valid():
        try:
            row = acts.add_gear(by=request.user, kind=kind, **form.facts)  # type: ignore[arg-type]
        except acts.TooMuchGear as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"{row.name}: on the list.")
            return redirect("gear")
    return _page(request, form, kind, None)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def gear_item(request: HttpRequest, pk: int) -> HttpResponse:
    """One row to change."""
    row, unit = get_object_or_404(GearItem, pk=pk), _unit(request)
    form = GearForm(request.POST or None, kind=row.kind, roll_unit=unit, initial=gear_values(row, unit))
    if form.is_valid():
        version = form.cleaned_data["version"] or 0
        try:
            acts.keep_gear(row=row, version=version, by=request.user, **form.facts)  # type: ignore[arg-type]
        except ChangedMeanwhile:
            row.refresh_from_db()
            title, back = f"{row.name}: changed by somebody else", reverse("gear")
            return two_hands(request, form, gear_values(row, unit), version=row.version, title=title, back_url=back)
        messages.success(request, f"{row.name}: kept.")
        return redirect("gear")
    return _page(request, form, row.kind, row)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def gear_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Asks once, then takes it off the list."""
    row = get_object_or_404(GearItem, pk=pk)
    if request.method != "POST":
        return render(request, "gear/remove.html", {"row": row})
    form = VersionForm(request.POST)
    version = (form.cleaned_data["version"] or 0) if form.is_valid() else 0
    try:
        acts.remove_gear(row=row, version=version, by=request.user)  # type: ignore[arg-type]
    except ChangedMeanwhile:
        messages.error(request, f"{row.name} was changed meanwhile. Read it first.")
        return redirect("gear-item", pk=pk)
    messages.success(request, f"{row.name} is off the list.")
    return redirect("gear")


def _page(request: HttpRequest, form: GearForm, kind: str, row: GearItem | None) -> HttpResponse:
    context: dict[str, Any] = {"form": form, "kind": KINDS[GearKind(kind)], "row": row}
    return render(request, "gear/item.html", context, status=422 if form.is_bound else 200)


def _unit(request: HttpRequest) -> str:
    return "m" if str(the_firm(request).units) == "metric" else "ft"


def _works(item: GearItem) -> str:
    if item.for_works == frozenset(Work):
        return "all work"
    return ", ".join(say(f"work.{work}").en.lower() for work in Work if work in item.for_works)


def _many(item: GearItem, unit: str) -> str:
    if item.roll is None:
        return f"{item.count} {item.get_per_display()}"
    roll = f"{format_number(to_unit(item.roll, unit), 1).removesuffix('.0')}{NB}{unit} a roll"
    along = "once" if item.rows == 1 else f"{item.rows} times"
    return f"{roll}, {along} along the edge, {format_number(item.waste * 100, 1).removesuffix('.0')}{NB}% waste"
