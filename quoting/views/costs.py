"""What a job cost, for the owner and the office: where a difference comes from, mending it, learning from it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.core.job_cost import LABOUR, Cause, CostFault, Difference
from quoting.core.labour import hours_of
from quoting.core.units import Dimension, format_number, to_unit
from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.contexts import NB, sum_text
from quoting.documents.used import Thing, labour_shares
from quoting.forms.costs import AreaRow, CostForm, CostRow
from quoting.models import ChangedMeanwhile, CostSheet, Observed
from quoting.services import costs as acts
from quoting.services.agreed_work import NothingAgreed
from quoting.views.access import find_job, office_only
from quoting.views.mast import the_firm

CAUSES = {
    Cause.AREA: "the area was another",
    Cause.COVERAGE: "it went less or further than reckoned",
    Cause.HOURS: "it took other hours than reckoned",
    Cause.WEATHER: "the weather",
    Cause.EXTRA: "work that was not in the scope",
}
"""Which assumption a difference comes from."""

SHOWN = {
    "us": {Dimension.VOLUME: ("gal", "gal"), Dimension.MASS: ("oz", "oz"), Dimension.COUNT: ("each", "pieces")},
    "metric": {Dimension.VOLUME: ("L", "L"), Dimension.MASS: ("kg", "kg"), Dimension.COUNT: ("each", "pieces")},
}
"""The unit in which an amount is written, and its word."""

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
    found, all_things = costed.cost, len(acts.things_of(costed.workings))
    names = {figure.material: figure.of for figure in costed.workings.materials}

    def told(amount: Decimal) -> str:
        return signed(amount, currency)

    context = {
        "job": job,
        "sheet": sheet,
        "currency": currency,
        "known": len(found.lines),
        "all": all_things,
        "estimated": sum_text(found.estimated, currency),
        "used": sum_text(found.used, currency),
        "difference": told(found.difference),
        "more": found.difference > 0,
        "causes": [(CAUSES[cause], told(amount)) for cause, amount in found.by_cause.items() if amount],
        "steps": [(name, told(amount)) for name, amount in found.by_step.items()],
        "areas": [(name, told(amount)) for name, amount in found.by_area.items()],
        "lines": [_line(line, names, currency, units) for line in found.lines],
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
            form.add_error(
                None, "Somebody else kept figures of this job meanwhile. Open the page again beside this one."
            )
        else:
            messages.success(request, "Kept.")
            return redirect("cost", number=number)
    context = {"job": job, "form": form, "area_unit": "m²" if units == "metric" else "ft²"}
    context["back"] = reverse("cost", args=[number])
    return render(request, "costs/enter.html", context, status=422 if form.is_bound else 200)


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


def signed(amount: Decimal, currency: str) -> str:
    """A difference with its sign: + where it cost more."""
    told = sum_text(abs(amount), currency)
    return f"+{told}" if amount > 0 else f"\u2212{told}" if amount < 0 else told


def _line(line: Difference, names: dict[str, Any], currency: str, units: str) -> dict[str, Any]:
    dimension = names[line.of].packs[0].size.dimension if line.of in names else None
    return {
        "step": line.step,
        "area": line.area,
        "of": "hours" if line.of == LABOUR else names[line.of].name,
        "estimated": _told(line.estimated, dimension, units),
        "used": _told(line.used, dimension, units),
        "sum": signed(line.difference_sum, currency),
        "causes": [
            f"{CAUSES[cause]}: {signed(amount, currency)}" for cause, amount in line.cause_sums.items() if amount
        ],
    }


def _row(costed: acts.Costed, thing: Thing, units: str) -> CostRow:
    place, area, of = thing
    step = costed.workings.steps[place]
    if of == LABOUR:
        hours = hours_of(step.of.labour, step.ground).person_hours * labour_shares(step)[area]
        name, unit, shown, estimated = "hours", "hour", "h", _told(hours, None, units)
    else:
        uses = [use for use in step.materials if use.material == of]
        at = step.areas.index(area)
        need = sum((use.need * use.weights[at] / use.weight for use in uses if use.weight), Decimal(0))
        unit, shown = SHOWN[units][uses[0].dimension]
        name, estimated = uses[0].name, _told(need, uses[0].dimension, units)
    return CostRow(
        thing=thing, step=step.step, of=name, unit=unit, shown=shown, estimated=estimated,
        used=costed.used.get(thing), by_crew=thing in costed.by_crew,
    )  # fmt: skip


def _told(amount: Decimal, dimension: Dimension | None, units: str) -> str:
    if dimension is None:
        return f"{format_number(amount, 1)}{NB}h"
    unit, word = SHOWN[units][dimension]
    return f"{format_number(to_unit(amount, unit), 0 if dimension is Dimension.COUNT else 2)}{NB}{word}"


def _size(net: Decimal | None, unit: str) -> Decimal | None:
    return None if net is None else Decimal(format_number(to_unit(net, unit), 2).replace(",", ""))
