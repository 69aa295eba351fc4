"""Restoration systems of the price book: their words, their steps in order, and what each step uses up."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from quoting.forms.pricebook import VersionForm
from quoting.forms.systems import MaterialOfStepForm, StepForm, SystemForm
from quoting.forms.uses import FIRST_USE, KINDS_OF_USE, METRIC_FIRST_USE, UseForm, fields_of_use
from quoting.models import (
    ChangedMeanwhile,
    Condition,
    Edition,
    RestorationSystem,
    StepMaterial,
    Surface,
    SystemStep,
)
from quoting.services.editions import EditionFrozen, StillUsed, free_key, keep_rows
from quoting.views.access import office_only
from quoting.views.pricebook import MEANWHILE, find_draft, find_edition, status_of, two_hands

SAID = {
    "coats": "{} coats",
    "first_coat": "beginning with coat {}",
    "condition": "slab reckoned as {}",
    "parts_water": "1 part to {} of water",
    "batch": "batches of {}",
    "batch_step": "the last up to the next {}",
    "length": "along {}",
    "width": "{} wide",
    "depth": "{} deep",
    "unit_length": "pavers {} long",
    "unit_width": "{} wide",
    "joint": "joints of {}",
    "per_area": "one for each {}",
}
"""How each figure of a use is told; the others are told as they are."""


def _find_system(edition: Edition, row: int) -> RestorationSystem:
    systems = RestorationSystem.objects.prefetch_related("steps__task", "steps__materials__material")
    return get_object_or_404(systems, edition=edition, pk=row)


def said_of_use(used: StepMaterial) -> str:
    """How a step uses up a material, in one line: `powder stirred into water, in batches: 1 coat, batches of 5 gal`."""
    by = str(used.use.get("by", ""))
    order = [name for name in fields_of_use(by) if name in used.use]  # PostgreSQL keeps no order in an object
    parts = [_said(name, str(used.use[name])) for name in order]
    kind = KINDS_OF_USE.get(by, "")
    return f"{kind}: {', '.join(parts)}" if parts else kind


def _said(name: str, value: str) -> str:
    if name == "coats" and value == "1":
        return "1 coat"
    if name == "condition" and value in Condition.values:
        value = Condition(value).label
    if name == "length" and value == "edge":
        value = "the edge"
    return SAID.get(name, "{}").replace("{}", value.replace("**2", "²").replace("**3", "³"))


def _steps(system: RestorationSystem) -> list[dict[str, Any]]:
    steps = list(system.steps.all())
    return [
        {
            "step": step,
            "uses": [(used, said_of_use(used)) for used in step.materials.all()],
            "first": place == 0,
            "last": place == len(steps) - 1,
        }
        for place, step in enumerate(steps)
    ]


def _suits(system: RestorationSystem) -> str:
    surfaces = [Surface(key).label for key in system.surfaces if key in Surface.values]
    conditions = [Condition(key).label for key in system.conditions if key in Condition.values]
    return f"{', '.join(surfaces)}; {', '.join(conditions)}"


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def system(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """One system: read in any edition, edited in a draft."""
    edition = find_edition(pk)
    found = _find_system(edition, row)
    if edition.is_drafted:
        return _edit_system(request, edition, found)
    context = {"edition": edition, "system": found, "steps": _steps(found), "suits": _suits(found)}
    return render(request, "pricebook/system.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def system_add(request: HttpRequest, pk: int) -> HttpResponse:
    """A new system in a draft."""
    edition = find_draft(pk)
    return _edit_system(request, edition, RestorationSystem(edition=edition))


def _edit_system(request: HttpRequest, edition: Edition, row: RestorationSystem) -> HttpResponse:
    data = request.POST or None
    form = SystemForm(data, instance=row)
    version = VersionForm(data, initial={"version": edition.version})
    if data is not None and form.is_valid() and version.is_valid():
        both = form.both_changed() if row.pk else []
        if both and version.cleaned_data["version"] != edition.version:
            return two_hands(request, edition, both, back_url=request.path)
        if not row.pk:
            row.key = free_key(row.name, edition.systems.values_list("key", flat=True))
            row.position = min(edition.systems.count(), 32_000)
        if _kept(request, edition, rows=[row], said=f"{row.name} is kept."):
            return redirect("system", pk=edition.pk, row=row.pk)
        return redirect("edition", pk=edition.pk)
    context = {
        "edition": edition,
        "system": row,
        "form": form,
        "steps": _steps(row) if row.pk else [],
    }
    return render(request, "pricebook/system.html", context, status=status_of(form))


def _kept(request: HttpRequest, edition: Edition, *, said: str = "", **rows: Any) -> bool:
    try:
        keep_rows(edition=edition, version=edition.version, **rows)
    except StillUsed as error:
        messages.error(request, str(error))
    except (ChangedMeanwhile, EditionFrozen):
        messages.error(request, MEANWHILE)
    else:
        if said:
            messages.success(request, said)
        return True
    return False


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def system_remove(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Remove a system from a draft, asked once."""
    edition = find_draft(pk)
    found = _find_system(edition, row)
    here = reverse("system", args=[pk, row])
    if request.method == "POST":
        kept = _kept(request, edition, removed=[found], said=f"{found.name} is out of {edition.name}.")
        return redirect("edition", pk=pk) if kept else redirect(here)
    context = {
        "edition": edition,
        "title": f"Remove {found.name}?",
        "words": f"The system goes with its steps from the draft {edition.name}. Other editions keep it.",
        "act": f"Remove {found.name}",
        "back_url": here,
    }
    return render(request, "pricebook/ask.html", context)


