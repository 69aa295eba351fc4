"""The parts of an area: measured, changed, moved and removed, and their figures while a tape is called out."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from quoting.documents.measured import measure_area
from quoting.forms.hands import untouched
from quoting.forms.jobs import PlacesForm, VersionForm
from quoting.forms.parts import PartForm, initial_of
from quoting.forms.shapes import SHAPES
from quoting.models import Area, ChangedMeanwhile, Part
from quoting.services import areas
from quoting.views.access import office_only
from quoting.views.areas import find_area, live_figures, show_area
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm

RETRIES = 3
"""How often a part is kept again because somebody was at another part of the same area."""


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def part_add(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """The blanks for a further part (?shape=circle), or for what is taken out (?kind=deduct)."""
    found = find_area(request, number, pk)
    kind = Part.Kind.DEDUCT if request.GET.get("kind") == Part.Kind.DEDUCT else Part.Kind.PART
    usual = "circle" if kind == Part.Kind.DEDUCT else "rectangle"
    shape = request.GET.get("shape", usual)
    initial = {"kind": kind, "version": found.version, "place": Part.Place.RIGHT}
    return _part_page(request, found, None, shape if shape in SHAPES else usual, initial)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def part(request: HttpRequest, number: str, pk: int, part_pk: int) -> HttpResponse:
    """One part, open to be changed."""
    found = find_area(request, number, pk)
    row = next((each for each in found.parts.all() if each.pk == part_pk), None)
    if row is None and request.method == "POST":
        messages.error(request, "Somebody took this part away meanwhile. Your measures are below, as a further part.")
    elif row is None:
        row = get_object_or_404(Part, pk=part_pk, area=found)
    initial = (initial_of(row) if row else {}) | {"version": found.version}
    return _part_page(request, found, row, str(row.measures.get("shape")) if row else "", initial)


@office_only
@require_POST
def part_figures(request: HttpRequest, number: str, pk: int, part_pk: int = 0) -> HttpResponse:
    """Drawing and figures for what is typed at this moment. Writes nothing."""
    found = find_area(request, number, pk)
    row = next((each for each in found.parts.all() if each.pk == part_pk), None)
    form = _form(request, found, row, request.POST, preview=True)
    form.is_valid()
    typed = request.headers.get("HX-Trigger-Name", "")
    mark = typed if typed in form.measure_names else ""
    return render(request, "areas/_live.html", live_figures(request, found, form, row, mark) | {"live": True})


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def part_remove(request: HttpRequest, number: str, pk: int, part_pk: int) -> HttpResponse:
    """Ask once, then remove a part."""
    found = find_area(request, number, pk)
    row = get_object_or_404(Part, pk=part_pk, area=found)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            areas.remove_part(part=row, version=form.cleaned_data["version"])
        except ChangedMeanwhile:
            messages.error(request, "Somebody changed this area meanwhile. Look at it again; the part is still here.")
            return redirect("part", number=number, pk=pk, part_pk=part_pk)
        messages.success(request, f"The part is out of area {found.letter}.")
        return redirect("area", number=number, pk=pk)
    return render(request, "areas/remove_part.html", {"area": found, "job": found.job, "row": row})


@office_only
@require_POST
def part_move(request: HttpRequest, number: str, pk: int, part_pk: int) -> HttpResponse:
    """Move a part one place up or down its area, and so in the plan."""
    found = find_area(request, number, pk)
    row = get_object_or_404(Part, pk=part_pk, area=found)
    form = PlacesForm(request.POST)
    if form.is_valid():
        try:
            areas.move_part(part=row, version=form.cleaned_data["version"] or 0, places=form.cleaned_data["places"])
        except ChangedMeanwhile:
            messages.error(request, "Somebody changed this area meanwhile. Look at it again, then move the part.")
    return redirect(f"{reverse('area', args=[number, pk])}#parts")


def _part_page(
    request: HttpRequest, found: Area, row: Part | None, shape: str, initial: dict[str, object]
) -> HttpResponse:
    """GET shows the blanks; POST keeps the part, or shows what is to mend; `reshape` in it only changes the blanks."""
    if request.method != "POST":
        return show_area(request, found, _form(request, found, row, shape=shape, initial=initial), row)
    if "reshape" in request.POST:
        typed = {name: value for name, value in request.POST.items() if name != "shape_key"}
        form = _form(request, found, row, shape=request.POST.get("shape_key", ""), initial=typed)
        return show_area(request, found, form, row)
    form = _form(request, found, row, request.POST, initial=initial)
    if not form.is_valid() or _takes_too_much(request, found, form, row):
        return show_area(request, found, form, row, status=422)
    return _keep(request, found, form, row)


def _keep(request: HttpRequest, found: Area, form: PartForm, row: Part | None) -> HttpResponse:
    version = form.cleaned_data["version"] or 0
    for _ in range(RETRIES):
        try:
            areas.keep_part(area=found, version=version, part=row, **form.facts)
        except areas.TooManyParts as fault:
            form.add_error(None, str(fault))
            return show_area(request, found, form, row, status=422)
        except (ChangedMeanwhile, Part.DoesNotExist):
            found = find_area(request, found.job.number, found.pk)
            row = next((each for each in found.parts.all() if row and each.pk == row.pk), None)
            if row is not None and not untouched(form, initial_of(row) | _shape_of(row)):
                return _two_hands(request, found, form, row)
            if row is None and _is_last(form, found):
                break  # pressed twice: the first press has kept it
            version = found.version  # they were at another part: nothing of theirs is overwritten
        else:
            break
    else:
        form.add_error(None, "Others are at work on this area just now. Nothing was kept yet: try again.")
        return show_area(request, found, form, row, status=409)
    messages.success(request, "Taken out." if form.facts["kind"] == Part.Kind.DEDUCT else "The part is kept.")
    return redirect("area", number=found.job.number, pk=found.pk)


def _is_last(form: PartForm, found: Area) -> bool:
    """Whether the part that was added last is the one that is typed, to the letter."""
    last = max(found.parts.all(), key=lambda each: each.pk, default=None)
    return last is not None and all(getattr(last, name) == value for name, value in form.facts.items())


def _two_hands(request: HttpRequest, found: Area, form: PartForm, row: Part) -> HttpResponse:
    return two_hands(
        request,
        form,
        initial_of(row) | _shape_of(row),
        version=found.version,
        title=f"{row.name or form.asked.label} of area {found.letter} was changed",
        back_url=reverse("part", args=[found.job.number, found.pk, row.pk]),
    )


def _shape_of(row: Part) -> dict[str, str]:
    return {"shape_key": str(row.measures.get("shape"))}


def _takes_too_much(request: HttpRequest, found: Area, form: PartForm, row: Part | None) -> bool:
    """Whether this would leave no area, which is said in the form."""
    if form.facts["kind"] != Part.Kind.DEDUCT:
        return False
    typed = Part(area=found, **form.facts)
    others = [each for each in found.parts.all() if row is None or each.pk != row.pk]
    measured = measure_area(found, [*others, typed], the_firm(request).units)
    if measured.fault:
        form.add_error(None, measured.fault)
    return bool(measured.fault)


def _form(
    request: HttpRequest, found: Area, row: Part | None, data: object = None, *, preview: bool = False, **given: object
) -> PartForm:
    place = [found.job.number, found.pk]
    live = reverse("part-figures", args=[*place, row.pk]) if row else reverse("part-figures-new", args=place)
    return PartForm(data, units=the_firm(request).units, preview=preview, live_url=live, **given)  # type: ignore[arg-type]
