"""The firm's region rules: dated starting points, checked, dated and switched on by the owner. The office reads."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.region_rules import figures_said
from quoting.forms.jobs import VersionForm
from quoting.forms.region_rules import KindForm, LoadForm, RuleForm, rule_values
from quoting.models import ChangedMeanwhile, RegionRule
from quoting.services import region_rules as acts
from quoting.services.firm import current_firm
from quoting.views.access import office_only, owner_only
from quoting.views.hands import two_hands
from quoting.views.setting_up import needs_firm


@office_only
@require_safe
@needs_firm
def rules(request: HttpRequest) -> HttpResponse:
    """All rules, region by region, with what is to load."""
    firm = current_firm()
    found = list(firm.region_rules.all())
    regions = acts.regions_to_load({rule.key: rule for rule in found})
    home = next((region for region, _ in regions if region == firm.region), None)
    grouped: dict[str, list[tuple[RegionRule, str]]] = {}
    for rule in found:
        grouped.setdefault(rule.region, []).append((rule, figures_said(rule.kind, rule.figures)))
    context = {
        "grouped": list(grouped.items()),
        "load": LoadForm(regions=regions, initial={"region": home}) if regions else None,
        "kinds": KindForm(),
        "on": sum(rule.on for rule in found),
        "count": len(found),
    }
    return render(request, "firm/rules.html", context)


@owner_only
@require_POST
@needs_firm
def rules_load(request: HttpRequest) -> HttpResponse:
    """Load a region's starting rules, switched off."""
    have = dict.fromkeys(current_firm().region_rules.values_list("key", flat=True))
    form = LoadForm(request.POST, regions=acts.regions_to_load(have))
    if form.is_valid():
        region = form.cleaned_data["region"]
        added = acts.load_rules(region=region, by=request.user)  # type: ignore[arg-type]
        messages.success(
            request, f"{region}: {added} rules added, all switched off. Have them checked by your adviser."
        )
    else:
        messages.info(request, "The rules of that region are there already.")
    return redirect("rules")


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def rule_add(request: HttpRequest) -> HttpResponse:
    """A rule of the firm's own; its kind stands in the address and decides which figures it has."""
    chosen = KindForm(request.GET)
    if not chosen.is_valid():
        return redirect(f"{reverse('rules')}#more")
    kind = chosen.cleaned_data["kind"]
    form = RuleForm(request.POST or None, kind=kind, initial={"region": current_firm().region})
    if form.is_valid():
        try:
            rule = acts.add_rule(by=request.user, kind=kind, **form.facts)  # type: ignore[arg-type]
        except acts.TooManyRules as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"{rule.name}: kept.")
            return redirect("rules")
    context = {"form": form, "kind": RegionRule.Kind(kind).label, "rule": None}
    return render(request, "firm/rule.html", context, status=422 if form.is_bound else 200)


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def rule(request: HttpRequest, pk: int) -> HttpResponse:
    """One rule to change, date and switch."""
    found = get_object_or_404(RegionRule, pk=pk)
    form = RuleForm(request.POST or None, kind=found.kind, initial=rule_values(found))
    if form.is_valid():
        version = form.cleaned_data["version"] or 0
        try:
            acts.keep_rule(rule=found, version=version, by=request.user, **form.facts)  # type: ignore[arg-type]
        except ChangedMeanwhile:
            found.refresh_from_db()
            theirs = {name: form.fields[name].prepare_value(value) for name, value in rule_values(found).items()}
            title = f"{found.name}: changed by somebody else"
            return two_hands(request, form, theirs, version=found.version, title=title, back_url=reverse("rules"))
        messages.success(request, f"{form.cleaned_data['name']}: kept.")
        return redirect("rules")
    context = {"form": form, "kind": found.get_kind_display(), "rule": found}
    return render(request, "firm/rule.html", context, status=422 if form.is_bound else 200)


@owner_only
@require_POST
def rule_switch(request: HttpRequest, pk: int) -> HttpResponse:
    """Switch a rule on or off from the list."""
    found = get_object_or_404(RegionRule, pk=pk)
    on = "on" in request.POST
    if on and found.kind in (RegionRule.Kind.NOTICE, RegionRule.Kind.CANCELLATION) and not found.text.strip():
        messages.error(request, f"{found.name}: a notice needs its words before it is switched on.")
        return redirect("rule", pk=pk)
    try:
        acts.switch_rule(rule=found, version=_version(request), on=on, by=request.user)  # type: ignore[arg-type]
    except ChangedMeanwhile:
        messages.error(request, f"{found.name} was changed meanwhile. Read it, and switch it then.")
    else:
        messages.success(request, f"{found.name} is switched {'on' if on else 'off'}.")
    return redirect("rules")


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def rule_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Asks once, then removes a rule that is off."""
    found = get_object_or_404(RegionRule, pk=pk)
    if request.method != "POST":
        return render(request, "firm/rule_remove.html", {"rule": found})
    try:
        acts.remove_rule(rule=found, version=_version(request), by=request.user)  # type: ignore[arg-type]
    except acts.StillOn as fault:
        messages.error(request, str(fault))
    except ChangedMeanwhile:
        messages.error(request, f"{found.name} was changed meanwhile. Read it first.")
    else:
        messages.success(request, f"{found.name} is removed.")
    return redirect("rules")


def _version(request: HttpRequest) -> int:
    form = VersionForm(request.POST)
    return (form.cleaned_data["version"] or 0) if form.is_valid() else 0
