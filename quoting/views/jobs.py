"""The list of folders, the folder itself, and opening one."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from customers.models import Property
from quoting.documents.crew import crew_offers
from quoting.documents.measured import AreaMeasured, measure_area
from quoting.documents.story import tell
from quoting.forms.jobs import AskedForm, OpenFolderForm
from quoting.models import ChangedMeanwhile, ChangeOrder, Job, PaperScope, Proposal
from quoting.models.jobs import JobQuerySet
from quoting.services.entries import WRITTEN
from quoting.services.jobs import keep_asked, open_folder, open_folder_at_new_place
from quoting.views.access import jobs_for, may_see_money, office_only
from quoting.views.contracts import agreed_in
from quoting.views.found import found_in
from quoting.views.hand_over import on_the_slab
from quoting.views.hands import two_hands
from quoting.views.job_money import billed_in
from quoting.views.mails import mails_of
from quoting.views.mast import the_firm
from quoting.views.measured import area_row, draw_twice, total_net
from quoting.views.next_act import next_act
from quoting.views.options import offered
from quoting.views.questions import questions_in
from quoting.views.visits import days_of

LEAF = 50
"""Folders on one leaf of the list."""

LONGEST_SEARCH = 200
STATES = {"none": "nothing offered", **dict(Proposal.State.choices)}
STANDING = (Proposal.State.ISSUED, Proposal.State.ACCEPTED)


@require_safe
def folders(request: HttpRequest) -> HttpResponse:
    """Folders, the newest first, by state and search; a leaf begins after or ends before the folder in its address."""
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    state = request.GET.get("state", "")
    state = state if state in STATES else ""
    found = jobs_for(request.user)
    if words:
        found = found.found_by(words)
    if state:
        found = found.in_state(state)
    leaf, newer, older = _leaf(found, request.GET.get("after", ""), request.GET.get("before", ""))
    kept = {name: value for name, value in (("q", words), ("state", state)) if value}
    context = {
        "jobs": leaf,
        "words": words,
        "state": state,
        "state_word": STATES.get(state, ""),
        "states": STATES if may_see_money(request.user) else {key: STATES[key] for key in STANDING},
        "newer_url": f"?{urlencode(kept | {'before': leaf[0].number})}" if newer else "",
        "older_url": f"?{urlencode(kept | {'after': leaf[-1].number})}" if older else "",
        "narrowed": bool(kept),
    }
    return render(request, "folders/list.html", context)


def _leaf(found: JobQuerySet, after: str, before: str) -> tuple[list[Job], bool, bool]:
    """One leaf by key, and whether there are newer and older ones."""
    found = found.with_place().with_offer()
    mark = Job.objects.filter(number=(after or before)[:12]).first() if after or before else None
    if mark is None:
        rows = list(found[: LEAF + 1])
        return rows[:LEAF], False, len(rows) > LEAF
    if after:
        rows = list(found.opened_before(mark)[: LEAF + 1])
        return rows[:LEAF], bool(rows), len(rows) > LEAF
    rows = list(found.opened_after(mark)[: LEAF + 1])
    return rows[:LEAF][::-1], len(rows) > LEAF, bool(rows)


@require_safe
def folder(request: HttpRequest, number: str) -> HttpResponse:
    """Everything of one property on one page; the crew gets a page of its own, in which there is no money."""
    jobs = jobs_for(request.user).with_place().with_areas()
    if not may_see_money(request.user):
        return _crew_folder(request, get_object_or_404(jobs, number=number))
    job = get_object_or_404(jobs.with_offer(), number=number)
    # What the crew wrote down is on the pages of its visits, line by line.
    events = job.events.exclude(kind=WRITTEN).select_related("actor", "paper").defer("paper__pdf", "paper__facts")
    context = _measured(request, job) | {"trail": tell(events)} | found_in(job) | _offered(job) | offered(request, job)
    context |= mails_of(job=job) | agreed_in(job) | billed_in(job, the_firm(request).currency) | on_the_slab(job)
    context |= days_of(job) | questions_in(job)
    context["next"] = next_act(job, context)
    return render(request, "folders/folder.html", context)


def _measured(request: HttpRequest, job: Job) -> dict[str, Any]:
    """The place and what was measured on it: nothing here is a price."""
    units = the_firm(request).units
    measured: list[AreaMeasured] = [measure_area(area, units=units) for area in job.areas.all()]
    return {
        "job": job,
        "units": units,
        "unit": "m²" if units == "metric" else "ft²",
        "areas": [area_row(each, units) for each in measured],
        "total": total_net(measured, units),
        "plan": draw_twice(measured, units=units, title=f"Plan of {job.property.street}, to scale", wide_px=600),
    }


def _offered(job: Job) -> dict[str, Any]:
    """The papers that the title block names."""
    return {"standing": job.standing, "draft": job.draft, "offer": job.offer}


def _crew_folder(request: HttpRequest, job: Job) -> HttpResponse:
    scopes = PaperScope.objects.filter(paper__proposal__job=job, paper__proposal__state__in=STANDING)
    offers = crew_offers(scopes.only("name", "scope", "workings", "position"))
    changes = ChangeOrder.objects.accepted().filter(job=job).select_related("paper")
    context = _measured(request, job) | found_in(job) | days_of(job) | {"offers": offers}
    context |= {"changes": list(changes.defer("paper__pdf", "paper__facts"))}
    return render(request, "folders/crew.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def folder_open(request: HttpRequest) -> HttpResponse:
    """Open a folder for a place that is known (?property=…, or found by ?place=…) or for a new one."""
    known = _known_place(request.POST.get("known_place") or request.GET.get("property") or "")
    form = OpenFolderForm(request.POST or None, initial={"known_place": known})
    if form.is_valid():
        by = request.user
        if form.cleaned_data["known_place"]:
            job = open_folder(by=by, property=form.cleaned_data["known_place"], **form.facts)
        else:
            job = open_folder_at_new_place(by=by, place=form.place, **form.facts)
        messages.success(request, f"Folder {job.number} is open. Next: what was measured.")
        return redirect("folder", number=job.number)
    words = request.GET.get("place", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    context = {"form": form, "known": known, "words": words, "places": _places(words) if words else []}
    return render(request, "folders/open.html", context, status=422 if form.is_bound else 200)


def _known_place(pk: str) -> Property | None:
    if not pk.isascii() or not pk.isdigit() or len(pk) > 18:
        return None
    return Property.objects.select_related("customer").filter(pk=pk).first()


def _places(words: str) -> list[Property]:
    found = Property.objects.select_related("customer").filter(customer__merged_into=None)
    for word in words.split()[:8]:
        found = found.filter(street__icontains=word) | found.filter(customer__name__icontains=word)
    return list(found.order_by("street", "id")[:20])


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def folder_asked(request: HttpRequest, number: str) -> HttpResponse:
    """Keep what was asked and what the homeowner knows about the slab."""
    job = get_object_or_404(jobs_for(request.user).with_place(), number=number)
    form = AskedForm(request.POST or None, initial=_asked_of(job))
    back = f"{reverse('folder', args=[number])}#asked"
    if form.is_valid():
        try:
            keep_asked(job=job, version=form.cleaned_data["version"] or 0, **form.facts)
        except ChangedMeanwhile:
            job.refresh_from_db()
            title = f"Folder {number}: what was asked was changed"
            return two_hands(request, form, _asked_of(job), version=job.version, title=title, back_url=back)
        messages.success(request, "Kept.")
        return redirect(back)
    context = {"form": form, "job": job, "back_url": back}
    return render(request, "folders/asked.html", context, status=422 if form.is_bound else 200)


def _asked_of(job: Job) -> dict[str, Any]:
    names = ("asked", "poured", "last_sealed", "pool", "wanted_by", "version")
    return {name: getattr(job, name) for name in names}
