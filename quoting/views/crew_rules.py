"""The firm's rules for its crew: the day, reserves, the scale, and the weather's limits with their sources."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.core.scope import Units
from quoting.core.weather_limits import LimitFault
from quoting.forms.crew_rules import CrewRulesForm
from quoting.models import ChangedMeanwhile
from quoting.services.crew_rules import current_rules, keep_rules
from quoting.views.access import owner_only
from quoting.views.mast import the_firm

NAMES = ("opens", "closes", "setting_up", "saturdays", "sundays", "rain_days", "cold_days", "recoat_hours", "version")


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def crew_rules(request: HttpRequest) -> HttpResponse:
    """Look at the rules and keep others."""
    rules, units = current_rules(), Units(the_firm(request).units)
    initial = {name: getattr(rules.row, name) for name in NAMES} | {
        "scale_step": f"{rules.row.scale_step.normalize():f}"
    }
    form = CrewRulesForm(
        request.POST or None, units=units, limits=rules.limits(units), waits=rules.row.waits, initial=initial
    )
    if form.is_valid():
        try:
            keep_rules(by=request.user, **form.facts)
        except ChangedMeanwhile:
            form.add_error(None, "Somebody changed these rules while you had them open. Look at them, then keep yours.")
            form.data = form.data.copy() | {"version": str(current_rules().row.version)}
        except LimitFault as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, "Kept. Days that are laid already stay as they are until they are laid again.")
            return redirect("crew-rules")
    return render(request, "crew/rules.html", {"form": form}, status=422 if form.is_bound else 200)
