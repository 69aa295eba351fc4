"""Which restoration system is done on which areas of an option. Owner and office only."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quoting.forms.jobs import VersionForm
from quoting.forms.options import ChangeGroupForm
from quoting.models import ChangedMeanwhile, Option, OptionGroup
from quoting.services import option_groups as acts
from quoting.services.advice import advice_of_job
from quoting.services.options import NotOfThisFolder
from quoting.views.access import office_only
from quoting.views.options import CHANGED, beside, find_option


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def group(request: HttpRequest, number: str, pk: int, group_pk: int = 0) -> HttpResponse:
    """A further system on areas; or, with `group_pk`, other areas or another system for what is there."""
    found = find_option(request, number, pk, lean=True)
    row = _find_group(found, group_pk) if group_pk else None
    form = _form(request, found, row)
    back = reverse("option", args=[number, pk])
    if form.is_valid():
        facts = form.cleaned_data
        try:
            if row is None:
                acts.choose_system(option=found, **facts)
            else:
                acts.change_group(group=row, **facts)
        except ChangedMeanwhile:
            messages.error(request, CHANGED)
            return redirect(back)
        except (acts.NoAreaChosen, NotOfThisFolder) as fault:
            form.add_error("areas", str(fault))
        else:
            messages.success(request, f"{facts['system'].name}: its areas and steps are on the sheet.")
            return redirect(back)
    context = {"form": form, "job": found.job, "option": found, "group": row, "back_url": back}
    return render(request, "options/group.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def group_remove(request: HttpRequest, number: str, pk: int, group_pk: int) -> HttpResponse:
    """Ask once, then take a system with its steps out of the option."""
    found = find_option(request, number, pk, lean=True)
    row = _find_group(found, group_pk)
    back = reverse("option", args=[number, pk])
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            acts.remove_group(group=row, version=form.cleaned_data["version"])
        except ChangedMeanwhile:
            messages.error(request, CHANGED)
        else:
            messages.success(request, f"{row.system.name} is taken out.")
        return redirect(back)
    context = {"job": found.job, "option": found, "group": row, "back_url": back}
    return render(request, "options/remove_group.html", context)


def _find_group(found: Option, pk: int) -> OptionGroup:
    groups = OptionGroup.objects.select_related("system", "option").prefetch_related("areas")
    return get_object_or_404(groups, pk=pk, option=found)


def _form(request: HttpRequest, found: Option, row: OptionGroup | None) -> ChangeGroupForm:
    areas = list(found.job.areas.all())
    chosen = [area.pk for area in row.areas.all()] if row else []
    advised = advice_of_job(found.job)
    systems = [(each.system, beside(each, advised)) for each in acts.suited(found.edition.systems.all(), areas, chosen)]
    initial = {"version": found.version, "areas": [str(key) for key in chosen]}
    if row:
        initial["system"] = str(row.system_id)
    return ChangeGroupForm(request.POST or None, areas=areas, systems=systems, initial=initial)
