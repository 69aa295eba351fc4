"""The firm's own pages: who it is, how its papers look, what they ask and say. The owner edits, the office reads."""

from __future__ import annotations

import hashlib
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import condition, require_http_methods, require_safe

from quoting.core.profit import ProfitFault, margin_of_markup, markup_of_margin
from quoting.documents.screen_accent import OWN, accent_sheet, screen_accent
from quoting.forms.firm import FirmForm, LogoForm, LookForm, NameForm, PricingForm, SampleForm, WordsForm
from quoting.forms.firm_bills import BillsForm
from quoting.forms.hands import untouched
from quoting.models import ChangedMeanwhile, Firm
from quoting.services import firm as acts
from quoting.services.starting_words import STARTING_NOTICE, STARTING_NOTICE_DATE, STARTING_WORDS
from quoting.views.access import office_only, owner_only
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm
from quoting.views.setting_up import needs_firm


def _accent(request: HttpRequest) -> str:
    return the_firm(request).accent or OWN


def _accent_tag(request: HttpRequest) -> str:
    return f'"{hashlib.sha256(accent_sheet(_accent(request)).encode()).hexdigest()[:16]}"'


@login_not_required
@require_safe
@cache_control(public=True, no_cache=True)
@condition(etag_func=_accent_tag)
def firm_accent(request: HttpRequest) -> HttpResponse:
    """The firm's accent as a style sheet, sent anew only when it changed; the sign-in page wears it too."""
    return HttpResponse(accent_sheet(_accent(request)), content_type="text/css; charset=utf-8")


@require_safe
@cache_control(private=True, no_cache=True)
def firm_logo(request: HttpRequest) -> HttpResponse:
    """The logo as it was written anew when it was uploaded."""
    logo = Firm.objects.values_list("logo", flat=True).first()
    if not logo:
        raise Http404
    return HttpResponse(bytes(logo), content_type="image/png")


@office_only
@require_safe
def firm(request: HttpRequest) -> HttpResponse:
    """Everything of the firm on one page; before it is set up, what to do first."""
    found = Firm.objects.prefetch_related("tax_rules", "payment_terms").first()
    if found is None:
        return render(request, "firm/first.html")
    sample = SampleForm({"sample": request.GET.get("sample", "")})
    terms = list(found.payment_terms.all())
    context = {
        "firm": found,
        "other_way": _other_way(found.profit_kind, found.profit),
        "accents": [screen_accent(found.accent), screen_accent(found.accent, "dark")],
        "sample": sample.total,
        "payments": acts.payments_of(terms, sample.total, found.currency) if terms else [],
        "notice_date": STARTING_NOTICE_DATE,
    }
    return render(request, "firm/firm.html", context)


def _kept(request: HttpRequest, form: FirmForm, words: str, keep: Any) -> HttpResponse | None:
    """Keep what a valid form says; the page of two hands when somebody changed the same fields meanwhile."""
    try:
        version = form.cleaned_data["version"] or 0
        try:
            keep(version=version, **form.facts)
        except ChangedMeanwhile:
            if not untouched(form, form.values_of(acts.current_firm())):
                raise
            keep(version=acts.current_firm().version, **form.facts)
    except ChangedMeanwhile:
        now = acts.current_firm()
        theirs = form.values_of(now)
        title = f"{words}: changed by somebody else"
        return two_hands(request, form, theirs, version=now.version, title=title, back_url=reverse("firm"))
    except acts.CurrencyFixed as fixed:
        form.add_error("currency", str(fixed))
        return None
    messages.success(request, f"{words}: kept.")
    return redirect("firm")


