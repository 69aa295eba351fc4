"""The crew's papers, for one visit and for the whole job: pick list and mix sheet, printed when they are asked for."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_safe

from quoting.core.scope import Units
from quoting.core.tasks import works_of
from quoting.documents.contexts import day_text, sheet
from quoting.documents.crew_figures import NB, WEEKDAYS
from quoting.documents.crew_words import say
from quoting.documents.measured import measure_area
from quoting.documents.mix_sheet import guard_rows, mix_page
from quoting.documents.pick_list import change_rows, load_page
from quoting.documents.press_order import PaperNotPrinted
from quoting.documents.render import render_pdf
from quoting.documents.step_places import coats_now
from quoting.documents.visit_days import works_pair
from quoting.models import DayPlan, Job, Visit
from quoting.services.agreed_work import AgreedWork, agreed_work
from quoting.services.crew_rules import current_rules
from quoting.services.crew_sheets import changes_of, guarded_on, mixed_on, pick_list_of
from quoting.services.entries import loaded_on
from quoting.services.gear import current_gear, words_of
from quoting.views.access import find_job
from quoting.views.crew_queue import queue_kinds
from quoting.views.mast import the_firm
from quoting.views.measured import draw_twice
from quoting.views.papers import pdf_response
from quoting.views.visit_page import MASKED
from quoting.views.visits import find_visit

PAPER_PX = 300
"""Half the width of a sheet: what is to be marked on the plan stands beside it."""


@require_safe
def pick_list(request: HttpRequest, number: str, visit: int) -> HttpResponse:
    """What to load for a visit, on a phone: ticked line by line, and kept."""
    found = find_visit(request, number, visit)
    context = _load(request, found.job, found)
    ticks = loaded_on(found)
    rows = [row for group in context["load"].groups for row in group.rows]
    context |= {
        "groups": [
            (group.place, [(row, ticks.get(row.mark), str(uuid4())) for row in group.rows])
            for group in context["load"].groups
        ],
        "loaded": sum(row.mark in ticks for row in rows), "to_load": len(rows),
        "signed": request.user, "queue_kinds": queue_kinds(),
    }  # fmt: skip
    return render(request, "crew/pick_list.html", context)


@require_safe
def pick_list_pdf(request: HttpRequest, number: str, visit: int | None = None) -> HttpResponse:
    """The same on paper; without a visit for the whole job."""
    found = find_visit(request, number, visit) if visit is not None else None
    job = found.job if found else find_job(request.user, number)
    return _print(request, "documents/pick_list.html", _load(request, job, found), f"pick-list-{number}", found)


@require_safe
def mix_sheet_pdf(request: HttpRequest, number: str, visit: int | None = None) -> HttpResponse:
    """Batches, where they go, and what should be gone, on paper; without a visit for the whole job."""
    found = find_visit(request, number, visit) if visit is not None else None
    job = found.job if found else find_job(request.user, number)
    work, units = _need_work(job), str(the_firm(request).units)
    steps = work.workings.steps
    coats = coats_now(found.steps.all(), steps) if found else None
    places = set(range(len(steps))) if coats is None else set(coats)
    materials = {material.key: material for material in work.scope.materials}
    kinds = found.works if found else tuple(dict.fromkeys(works_of(work.workings).values()))
    areas = [measure_area(area, units=units) for area in job.areas.prefetch_related("parts")]
    context = _head(request, job, found) | {
        "mixes": [
            mix_page(each.place, each.sheet, materials[each.sheet.material], units, work.scope.areas)
            for each in mixed_on(work, places)
        ],
        "guards": guard_rows(guarded_on(work, coats), units),
        "cautions": [say(f"caution.{each.value}") for each in kinds],
        "masked": bool(MASKED & set(kinds)),
        "plan": draw_twice(
            areas, units=units, title=f"Plan of {job.property.street}", wide_px=PAPER_PX, prefix="whole"
        ),
        "metric": units == "metric",
        "margin": _margin(units),
    }
    return _print(request, "documents/mix_sheet.html", context, f"mix-sheet-{number}", found)


def _need_work(job: Job) -> AgreedWork:
    work = agreed_work(job)
    if work is None:
        raise Http404
    return work


def _margin(units: str) -> str:
    """By how much the slab has to be over the dew point: the firm's own limit."""
    limit = current_rules().limits(Units(units))["dew-margin"]
    figure = limit.figure(Units(units))
    return "" if figure is None else f"≥ {figure:f}{NB}{limit.unit(Units(units))}"


def _load(request: HttpRequest, job: Job, visit: Visit | None) -> dict[str, Any]:
    work, units = _need_work(job), str(the_firm(request).units)
    gear = current_gear()
    spanish = words_of(gear)
    plan = DayPlan.objects.filter(job=job).first()
    people = plan.crew if plan else work.scope.crew.size
    if visit is None:
        found = pick_list_of(job, work, people, gear=gear)[0]
    else:
        visits = list(job.visits.prefetch_related("steps"))
        found = pick_list_of(job, work, people, visits, gear)[[each.pk for each in visits].index(visit.pk)]
    return _head(request, job, visit) | {
        "load": load_page(found, units, spanish),
        "changes": change_rows(changes_of(job, work, people, gear), units, spanish),
    }


def _head(request: HttpRequest, job: Job, visit: Visit | None) -> dict[str, Any]:
    day: date | None = visit.day if visit else None
    return {
        "job": job,
        "visit": visit,
        "count": job.visits.count() if visit else 0,
        "works": works_pair(visit) if visit else None,
        "weekday": WEEKDAYS[day.weekday()] if day else None,
        "day": day_text(day),
    }


def _print(
    request: HttpRequest, template: str, context: dict[str, Any], name: str, visit: Visit | None
) -> HttpResponse:
    firm, job = the_firm(request), context["job"]
    now = timezone.now()
    where = f"{job.property.street}, visit {visit.number} of {context['count']}" if visit else job.property.street
    title = "Pick list" if "pick_list" in template else "Mix sheet"
    foot = {"firm": firm.name, "telephone": firm.phone, "paper": title, "where": where, "date": day_text(now)}
    html = render_to_string(template, context | {"foot": foot, "title": title})
    told = sheet(firm)
    try:
        pdf = render_pdf(html, document_date=now, paper=told["paper"], accent=told["accent"], language=told["language"])
    except PaperNotPrinted as refused:
        messages.error(request, refused.sentence)
        return redirect("visits", job.number)
    return pdf_response(pdf, f"{name}{f'-{visit.number}' if visit else ''}.pdf")
