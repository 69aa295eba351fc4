"""The options of a folder: side by side, a new one, and what is done with one as a whole. Owner and office only."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet, prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.forms.jobs import VersionForm
from quoting.forms.options import AddOptionForm, CopyOptionForm
from quoting.models import Area, ChangedMeanwhile, Edition, Firm, Job, Option, Paper, Surface
from quoting.services import options as acts
from quoting.services.advice import AreaAdvice, advice_of_job, words_beside
from quoting.services.option_groups import Suited, suited
from quoting.services.option_moves import move_to_edition, rematch
from quoting.services.pricebook import read_book
from quoting.services.scope import OptionIncomplete, visits_of, workings_of
from quoting.views.access import find_job, jobs_for, office_only
from quoting.views.mast import the_firm
from quoting.views.priced import figure_rows
from quoting.views.side_by_side import side_by_side

CHANGED = "Somebody changed this option meanwhile. Look at it again; nothing was done."


def pricing_firm(request: HttpRequest) -> Firm:
    """The firm with its tax rules: what every price needs."""
    firm = the_firm(request)
    if firm.pk:
        prefetch_related_objects([firm], "tax_rules")
    return firm


def find_option(request: HttpRequest, number: str, pk: int, *, lean: bool = False) -> Option:
    """The option with all that decides its price, in a folder that this person may open; 404 otherwise."""
    found: QuerySet[Option] = Option.objects.all() if lean else Option.objects.with_everything()
    found = found.select_related("job__property__customer", "edition", "with_option")
    return get_object_or_404(found, pk=pk, job__number=number, job__in=jobs_for(request.user))


def offered(request: HttpRequest, job: Job) -> dict[str, Any]:
    """What the folder's page shows under Offered, in a number of queries that does not grow."""
    rows = Option.objects.with_everything().filter(job=job)
    table = side_by_side(pricing_firm(request), rows)
    papers = job.papers.filter(kind=Paper.Kind.PROPOSAL).select_related("proposal", "issued_by").defer("pdf", "facts")
    return {"table": table, "papers": papers}


@office_only
@require_safe
def options(request: HttpRequest, number: str) -> HttpResponse:
    """The options side by side, on a page of their own."""
    job = find_job(request.user, number)
    return render(request, "options/side_by_side.html", {"job": job} | offered(request, job))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def option_add(request: HttpRequest, number: str, pk: int = 0) -> HttpResponse:
    """A further option, or an extra to the option `pk`: a restoration system on areas."""
    job = find_job(request.user, number)
    parent = find_option(request, number, pk, lean=True) if pk else None
    edition = parent.edition if parent else Edition.objects.published().first()
    areas = list(job.areas.all())
    if edition is None or not areas:
        return render(request, "options/not_yet.html", {"job": job, "areas": areas}, status=200)
    ticked = _ticked_first(areas, parent)
    advised = advice_of_job(job)
    choices = [(each.system, beside(each, advised)) for each in suited(edition.systems.all(), areas, ticked)]
    initial = {"areas": [str(key) for key in ticked]}
    form = AddOptionForm(request.POST or None, areas=areas, systems=choices, initial=initial)
    if form.is_valid():
        try:
            added = acts.add_option(job=job, by=request.user, with_option=parent, **form.cleaned_data)
        except (acts.OptionNameTaken, acts.TooManyOptions, acts.NoEdition, acts.NotOfThisFolder) as fault:
            form.add_error("name" if isinstance(fault, acts.OptionNameTaken) else None, str(fault))
        else:
            messages.success(request, f"“{added.name}” is drafted, as the price book has it. Change what differs here.")
            return redirect("option", number=number, pk=added.pk)
    context = {"form": form, "job": job, "with_option": parent, "edition": edition}
    context["first"] = not Option.objects.filter(job=job).exists()
    return render(request, "options/add.html", context, status=422 if form.is_bound else 200)


def beside(each: Suited, advised: list[AreaAdvice]) -> str:
    """What the advice says of a system, and what it is not meant for."""
    return "; ".join(words for words in (words_beside(each.system, advised), each.sentence) if words)