def _open(request: HttpRequest, form: type[FirmForm], found: Firm, **kwargs: Any) -> FirmForm:
    values = {name: getattr(found, name) for name in form.base_fields if hasattr(found, name)}
    return form(request.POST or None, initial=values, **kwargs)


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def firm_name(request: HttpRequest) -> HttpResponse:
    """Name, addresses, licence and insurance; kept for the first time, it sets the firm up."""
    found = Firm.objects.defer("logo").first()
    form = _open(request, NameForm, found or Firm())
    if form.is_valid():
        if found is None:
            acts.set_up_firm(by=request.user, **form.facts)
            messages.success(request, "The firm is set up. Next: what an hour costs, and your prices.")
            return redirect("firm-pricing")
        if answer := _kept(request, form, "Name and address", acts.keep_firm):
            return answer
    return render(request, "firm/name.html", {"form": form, "first": found is None}, status=_status(form))


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_look(request: HttpRequest) -> HttpResponse:
    """Accent, paper, units, currency."""
    found = acts.current_firm()
    form = _open(request, LookForm, found, currency_fixed=acts.anything_issued())
    if form.is_valid() and (answer := _kept(request, form, "Look and units", acts.keep_firm)):
        return answer
    accents = [screen_accent(found.accent), screen_accent(found.accent, "dark")]
    context = {"form": form, "logo_form": _logo_form(found), "found": found, "accents": accents}
    return render(request, "firm/look.html", context, status=_status(form))


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_logo_keep(request: HttpRequest) -> HttpResponse:
    """Take a new logo, its words, or take the logo away."""
    found = acts.current_firm()
    form = LogoForm(request.POST, request.FILES) if request.method == "POST" else _logo_form(found)
    if form.is_valid():
        try:
            acts.keep_firm(version=form.cleaned_data["version"], **form.facts)
        except ChangedMeanwhile:
            found = acts.current_firm()
            form.data = form.data.copy()
            form.data["version"] = str(found.version)
            form.add_error(
                None, "The firm was changed while you had this open. Look once more, then send the logo again."
            )
        else:
            messages.success(request, "Logo: kept.")
            return redirect("firm")
    return render(request, "firm/logo.html", {"logo_form": form, "found": found}, status=_status(form))


def _logo_form(found: Firm) -> LogoForm:
    return LogoForm(initial={"version": found.version, "logo_words": found.logo_words})


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_pricing(request: HttpRequest) -> HttpResponse:
    """How a cost becomes a price; `look` in the form shows margin and markup anew and keeps nothing."""
    found = acts.current_firm()
    form = _open(request, PricingForm, found)
    only_look = "look" in request.POST

    def keep(**rules: Any) -> Firm:
        return acts.keep_pricing(by=request.user, **rules)

    if not only_look and form.is_valid() and (answer := _kept(request, form, "Pricing rules", keep)):
        return answer
    kind, profit = found.profit_kind, found.profit
    if form.is_bound:
        form.is_valid()
        kind, profit = form.cleaned_data.get("profit_kind", kind), form.cleaned_data.get("profit")
    context = {"form": form, "kind": kind, "profit": profit, "other_way": _other_way(kind, profit), "found": found}
    if only_look and request.htmx:  # type: ignore[attr-defined]
        return render(request, "firm/_profit.html", context)
    return render(request, "firm/pricing.html", context, status=200 if only_look else _status(form))


def _other_way(kind: str, profit: Any) -> Any:
    """The same profit told the other way, or None where it can't be."""
    if profit is None:
        return None
    try:
        return markup_of_margin(profit) if kind == Firm.Profit.MARGIN else margin_of_markup(profit)
    except ProfitFault:
        return None


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_bills(request: HttpRequest) -> HttpResponse:
    """How bills are paid: the days, the account or page, interest when it is late."""
    form = _open(request, BillsForm, acts.current_firm())
    if form.is_valid() and (answer := _kept(request, form, "Bills", acts.keep_firm)):
        return answer
    return render(request, "firm/bills.html", {"form": form}, status=_status(form))


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
@needs_firm
def firm_words(request: HttpRequest) -> HttpResponse:
    """What proposals say; `?start=1` puts the starting texts into empty blanks, and keeps nothing yet."""
    found = acts.current_firm()
    form = _open(request, WordsForm, found)
    if form.is_valid() and (answer := _kept(request, form, "Words", acts.keep_firm)):
        return answer
    if request.GET.get("start") and not form.is_bound:
        for name, text in (STARTING_WORDS | {"notice": STARTING_NOTICE}).items():
            if not form.initial[name]:
                form.fields[name].show_hidden_initial = False
                form.initial[name] = text
    context = {"form": form, "notice_date": STARTING_NOTICE_DATE}
    return render(request, "firm/words.html", context, status=_status(form))


def _status(form: Any) -> int:
    return 422 if form.is_bound else 200
