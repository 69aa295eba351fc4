"""What a job cost, for the owner and the office: where a difference comes from, mending it, learning from it."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.core.job_cost import LABOUR, OUTSIDE, CostFault
from quoting.core.labour import hours_of
from quoting.core.units import format_number, to_unit
from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.contexts import sum_text
from quoting.documents.used import Thing, labour_shares
from quoting.forms.costs import AreaRow, CostForm, CostRow, ExtraCostForm
from quoting.models import ChangedMeanwhile, CostSheet, ExtraCost, Observed
from quoting.services import costs as acts
from quoting.services.agreed_work import NothingAgreed
from quoting.services.extra_costs import TakenBack, take_back_extra_cost, write_extra_cost
from quoting.views.access import find_job, office_only
from quoting.views.cost_lines import (
    SHOWN,
    amount_told,
    by_cause,
    by_name,
    cost_line,
    outside_line,
    signed,
    totals,
)
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm

CANT = (NothingAgreed, DoesNotAddUp, CostFault)
NOTHING = "Nothing can be reckoned yet: "


@office_only
@require_safe
def cost(request: HttpRequest, number: str) -> HttpResponse:
    """Estimated against used: in all, by cause, by step and area, and thing by thing."""
    job = find_job(request.user, number)
    sheet = CostSheet.objects.filter(job=job).select_related("kept_by").first()
    try:
        costed = acts.cost_of(job, sheet)
    except CANT as cant:
        messages.error(request, f"{NOTHING}{cant}")
        return redirect("folder", number=number)
    currency, units = costed.workings.scope.currency, str(the_firm(request).units)
    found, names = costed.cost, {figure.material: figure.of.name for figure in costed.workings.materials}
    lines = [
        cost_line(line, costed.workings.steps[place], costed.workings, units)
        for (place, _area, _of), line in zip(costed.used, found.lines, strict=False)
    ]
    context = {
        "job": job,
        "sheet": sheet,
        "currency": currency,
        "known": len(costed.used),
        "all": len(acts.things_of(costed.workings)),
        "anything": bool(found.lines),
        "estimated": sum_text(found.estimated, currency),
        "used": sum_text(found.used, currency),
        "difference": signed(found.difference, currency),
        "totals": totals(found, currency),
        "causes": by_cause(found, names, currency),
        "steps": by_name(found, names, currency, "step"),
        "areas": by_name(found, names, currency, "area"),
        "lines": lines + [outside_line(line, currency) for line in found.lines if line.of == OUTSIDE],
        "outside": [(row, signed(row.sum, currency)) for row in costed.outside],
        "observed": Observed.objects.filter(job=job).count(),
    }
    return render(request, "costs/cost.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def cost_enter(request: HttpRequest, number: str) -> HttpResponse:
    """What was used, thing by thing; what the crew wrote down stands there first."""
    job = find_job(request.user, number)
    sheet = CostSheet.objects.filter(job=job).first()
    units = str(the_firm(request).units)
    try:
        costed = acts.cost_of(job, sheet)
    except CANT as cant:
        messages.error(request, f"{NOTHING}{cant}")
        return redirect("folder", number=number)
    rows = [_row(costed, thing, units) for thing in acts.things_of(costed.workings)]
    unit = "m**2" if units == "metric" else "ft**2"
    areas = [
        AreaRow(each.name, format_number(to_unit(each.net, unit), 0), _size(costed.found.get(each.name), unit))
        for each in costed.workings.areas
    ]
    first = {"version": sheet.version if sheet else 1}
    form = CostForm(request.POST or None, initial=first, rows=rows, areas=areas, area_unit=unit)
    if form.is_valid():
        try:
            acts.keep_costs(
                job=job, version=form.cleaned_data["version"], by=request.user, used=form.used, found=form.found  # type: ignore[arg-type]
            )  # fmt: skip
        except ChangedMeanwhile:
            now = CostSheet.objects.get(job=job)
            title, back = f"Folder {number}: what was used was changed by somebody else", reverse("cost", args=[number])
            return two_hands(request, form, form.values, version=now.version, title=title, back_url=back)
        messages.success(request, "Kept.")
        return redirect("cost", number=number)
    context = {"job": job, "form": form, "area_unit": "m²" if units == "metric" else "ft²"}
    context["back"] = reverse("cost", args=[number])
    return render(request, "costs/enter.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def cost_extra(request: HttpRequest, number: str) -> HttpResponse:
    """A sum that was paid for nothing in the scope: a hire, a further trip, damage."""
    job, today, firm = find_job(request.user, number), timezone.localdate(), the_firm(request)
    form = ExtraCostForm(
        request.POST or None, currency=firm.currency, today=today, initial={"on": today, "once": uuid4()}
    )
    if form.is_valid():
        row = write_extra_cost(job=job, by=request.user, **form.cleaned_data)  # type: ignore[arg-type]
        messages.success(request, f"{row.words}: written down.")
        return redirect("cost", number=number)
    context = {"job": job, "form": form, "back": reverse("cost", args=[number])}
    return render(request, "costs/extra.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def cost_extra_back(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Asks once, then takes a sum back by a counter entry."""
    job = find_job(request.user, number)
    row = get_object_or_404(ExtraCost.objects.with_counter(), pk=pk, job=job)
    if request.method != "POST":
        return render(request, "costs/take_back.html", {"job": job, "row": row, "sum": signed(row.sum, row.currency)})
    try:
        take_back_extra_cost(row=row, by=request.user)  # type: ignore[arg-type]
    except TakenBack as already:
        messages.error(request, str(already))
    else:
        messages.success(request, f"{row.words}: taken back by an entry of the other sign.")
    return redirect("cost", number=number)


@office_only
@require_POST
def cost_learn(request: HttpRequest, number: str) -> HttpResponse:
    """Keep what the job showed, so that the price book can say it beside its own figures."""
    try:
        count = acts.keep_to_learn(job=find_job(request.user, number), by=request.user)  # type: ignore[arg-type]
    except (*CANT, acts.NothingToLearn) as cant:
        messages.error(request, str(cant))
    else:
        messages.success(request, f"{count} {'figure' if count == 1 else 'figures'} kept to learn from.")
    return redirect("cost", number=number)


def _row(costed: acts.Costed, thing: Thing, units: str) -> CostRow:
    place, area, of = thing
    step = costed.workings.steps[place]
    if of == LABOUR:
        hours = hours_of(step.of.labour, step.ground).person_hours * labour_shares(step)[area]
        name, unit, shown, estimated = "hours", "hour", "h", amount_told(hours, None, units)
    else:
        uses = [use for use in step.materials if use.material == of]
        at = step.areas.index(area)
        need = sum((use.need * use.weights[at] / use.weight for use in uses if use.weight), Decimal(0))
        unit, shown = SHOWN[units][uses[0].dimension]
        name, estimated = uses[0].name, amount_told(need, uses[0].dimension, units)
    return CostRow(
        thing=thing, step=step.step, of=name, unit=unit, shown=shown, estimated=estimated,
        used=costed.used.get(thing), by_crew=thing in costed.by_crew,
    )  # fmt: skip


def _size(net: Decimal | None, unit: str) -> Decimal | None:
    return None if net is None else Decimal(format_number(to_unit(net, unit), 2).replace(",", ""))
