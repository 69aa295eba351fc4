"""An area: what it is, its plan and figures, and what is done with it as a whole."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.measured import measure_area
from quoting.forms.jobs import AgreeForm, AreaForm, CopyAreaForm, PlacesForm, VersionForm
from quoting.forms.parts import PartForm
from quoting.models import Area, ChangedMeanwhile, Part
from quoting.services import areas
from quoting.views.access import find_job, jobs_for, office_only
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm
from quoting.views.measured import area_row, draw_twice

WIDE_PX = 664


def find_area(request: HttpRequest, number: str, pk: int) -> Area:
    """The area with its parts, in a folder that this person may open; 404 otherwise."""
    found = Area.objects.select_related("job__property__customer").prefetch_related("parts")
    return get_object_or_404(found, pk=pk, job__number=number, job__in=jobs_for(request.user))


def live_figures(
    request: HttpRequest, found: Area, form: PartForm | None = None, row: Part | None = None, mark: str = ""
) -> dict[str, Any]:
    """Everything that changes while a measure is typed: the drawing, this part's figures and the area's."""
    units = the_firm(request).units
    parts, typed = _with_typed(found, form, row)
    measured = measure_area(found, parts, units)
    shown = area_row(measured, units)
    half_typed = form is not None and form.is_bound and form.shape is None
    return {
        "area": found,
        "job": found.job,
        "form": form,
        "row": row,
        "units": units,
        "unit": "m²" if units == "metric" else "ft²",
        "shown": shown,
        "half_typed": half_typed,
        "part_figures": None if half_typed else next((each for each in shown.parts if each.row is typed), None),
        "plan": draw_twice(
            [measured],
            units=units,
            title=f"Area {found.letter}, {found.name}, to scale",
            wide_px=WIDE_PX,
            prefix="area",
            part=typed,
            mark=mark,
        ),
    }


def _with_typed(found: Area, form: PartForm | None, row: Part | None) -> tuple[list[Part], Part | None]:
    """The parts of the area with the one that is typed in its place, and that one; nothing is kept."""
    parts = list(found.parts.all())
    if form is None or form.shape is None:
        return parts, row
    typed = Part(area=found, **form.facts)
    if row is None:
        return [*parts, typed], typed
    return [typed if each.pk == row.pk else each for each in parts], typed


def show_area(
    request: HttpRequest, found: Area, form: PartForm | None = None, row: Part | None = None, status: int = 200
) -> HttpResponse:
    """The page of an area, with a part open if there is a form for one."""
    context = live_figures(request, found, form, row)
    kept = area_row(measure_area(found, units=context["units"]), context["units"])
    context |= {
        "kept": kept,
        "open_part": next((each for each in kept.parts if row is not None and each.row.pk == row.pk), None),
        "taken_out": form is not None and form["kind"].value() == Part.Kind.DEDUCT,
    }
    return render(request, "areas/area.html", context, status=status)


@office_only
@require_safe
def area(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """The area with its plan, its parts and what can be done with it."""
    return show_area(request, find_area(request, number, pk))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def area_add(request: HttpRequest, number: str) -> HttpResponse:
    """Name a further area and say what it is; then its parts are measured."""
    job = find_job(request.user, number)
    form = AreaForm(request.POST or None)
    if form.is_valid():
        try:
            added = areas.add_area(job=job, by=request.user, **form.facts)
        except (areas.NameTaken, areas.TooManyAreas) as fault:
            form.add_error("name", str(fault))
        else:
            messages.success(request, f"Area {added.letter}, {added.name}, is in the folder. Now its first part.")
            return redirect("part-add", number=number, pk=added.pk)
    return _form_page(request, "areas/add.html", form, job=job, back_url=reverse("folder", args=[number]))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def area_edit(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Keep name, surface, condition, texture and note."""
    found = find_area(request, number, pk)
    back = reverse("area", args=[number, pk])
    form = AreaForm(request.POST or None, initial=_facts_of(found))
    if form.is_valid():
        try:
            areas.keep_area(area=found, version=form.cleaned_data["version"] or 0, **form.facts)
        except areas.NameTaken as fault:
            form.add_error("name", str(fault))
        except ChangedMeanwhile:
            found.refresh_from_db()
            title = f"Area {found.letter} was changed"
            return two_hands(request, form, _facts_of(found), version=found.version, title=title, back_url=back)
        else:
            messages.success(request, f"Area {found.letter} is kept.")
            return redirect(back)
    return _form_page(request, "areas/edit.html", form, area=found, job=found.job, back_url=back)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def area_copy(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Copy an area with its parts, under a name that is asked for."""
    found = find_area(request, number, pk)
    form = CopyAreaForm(request.POST or None, initial={"name": f"{found.name}, copy"[:120]})
    if form.is_valid():
        try:
            copy = areas.copy_area(area=found, by=request.user, name=form.cleaned_data["name"])
        except (areas.NameTaken, areas.TooManyAreas) as fault:
            form.add_error("name", str(fault))
        else:
            messages.success(request, f"Area {copy.letter}, {copy.name}, is a copy of {found.letter}.")
            return redirect("area", number=number, pk=copy.pk)
    back = reverse("area", args=[number, pk])
    return _form_page(request, "areas/copy.html", form, area=found, job=found.job, back_url=back)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def area_agree(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Freeze the net area that the customer agrees to."""
    found = find_area(request, number, pk)
    units = the_firm(request).units
    kept = area_row(measure_area(found, units=units), units)
    back = reverse("area", args=[number, pk])
    initial = {"version": found.version, "with_whom": found.agreed_with or found.job.property.customer.name[:120]}
    form = AgreeForm(request.POST or None, initial=initial)
    if form.is_valid():
        on, with_whom, version = (form.cleaned_data[name] for name in ("on", "with_whom", "version"))
        try:
            agreed = areas.agree_area(
                area=found, version=version, by=request.user, on=on, with_whom=with_whom, units=units
            )
        except areas.NothingToAgree as fault:
            form.add_error(None, str(fault))
        except ChangedMeanwhile:
            form.add_error(
                None, "Somebody changed this area while you had it open. Look at the figure, then agree again."
            )
            form.data = form.data.copy() | {"version": str(Area.objects.get(pk=pk).version)}
        else:
            messages.success(request, f"Agreed: {agreed.agreed_net} net.")
            return redirect(back)
    unit = "m²" if units == "metric" else "ft²"
    context = {"area": found, "job": found.job, "kept": kept, "unit": unit, "back_url": back}
    return _form_page(request, "areas/agree.html", form, **context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def area_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Ask once, then remove an area with its parts."""
    found = find_area(request, number, pk)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            areas.remove_area(area=found, version=form.cleaned_data["version"], by=request.user)
        except areas.AreaOffered as fault:
            messages.error(request, str(fault))
        except ChangedMeanwhile:
            messages.error(request, "Somebody changed this area meanwhile. Look at it again; it is still here.")
        else:
            messages.success(request, f"Area {found.letter}, {found.name}, is out of the folder.")
            return redirect("folder", number=number)
        return redirect("area", number=number, pk=pk)
    return render(request, "areas/remove.html", {"area": found, "job": found.job})


@office_only
@require_POST
def area_move(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Move an area one place up or down its folder."""
    found = find_area(request, number, pk)
    form = PlacesForm(request.POST)
    if form.is_valid():
        areas.move_area(area=found, places=form.cleaned_data["places"])
    return redirect(f"{reverse('folder', args=[number])}#measured")


def _form_page(request: HttpRequest, template: str, form: Any, **context: Any) -> HttpResponse:
    return render(request, template, {"form": form, **context}, status=422 if form.is_bound else 200)


def _facts_of(found: Area) -> dict[str, Any]:
    facts = {name: getattr(found, name) for name in ("name", "surface", "condition", "note", "version")}
    return facts | {"texture": f"{found.texture.normalize():f}"}