def _find_step(edition: Edition, row: int) -> SystemStep:
    steps = SystemStep.objects.select_related("system").prefetch_related("materials__material")
    return get_object_or_404(steps, system__edition=edition, pk=row)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def step_add(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """A further step at the end of a system."""
    edition = find_draft(pk)
    found = _find_system(edition, row)
    steps = list(found.steps.all())
    return _edit_step(request, edition, SystemStep(system=found, visit=steps[-1].visit if steps else 1))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def step(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """One step of a draft's system, with what it uses up."""
    edition = find_draft(pk)
    return _edit_step(request, edition, _find_step(edition, row))


def _edit_step(request: HttpRequest, edition: Edition, row: SystemStep) -> HttpResponse:
    data = request.POST or None
    form = StepForm(data, instance=row, edition=edition)
    uses = [UseForm(data, row=used, edition=edition) for used in row.materials.all()] if row.pk else []
    version = VersionForm(data, initial={"version": edition.version})
    if data is not None and all(each.is_valid() for each in (form, *uses, version)):
        both = [hands for each in (form, *uses) for hands in each.both_changed()] if row.pk else []
        if both and version.cleaned_data["version"] != edition.version:
            return two_hands(request, edition, both, back_url=request.path)
        if not row.pk:
            steps = list(row.system.steps.all())
            row.key = free_key(row.name, [each.key for each in steps])
            row.position = max((each.position for each in steps), default=-1) + 1
        rows = [row, *(each.changed_row() for each in uses if each.has_changed())]
        if _kept(request, edition, rows=rows, said=f"{row.name} is kept."):
            return redirect("system-step", pk=edition.pk, row=row.pk)
        return redirect("system", pk=edition.pk, row=row.system_id)
    context = {
        "edition": edition,
        "system": row.system,
        "step": row,
        "form": form,
        "uses": uses,
        "forms": [form, *uses],
        "more": MaterialOfStepForm(edition=edition) if row.pk else None,
    }
    return render(request, "pricebook/step.html", context, status=200 if data is None else 422)


@office_only
@require_POST
def step_move(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Move a step one place up or down in its system."""
    edition = find_draft(pk)
    moved = _find_step(edition, row)
    steps = list(moved.system.steps.all())
    place = steps.index(moved)
    other = place + (-1 if request.POST.get("to") == "up" else 1)
    if 0 <= other < len(steps):
        steps[place], steps[other] = steps[other], steps[place]
        for position, each in enumerate(steps):
            each.position = position
        _kept(request, edition, rows=steps)
    return redirect(f"{reverse('system', args=[pk, moved.system_id])}#step-{row}")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def step_remove(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """Remove a step from its system, asked once."""
    edition = find_draft(pk)
    found = _find_step(edition, row)
    if request.method == "POST":
        _kept(request, edition, removed=[found], said=f"{found.name} is out of {found.system.name}.")
        return redirect("system", pk=pk, row=found.system_id)
    context = {
        "edition": edition,
        "title": f"Remove “{found.name}” from {found.system.name}?",
        "words": f"The step goes with what it uses up from the draft {edition.name}. Other editions keep it.",
        "act": "Remove the step",
        "back_url": reverse("system-step", args=[pk, row]),
    }
    return render(request, "pricebook/ask.html", context)


@office_only
@require_POST
def use_add(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """A further material for a step, with figures to begin with."""
    edition = find_draft(pk)
    found = _find_step(edition, row)
    form = MaterialOfStepForm(request.POST, edition=edition)
    if form.is_valid():
        kind, used = form.cleaned_data["by"], form.cleaned_data["material"]
        position = max((each.position for each in found.materials.all()), default=-1) + 1
        first = METRIC_FIRST_USE if edition.units == Edition.Units.METRIC else FIRST_USE
        new = StepMaterial(step=found, material=used, position=position, use={"by": kind, **first[kind]})
        _kept(request, edition, rows=[new], said=f"{found.name} uses {used.name}. Look at the figures.")
    else:
        messages.error(request, "Choose a material, and how it is used up.")
    return redirect("system-step", pk=pk, row=row)


@office_only
@require_POST
def use_remove(request: HttpRequest, pk: int, row: int) -> HttpResponse:
    """A step no longer uses this material."""
    edition = find_draft(pk)
    rows = StepMaterial.objects.select_related("step", "material")
    found = get_object_or_404(rows, step__system__edition=edition, pk=row)
    _kept(request, edition, removed=[found], said=f"{found.step.name} no longer uses {found.material.name}.")
    return redirect("system-step", pk=pk, row=found.step_id)
