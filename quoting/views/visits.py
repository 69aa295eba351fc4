"""The days of a job: planned, moved, held, and the homeowner told."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_http_methods, require_POST

from quoting.documents.visit_days import day_cells, waits_pair, works_pair
from quoting.forms.visits import HoldForm, MoveForm, NoticeForm, PlanForm
from quoting.models import ChangedMeanwhile, DayPlan, Hold, Job, Visit
from quoting.services import visits as acts
from quoting.services.agreed_work import NothingAgreed, agreed_work
from quoting.services.booking import to_book
from quoting.views.access import find_job, may_see_money, office_only
from quoting.views.hands import show_hands
from quoting.views.mast import the_firm
from quoting.views.visit_acts import asides_for_office

MOST_ELSEWHERE = 20


def find_visit(request: HttpRequest, number: str, visit: int) -> Visit:
    """A visit of a folder that this person may see, or 404."""
    job = find_job(request.user, number)
    found = get_object_or_404(Visit, job=job, number=visit)
    found.job = job
    return found


def days_of(job: Job) -> dict[str, Any]:
    """What the clause “Days” shows: the strip, the visits, and holds that the homeowner was not told of."""
    visits = list(job.visits.all())
    plan = DayPlan.objects.filter(job=job).first()
    untold = Hold.objects.filter(visit__job=job, notice=None).select_related("visit")
    return {
        "visits": [(visit, works_pair(visit), waits_pair(visit)) for visit in visits],
        "day_plan": plan,
        "day_cells": day_cells(visits, plan.latest if plan else None),
        "untold": list(untold) if visits else [],
        "asides": asides_for_office([job]) if visits else [],
        "to_book": to_book([job]) if visits else [],
    }


@require_http_methods(["GET", "HEAD", "POST"])
def visits(request: HttpRequest, number: str) -> HttpResponse:
    """The days of one job. The office lays them from a first day on."""
    job = find_job(request.user, number)
    shown = days_of(job)
    plans = may_see_money(request.user)
    work = agreed_work(job)
    plan = shown["day_plan"]
    initial = {
        "first_day": plan.first_day if plan else timezone.localdate() + timedelta(days=7),
        "crew": plan.crew if plan else (work.scope.crew.size if work else the_firm(request).crew_size),
    }
    form = PlanForm(request.POST or None, initial=initial) if plans else None
    if form is not None and form.is_valid():
        try:
            acts.plan_visits(job=job, by=request.user, **form.cleaned_data)
        except (acts.PlanFault, acts.WorkBegun, NothingAgreed) as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, "The days are laid. Move a visit where another day suits better.")
            return redirect("visits", number=number)
    rows = [visit for visit, _works, _waits in shown["visits"]]
    shown |= {
        "job": job, "form": form, "agreed": work is not None,
        "elsewhere": list(Visit.objects.at_other_jobs(rows).with_place()[:MOST_ELSEWHERE]) if plans and rows else [],
        "outdated": bool(plan and plan.scope_sha256 != (work.sha256 if work else "")),
    }  # fmt: skip
    return render(request, "crew/visits.html", shown, status=422 if form is not None and form.is_bound else 200)


@office_only
@require_POST
def visits_again(request: HttpRequest, number: str) -> HttpResponse:
    """Lay the days again after what is agreed was changed."""
    job = find_job(request.user, number)
    get_object_or_404(DayPlan, job=job)
    try:
        acts.plan_again(job=job, by=request.user)
    except (acts.PlanFault, NothingAgreed) as fault:
        messages.error(request, str(fault))
    else:
        messages.success(request, "The days are laid again, with what was changed.")
    return redirect("visits", number=number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def visit_move(request: HttpRequest, number: str, visit: int) -> HttpResponse:
    """Bring a visit to another day; those after it follow."""
    found = find_visit(request, number, visit)
    form = MoveForm(request.POST or None, initial={"version": found.version, "seen": found.day, "day": found.day})
    if form.is_valid():
        try:
            acts.move_visit(visit=found, by=request.user, **form.facts)
        except ChangedMeanwhile:
            return _hands(request, form, found)
        except (acts.PlanFault, acts.VisitOver, NothingAgreed) as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"Visit {visit} is moved, and those after it with it.")
            return redirect("visits", number=number)
    context = {"form": form, "visit": found, "job": found.job, "back_url": reverse("visits", args=[number])}
    return render(request, "crew/move.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def visit_hold(request: HttpRequest, number: str, visit: int) -> HttpResponse:
    """Hold a visit. The crew may: it stands on the slab; the office then tells the homeowner."""
    found = find_visit(request, number, visit)
    initial = {"version": found.version, "seen": found.day, "day": found.day + timedelta(days=1)}
    form = HoldForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            hold = acts.hold_visit(visit=found, by=request.user, **form.facts)
        except ChangedMeanwhile:
            return _hands(request, form, found)
        except (acts.PlanFault, acts.VisitOver, acts.HoldFault, NothingAgreed) as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"Visit {visit} is held. · La visita {visit} está detenida.")
            if may_see_money(request.user):
                return redirect("visit-tell", number=number, pk=hold.pk)
            return redirect("visit", number=number, visit=visit)
    context = {"form": form, "visit": found, "job": found.job}
    return render(request, "crew/hold.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def visit_tell(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Look over the notice of a hold, and send it."""
    job = find_job(request.user, number)
    hold = get_object_or_404(Hold.objects.select_related("visit", "notice"), pk=pk, visit__job=job)
    hold.visit.job = job
    subject, words = acts.notice_words(hold)
    form = NoticeForm(request.POST or None, initial={"subject": subject, "words": words})
    if form.is_valid() and hold.notice is None:
        try:
            acts.tell_homeowner(hold=hold, by=request.user, **form.cleaned_data)
        except acts.NobodyToTell as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"The notice goes to {job.property.customer.name}.")
            return redirect("visits", number=number)
    context = {"form": form, "hold": hold, "job": job, "back_url": reverse("visits", args=[number])}
    return render(request, "crew/tell.html", context, status=422 if form.is_bound else 200)


def _hands(request: HttpRequest, form: MoveForm | HoldForm, visit: Visit) -> HttpResponse:
    """Nothing was written: the day that somebody else gave the visit beside the one that was typed."""
    now = Visit.objects.get(pk=visit.pk)
    seen = form.cleaned_data["seen"]
    rows = [("Day", _day(seen), _day(now.day), _day(form.cleaned_data["day"]))]
    if now.state != Visit.State.PLANNED:
        rows.append(("State", "", now.get_state_display(), ""))
    title = f"Visit {visit.number}: somebody changed it while you had it open."
    back = reverse("visits", args=[visit.job.number])
    return show_hands(request, rows, version=now.version, title=title, back_url=back)


def _day(day: date | None) -> str:
    return date_format(day, "l j F") if day else ""
