"""Slabs that are due to be sealed again: by month and neighbourhood, the letter about them, leaving it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from quoting.core.recall import DueMonth
from quoting.documents.contexts import day_text
from quoting.forms.letters import LetterForm, new_act
from quoting.forms.recall import LeaveForm
from quoting.models import SlabRecord
from quoting.services import recall as acts
from quoting.views.access import find_job, office_only
from quoting.views.hand_over import told_of

AHEAD = (3, 12, 36)
"""How many months the list may look ahead."""

LONGEST_SEARCH = 200


@office_only
@require_safe
def recall(request: HttpRequest) -> HttpResponse:
    """The slabs due from this month on, by month and neighbourhood; windows that went by stand in this month."""
    today = timezone.localdate()
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    asked = request.GET.get("months", "")
    months = next((each for each in AHEAD if str(each) == asked), AHEAD[1])
    found = acts.due_list(today, months, words)
    context = {
        "words": words,
        "months": months,
        "choices": AHEAD,
        "due": [(month.month.first_day, month.count, _groups(month, found.records, today)) for month in found.months],
        "count": len(found.records),
        "over": sum(
            acts.window_state(each, today) == "over" and not acts.rests(each, today) for each in found.records.values()
        ),
        "any": bool(found.records) or bool(words) or SlabRecord.objects.exists(),
    }
    return render(request, "recall/list.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def recall_letter(request: HttpRequest, number: str) -> HttpResponse:
    """The letter about all that is due on a property, to be read over; a POST puts it into the outbox."""
    job, today = find_job(request.user, number), timezone.localdate()
    first: dict[str, str] = {}
    if request.method != "POST":
        try:
            subject, words = acts.draft_recall(job=job, by=request.user, today=today)  # type: ignore[arg-type]
        except acts.NothingDue as nothing:
            messages.error(request, str(nothing))
            return redirect("recall")
        to = job.property.customer.email
        first = {"to": to, "subject": subject, "words": words, "once": new_act()}
    form = LetterForm(request.POST or None, initial=first, needs_link=False)
    if form.is_valid():
        try:
            sent = acts.send_recall(job=job, by=request.user, today=today, **form.facts)  # type: ignore[arg-type]
        except acts.NothingDue as nothing:
            messages.error(request, str(nothing))
        else:
            again = day_text(acts.rest_until(today))
            messages.success(request, f"On its way to {sent.to}. If nothing comes of it, it comes up again on {again}.")
        return redirect("recall")
    context = {"job": job, "form": form, "back": reverse("recall"), "title": "Write about sealing again"}
    return render(request, "hand_over/send.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def recall_leave(request: HttpRequest, number: str) -> HttpResponse:
    """Nothing is written now: until which day it rests, and why."""
    job, today = find_job(request.user, number), timezone.localdate()
    records = acts.due_on(job, today)
    if not records:
        messages.error(request, str(acts.NothingDue()))
        return redirect("recall")
    form = LeaveForm(request.POST or None, today=today, initial={"until": acts.rest_until(today)})
    if form.is_valid():
        try:
            acts.leave_recall(job=job, by=request.user, today=today, **form.cleaned_data)  # type: ignore[arg-type]
        except acts.NothingDue as nothing:
            messages.error(request, str(nothing))
        else:
            messages.success(request, f"Left. It comes up again on {day_text(form.cleaned_data['until'])}.")
        return redirect("recall")
    context = {"job": job, "form": form, "slabs": [(row, *told_of(row)) for row in records]}
    return render(request, "recall/leave.html", context, status=422 if form.is_bound else 200)


def _groups(month: DueMonth, records: dict[str, SlabRecord], today: Any) -> list[tuple[str, list[dict[str, Any]]]]:
    """The neighbourhoods of a month, in each the properties with their slabs."""
    groups = []
    for name, slabs in month.groups:
        places: dict[int, dict[str, Any]] = {}
        for slab in slabs:
            row = records[slab.key]
            place = places.setdefault(row.property_id, {"job": row.job, "place": row.property, "slabs": []})
            rests = acts.rests(row, today)
            place["slabs"].append((row, *told_of(row), "rests" if rests else acts.window_state(row, today)))
            place["rests"] = rests and place.get("rests", True)
        groups.append((name or "Town not known", list(places.values())))
    return groups
