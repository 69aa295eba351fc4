"""What was found on an area or on the whole property: the trade's tests as short forms, and one finding by itself."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from quoting.core.finding_kinds import Group, Kind, Wait
from quoting.core.findings import KINDS
from quoting.documents.findings import is_for, kind_of, may_be_read_at
from quoting.forms.findings import FindingForm
from quoting.forms.jobs import VersionForm
from quoting.models import Area, ChangedMeanwhile, Finding, Job
from quoting.services import findings as acts
from quoting.services.advice import advice_of_job
from quoting.services.crew_rules import current_rules
from quoting.views.access import find_job, may_see_money, office_only
from quoting.views.advice import advice_context, systems_of_today
from quoting.views.finding_blocks import GROUPS, block_of, finding_form, found_url, noted_of
from quoting.views.hands import two_hands


def find_place(request: HttpRequest, number: str, pk: int) -> tuple[Job, Area | None]:
    """The folder with its areas, and the one meant: None for the whole property, 404 for one of another folder."""
    job = find_job(request.user, number)
    prefetch_related_objects([job], "areas")
    area = next((each for each in job.areas.all() if each.pk == pk), None) if pk else None
    if pk and area is None:
        raise Http404
    return job, area


@require_safe
def found(request: HttpRequest, number: str, pk: int = 0) -> HttpResponse:
    """Everything that is asked of an area, with what was found; the crew reads it."""
    job, area = find_place(request, number, pk)
    rows = list(Finding.objects.filter(job=job).select_related("found_by").prefetch_related("photos"))
    writes = may_see_money(request.user)
    kinds = current_rules().kinds()
    blocks = [block_of(job, area, kind, rows, writes) for kind in kinds if is_for(kind, area)]
    groups = [
        {"key": group.value, "title": title, "under": under, "blocks": [b for b in blocks if b.kind.group is group]}
        for group, (title, under) in GROUPS.items()
    ]
    tests = [block for block in blocks if block.kind.group is Group.TEST]
    context = {
        "job": job,
        "area": area,
        "groups": groups,
        "tests": len(tests),
        "done": sum(any(each.reading for each in (*b.noted, *b.of_property)) for b in tests),
        "waiting": sum(block.waits for block in blocks),
        "writes": writes,
        "photos_url": reverse("photos", args=[number]) + (f"?area={area.pk}" if area else ""),
    }
    if area:
        advised = advice_of_job(job, systems_of_today())
        context |= advice_context(next(each for each in advised if each.area == area))
    return render(request, "findings/found.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def finding_add(request: HttpRequest, number: str, kind: str, pk: int = 0) -> HttpResponse:
    """Note a test on an area, on others as well, or on the whole property; or begin one that is read later."""
    job, area = find_place(request, number, pk)
    if kind not in KINDS:
        raise Http404
    asked = current_rules().kind(kind)
    if not is_for(asked, area):
        raise Http404
    form = finding_form(job, area, asked, data=request.POST or None)
    if form.is_valid():
        areas: list[Area | None] = [None] if form.whole else [area, *form.same_on]
        try:
            acts.keep_findings(
                job=job,
                by=request.user,  # type: ignore[arg-type]
                kind=kind,
                areas=areas,
                answers=form.answers,
                note=form.cleaned_data["note"],
                waits=form.starts,
            )
        except acts.FoundAlready as fault:
            if fault.row.area_id == (area.pk if area else None):
                return _two_hands(request, job, fault.row, finding_form(job, area, asked, fault.row, request.POST))
            form.add_error("same_on", str(fault))
        except acts.TooManyPlaces as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, _said_of(asked, areas, form.starts))
            return redirect(f"{found_url(job, area)}#{kind}")
    return _page(request, job, area, form)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def finding(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """One finding: read a test that waited, or change what was noted."""
    job, row = _find(request, number, pk)
    form = finding_form(job, row.area, kind_of(row), row, request.POST or None)
    if form.is_valid():
        version = form.cleaned_data["version"] or 0
        try:
            acts.keep_finding(
                finding=row,
                version=version,
                by=request.user,  # type: ignore[arg-type]
                answers=form.answers,
                note=form.cleaned_data["note"],
                waits=form.starts and row.found_at is None,
            )
        except ChangedMeanwhile:
            row.refresh_from_db()
            return _two_hands(request, job, row, form)
        except Finding.DoesNotExist:
            messages.error(request, "Somebody took this finding back meanwhile. What you noted is not kept.")
        else:
            messages.success(request, f"{KINDS[row.kind].name}: kept.")
        return redirect(f"{found_url(job, row.area)}#{row.kind}")
    return _page(request, job, row.area, form, row)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def finding_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Ask once, then take a finding back."""
    job, row = _find(request, number, pk)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            acts.remove_finding(finding=row, version=form.cleaned_data["version"], by=request.user)  # type: ignore[arg-type]
        except ChangedMeanwhile:
            messages.error(request, "Somebody changed this finding meanwhile. Look at it again; it is still here.")
            return redirect("finding", number=number, pk=pk)
        messages.success(request, f"{KINDS[row.kind].name}: taken back.")
        return redirect(f"{found_url(job, row.area)}#{row.kind}")
    context = {
        "job": job,
        "area": row.area,
        "title": f"Take back: {KINDS[row.kind].name.lower()}?",
        "words": "What was noted goes for good, and the advice goes without it. Its photographs stay in the folder.",
        "act": "Take it back",
        "version": row.version,
        "back_url": reverse("finding", args=[number, pk]),
    }
    return render(request, "findings/ask.html", context)


def _find(request: HttpRequest, number: str, pk: int) -> tuple[Job, Finding]:
    job = find_job(request.user, number)
    rows = Finding.objects.select_related("area", "found_by").prefetch_related("photos")
    row = get_object_or_404(rows, pk=pk, job=job)
    if row.kind not in KINDS:
        raise Http404
    return job, row


def _page(
    request: HttpRequest, job: Job, area: Area | None, form: FindingForm, row: Finding | None = None
) -> HttpResponse:
    context = {
        "job": job,
        "area": area,
        "form": form,
        "kind": form.kind,
        "row": row,
        "noted": noted_of(job, form.kind, row) if row else None,
        "early": row is not None and row.found_at is None and may_be_read_at(row) > timezone.now(),
        "action": request.path,
        "back_url": f"{found_url(job, area)}#{form.kind.key}",
    }
    return render(request, "findings/finding.html", context, status=422 if form.is_bound else 200)


def _two_hands(request: HttpRequest, job: Job, row: Finding, form: FindingForm) -> HttpResponse:
    where = acts.place_of(row.area)
    return two_hands(
        request,
        form,
        {**{question.name: "" for question in form.kind.questions}, **row.answers, "note": row.note},
        version=row.version,
        title=f"{form.kind.name}, {where[0].lower()}{where[1:]}: noted meanwhile",
        back_url=f"{found_url(job, row.area)}#{row.kind}",
        action=reverse("finding", args=[job.number, row.pk]),
    )


def _said_of(kind: Kind, areas: Sequence[Area | None], begun: bool) -> str:
    where = ", ".join(area.letter if area else "the whole property" for area in areas)
    return f"{kind.name}: {_begun(kind.wait) if begun else 'kept'}, {where}."


def _begun(wait: Wait | None) -> str:
    return f"begun; {wait.words}" if wait else "begun"