def _ticked_first(areas: list[Area], parent: Option | None) -> list[int]:
    """The areas that are ticked at first: those of the option, or of one surface, since systems seldom suit all."""
    if parent is not None:
        return list(dict.fromkeys(area.pk for group in parent.groups.all() for area in group.areas.all()))
    alike = {areas[0].surface, Surface.STEPS}
    return [area.pk for area in areas if area.surface in alike]


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def option_copy(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Copy an option, under a name that is asked for; an extra to another option of the folder, where there is one."""
    found = find_option(request, number, pk, lean=True)
    others = _other_options(found)
    name = found.name if others else f"{found.name}, copy"[:120]
    form = CopyOptionForm(request.POST or None, others=others, initial={"name": name})
    if form.is_valid():
        beside, name = form.with_option, form.cleaned_data["name"]
        try:
            copy = acts.copy_option(option=found, by=request.user, name=name, with_option=beside)
        except (acts.OptionNameTaken, acts.TooManyOptions) as fault:
            form.add_error("name", str(fault))
        else:
            said = f"is an extra to “{beside.name}” too" if beside else f"is a copy of “{found.name}”"
            messages.success(request, f"“{copy.name}” {said}. Now change what differs.")
            return redirect("option", number=number, pk=copy.pk)
    context = {"form": form, "job": found.job, "option": found, "back_url": reverse("option", args=[number, pk])}
    return render(request, "options/copy.html", context, status=422 if form.is_bound else 200)


def _other_options(extra: Option) -> list[Option]:
    """The options of the folder that an extra may be copied to: those priced with its edition, its own apart."""
    if extra.with_option_id is None:
        return []
    options = Option.objects.filter(job=extra.job_id, edition=extra.edition_id, kind=Option.Kind.OPTION)
    return list(options.exclude(pk=extra.with_option_id))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def option_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Ask once, then remove an option with its extras."""
    found = find_option(request, number, pk, lean=True)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            acts.remove_option(option=found, version=form.cleaned_data["version"], by=request.user)
        except ChangedMeanwhile:
            messages.error(request, CHANGED)
            return redirect("option", number=number, pk=pk)
        except acts.OptionOffered as fault:
            messages.error(request, str(fault))
            return redirect("option", number=number, pk=pk)
        messages.success(request, f"“{found.name}” is removed.")
        return redirect(f"{reverse('folder', args=[number])}#offered")
    extras = list(found.add_ons.all())
    context = {"option": found, "job": found.job, "extras": extras, "back_url": reverse("option", args=[number, pk])}
    return render(request, "options/remove.html", context)


@office_only
@require_POST
def option_advise(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Advise this option and no other, or none any more."""
    found = find_option(request, number, pk, lean=True)
    acts.advise(option=found, advised=not found.advised)
    messages.success(request, f"“{found.name}” is {'not advised any more' if found.advised else 'the one we advise'}.")
    return redirect(f"{reverse('folder', args=[number])}#offered")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def option_move(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Price an option by today's edition: first what that changes, then the act."""
    found = find_option(request, number, pk)
    edition = Edition.objects.published().first()
    back = reverse("option", args=[number, pk])
    if edition is None or found.edition_id == edition.pk or found.with_option_id:
        messages.info(request, "There is no other edition to move to here.")
        return redirect(back)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            moves = move_to_edition(option=found, version=form.cleaned_data["version"], by=request.user)
        except ChangedMeanwhile:
            messages.error(request, CHANGED)
        else:
            lost = [sentence for move in moves for sentence in move.lost]
            messages.success(
                request, f"“{found.name}” is priced by edition {edition.name} now. {' '.join(lost)}".strip()
            )
        return redirect(back)
    firm = pricing_firm(request)
    before, old = _figures(firm, found), found.edition
    moved = rematch(found, read_book(edition))
    context = {
        "option": found,
        "job": found.job,
        "old": old,
        "edition": edition,
        "lost": moved.lost,
        "new": moved.new,
        "rows": _compared(before, _figures(firm, moved.option)),
        "back_url": back,
    }
    return render(request, "options/move.html", context)


def _figures(firm: Firm, option: Option) -> dict[str, tuple[str, str]]:
    """Each figure's label and text; empty where it can't be worked out."""
    try:
        workings = workings_of(firm, option)
    except OptionIncomplete:
        return {}
    return {row.key: (row.label, row.shown) for row in figure_rows(workings, visits_of(option))}


def _compared(before: dict[str, tuple[str, str]], after: dict[str, tuple[str, str]]) -> list[tuple[str, str, str]]:
    """Label, figure before, figure after."""
    return [
        ((before.get(key) or after[key])[0], before.get(key, ("", ""))[1], after.get(key, ("", ""))[1])
        for key in dict.fromkeys([*before, *after])
    ]
