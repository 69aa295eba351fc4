"""The firm's rows: taxes that go on proposals, and the stretches of the payment plan with a sample total."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from quoting.forms.firm import SAMPLE, SampleForm
from quoting.forms.firm_rows import OpenedWith, TaxForm, TaxFormSet, TermFormSet, told_tax, told_term
from quoting.models import ChangedMeanwhile
from quoting.services import firm as acts
from quoting.views.access import owner_only
from quoting.views.hands import show_hands
from quoting.views.setting_up import needs_firm

Told = Callable[[], list[str]]


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_tax(request: HttpRequest) -> HttpResponse:
    """The taxes: dated starting points that the firm has confirmed by its adviser."""
    found = acts.current_firm()
    rows = [{name: getattr(rule, name) for name in TaxForm.field_order} for rule in found.tax_rules.all()]

    def told() -> list[str]:
        return [told_tax(rule) for rule in acts.current_firm().tax_rules.all()]

    formset = TaxFormSet(request.POST or None, initial=rows, prefix="tax")
    opened = _opened(request, found.version, told)
    if formset.is_bound and formset.is_valid() and opened.is_valid():
        rules = [acts.TaxLine(**facts) for facts in formset.facts]

        def keep(version: int) -> None:
            acts.keep_tax_rules(by=request.user, version=version, rules=rules)

        yours = [told_tax(rule) for rule in rules]  # type: ignore[arg-type]
        return _kept(request, opened, keep, told, yours, "Tax rules")
    context = {"formset": formset, "opened": opened}
    return render(request, "firm/tax.html", context, status=422 if formset.is_bound else 200)


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_payments(request: HttpRequest) -> HttpResponse:
    """The payment plan; `look` in the form shows it on a sample total and keeps nothing."""
    found = acts.current_firm()
    kept = list(found.payment_terms.all())
    rows = [{"name": term.name, "trigger": term.trigger, "share": term.share, "done": term.done} for term in kept]

    def told() -> list[str]:
        return [told_term(term) for term in acts.current_firm().payment_terms.all()]

    formset = TermFormSet(request.POST or None, initial=rows, prefix="term")
    opened = _opened(request, found.version, told)
    only_look = "look" in request.POST
    valid = formset.is_bound and formset.is_valid() and opened.is_valid()
    terms = [acts.TermLine(**facts) for facts in formset.facts] if valid else []
    if valid and not only_look:

        def keep(version: int) -> None:
            acts.keep_payment_terms(version=version, terms=terms)

        yours = [told_term(term) for term in terms]  # type: ignore[arg-type]
        return _kept(request, opened, keep, told, yours, "Payment terms")
    sample = SampleForm({"sample": request.POST.get("sample") or request.GET.get("sample") or str(SAMPLE)})
    tried = terms if formset.is_bound else kept
    context = {
        "formset": formset,
        "opened": opened,
        "sample": sample,
        "total": sample.total,
        "payments": acts.payments_of(tried, sample.total, found.currency) if tried else [],
        "found": found,
    }
    if only_look and request.htmx:  # type: ignore[attr-defined]
        return render(request, "firm/_payments.html", context)
    return render(request, "firm/payments.html", context, status=422 if formset.is_bound and not valid else 200)


def _opened(request: HttpRequest, version: int, told: Told) -> OpenedWith:
    return OpenedWith(request.POST or None, initial={"version": version, "had": "\n".join(told())})


def _kept(
    request: HttpRequest, opened: OpenedWith, keep: Callable[[int], None], told: Told, yours: list[str], words: str
) -> HttpResponse:
    """Keep the rows; the page of two hands when somebody else changed the same rows meanwhile."""
    had = opened.cleaned_data["had"].replace("\r\n", "\n").splitlines()
    try:
        try:
            keep(opened.cleaned_data["version"])
        except ChangedMeanwhile:
            if told() != had:
                raise
            keep(acts.current_firm().version)
    except ChangedMeanwhile:
        theirs, most = told(), range(max(len(had), len(told()), len(yours)))
        rows = [
            (f"Row {at + 1}", *(each[at] if at < len(each) else "" for each in (had, theirs, yours))) for at in most
        ]
        return show_hands(
            request,
            [row for row in rows if len(set(row[1:])) > 1],
            version=acts.current_firm().version,
            title=f"{words}: changed by somebody else",
            back_url=reverse("firm"),
        )
    messages.success(request, f"{words}: kept.")
    return redirect("firm")
