"""What suits an area, beside what was found on it; and what the owner takes, with the advice or against it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quoting.forms.advice import AdviceForm
from quoting.models import AdviceChoice, Area, ChangedMeanwhile, RestorationSystem
from quoting.services.advice import AreaAdvice, Line, ReasonMissing, advice_of_job, choose_approach
from quoting.views.access import find_job, office_only
from quoting.views.hands import two_hands


def systems_of_today() -> list[RestorationSystem]:
    """The systems of the published price book that carry an approach out; none before one is published."""
    return list(RestorationSystem.objects.filter(edition__state="published").exclude(approach=""))


def advice_context(advised: AreaAdvice, form: AdviceForm | None = None) -> dict[str, Any]:
    """What the clause “Advice” shows."""
    form = form or AdviceForm(
        initial=_of(advised.choice) | {"version": advised.choice.version if advised.choice else 0}
    )
    lines = {line.approach.value: line for line in advised.lines}
    choices: list[tuple[Any, Line]] = [(choice, lines[str(choice.data["value"])]) for choice in form["approach"]]
    return {
        "advised": advised,
        "advice": advised.advice,
        "advice_form": form,
        "advice_choices": choices,
        "advice_url": reverse("advice", args=[advised.area.job.number, advised.area.pk]),
    }


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def advice(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Take an approach for an area; against the advice with the reason."""
    job = find_job(request.user, number)
    area = get_object_or_404(Area, pk=pk, job=job)
    area.job = job
    form = AdviceForm(request.POST or None, initial={"version": 0})
    back = f"{reverse('found', args=[number, pk])}#advice"
    if form.is_valid():
        try:
            kept = choose_approach(area=area, version=form.cleaned_data["version"] or 0, by=request.user, **form.facts)  # type: ignore[arg-type]
        except ReasonMissing as fault:
            form.add_error("reason", str(fault))
        except ChangedMeanwhile as changed:
            row = AdviceChoice.objects.get(pk=changed.row.pk)
            title = f"Area {area.letter}: somebody chose meanwhile"
            return two_hands(request, form, _of(row), version=row.version, title=title, back_url=back)
        else:
            words = "kept, against the advice, with your reason" if kept.against else "kept"
            messages.success(request, f"Area {area.letter}: {words}.")
            return redirect(back)
    advised = next(each for each in advice_of_job(job, systems_of_today()) if each.area == area)
    context = advice_context(advised, form if form.is_bound else None) | {"job": job, "area": area, "writes": True}
    return render(request, "findings/advice.html", context, status=422 if form.is_bound else 200)


def _of(row: AdviceChoice | None) -> dict[str, str]:
    return {"approach": row.approach, "reason": row.reason} if row else {}
