"""The sheet of one option: every figure open to be changed, worked out anew while it is typed, and kept at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from quoting.core.rounding import minor_places, round_money
from quoting.core.units import NumberFault, format_number, parse_number
from quoting.core.workings import Workings
from quoting.forms.option_sheet import Merged, SheetForm, merge
from quoting.models import ChangedMeanwhile, Edition, Firm, Material, Option
from quoting.services.extras import Extra, price_extra
from quoting.services.option_sheet import Sheet, lay_sheet
from quoting.services.options import OptionNameTaken, keep_option
from quoting.services.scope import OptionIncomplete, visits_of, workings_of
from quoting.services.scope_work import Gap
from quoting.views.access import office_only
from quoting.views.hands import show_hands
from quoting.views.options import find_option, pricing_firm
from quoting.views.priced import figure_rows
from quoting.views.sheet_rows import group_rows
from quoting.views.side_by_side import ExtraRow, extra_row
from quoting.views.worked import pack_rows

TRIES = 3
"""How often a sheet is kept again because somebody kept another blank of it in between."""


@dataclass(slots=True, kw_only=True)
class Worked:
    """What is written on a sheet, worked out; or the gaps that stand in its way."""

    workings: Workings | None = None
    gaps: tuple[Gap, ...] = ()
    extra: Extra | None = None


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def option(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """The sheet. POST keeps it; with `work_out` it only shows what it comes to."""
    found = find_option(request, number, pk)
    if request.method != "POST":
        return _show(request, found, _form(request, found))
    if "work_out" in request.POST:
        data = _merged(request.POST, found).data
        return _show(request, found, _form(request, found, data, preview=True))
    return _keep(request, found)


@office_only
@require_POST
def option_figures(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """What is typed at this moment, worked out. Writes nothing."""
    found = find_option(request, number, pk)
    form = _form(request, found, _merged(request.POST, found).data, preview=True)
    return render(request, "options/_live.html", _context(request, found, form, live=True))


def _keep(request: HttpRequest, found: Option) -> HttpResponse:
    data = request.POST
    for _try in range(TRIES):
        merged = _merged(data, found)
        if merged.clashes:
            return _two_hands(request, found, merged)
        form = _form(request, found, merged.data)
        if not form.is_valid():
            return _show(request, found, form, status=422)
        try:
            keep_option(option=found, version=found.version, sheet=Sheet(**form.facts))
        except OptionNameTaken as fault:
            form.add_error("name", str(fault))
            return _show(request, found, form, status=422)
        except ChangedMeanwhile:
            found = find_option(request, found.job.number, found.pk)
            continue
        messages.success(request, f"“{form.cleaned_data['name']}” is kept.")
        return redirect("option", number=found.job.number, pk=found.pk)
    messages.error(request, "Others are at work on this option just now. Nothing was kept yet: try again.")
    return _show(request, found, _form(request, found, _merged(data, found).data, preview=True), status=409)


def _merged(posted: QueryDict, found: Option) -> Merged:
    """What was typed, on top of what others have kept since the sheet was opened."""
    if posted.get("version") == str(found.version):
        return Merged(posted, ())
    return merge(posted, found)


def _two_hands(request: HttpRequest, found: Option, merged: Merged) -> HttpResponse:
    form = _form(request, found)
    labels = {name: str(each.label) for name, each in form.fields.items()}
    rows = [
        (labels.get(each.name, "A step that is gone"), *(_told(form, each.name, text) for text in each[1:]))
        for each in merged.clashes
    ]
    return show_hands(
        request,
        rows,  # type: ignore[arg-type]
        posted=merged.data,
        version=found.version,
        title=f"“{found.name}” was changed",
        back_url=reverse("option", args=[found.job.number, found.pk]),
    )


def _told(form: SheetForm, name: str, text: str) -> str:
    """What stands in a blank as a person says it: the word of a choice, and an empty blank is the book's figure."""
    field = form.fields.get(name)
    if isinstance(field, forms.BooleanField):
        return "ticked" if text else "not ticked"
    if isinstance(field, forms.ChoiceField):
        return next((str(label) for key, label in field.choices if str(key) == text), text)
    return text or ("by the book" if name in form.blanks else "nothing")


def _form(
    request: HttpRequest, found: Option, data: Mapping[str, Any] | None = None, *, preview: bool = False
) -> SheetForm:
    firm = pricing_firm(request)
    if not hasattr(request, "_materials"):
        of_edition = Material.objects.filter(edition=found.edition_id).prefetch_related("packs", "coverages")
        request._materials = list(of_edition)  # type: ignore[attr-defined]
    return SheetForm(
        data,
        option=found,
        materials=request._materials,  # type: ignore[attr-defined]
        units=firm.units,
        currency=firm.currency,
        preview=preview,
    )


def _show(request: HttpRequest, found: Option, form: SheetForm, status: int = 200) -> HttpResponse:
    context = _context(request, found, form)
    return render(request, "options/sheet.html", context, status=status)


def _context(request: HttpRequest, found: Option, form: SheetForm, *, live: bool = False) -> dict[str, Any]:
    """Everything on the page. What is typed is laid onto the option in memory, and nothing is written."""
    firm = pricing_firm(request)
    kept_name = found.name
    readable = True
    if form.is_bound:
        # What only lacks a reason can be worked out all the same.
        seen = form if form.is_valid() else _form(request, found, form.data, preview=True)
        readable = seen.is_valid()
        if readable:
            lay_sheet(found, Sheet(**seen.facts))
    done = _work_out(firm, found) if readable else Worked()
    visits = visits_of(found)
    price = _price(firm, done)
    was, now = _before(request.POST, price)
    return {
        "option": found,
        "kept_name": kept_name,
        "job": found.job,
        "form": form,
        "groups": group_rows(found, form, done.workings, done.gaps, say_faults=live),
        "charges": _charges(found, form, len(visits), done.workings),
        "gaps": [gap.sentence for gap in done.gaps if gap.option_step is None],
        "step_gaps": any(gap.option_step is not None for gap in done.gaps),
        "workings": done.workings,
        "figures": figure_rows(done.workings, visits) if done.workings else [],
        "packs": pack_rows(done.workings.materials, firm.currency) if done.workings else [],
        "extra": _extra_row(done.extra, firm),
        "price": price,
        "price_was": was,
        "price_now": now,
        "mend": form.is_bound and not form.is_valid(),
        "readable": readable,
        "live": live,
        "outdated": found.edition.state == Edition.State.SUPERSEDED,
    }


def _work_out(firm: Firm, found: Option) -> Worked:
    done = Worked()
    try:
        done.workings = workings_of(firm, found)
    except OptionIncomplete as incomplete:
        done.gaps = incomplete.gaps
    if found.with_option_id:
        done.extra = _as_extra(firm, found)
    return done


def _as_extra(firm: Firm, found: Option) -> Extra:
    parent = Option.objects.with_everything().get(add_ons=found)
    try:
        beside = workings_of(firm, parent)
    except OptionIncomplete:
        beside = None
    return price_extra(firm, parent, found, beside)


def _extra_row(extra: Extra | None, firm: Firm) -> ExtraRow | None:
    return extra_row(extra, firm.currency) if extra else None


def _charges(found: Option, form: SheetForm, visits: int, workings: Workings | None) -> list[dict[str, Any]]:
    """The charges that are kept, each with its tick, its amount for all the visits, and a box to remove its own."""
    rows = []
    base = workings.price.of.before_shares if workings else None
    for charge in found.charges.all():
        if not charge.pk:
            continue
        times = visits if charge.per == "visit" else 1
        amount = charge.amount.amount * times
        if charge.share is not None:
            amount = None if base is None else round_money(base * charge.share, found.discount.currency.code)
        gone = f"c{charge.pk}_gone"
        rows.append(
            {
                "row": charge,
                "tick": form[f"c{charge.pk}_on"],
                "gone": form[gone] if gone in form.fields else None,
                "times": times,
                "amount": charge.amount.amount,
                "sum": amount,
            }
        )
    return rows


def _price(firm: Firm, done: Worked) -> str:
    """The price that is looked at: of the option, or what the extra adds to its option."""
    if done.extra is not None:
        amount = done.extra.now if done.extra.now is not None else done.extra.later
    else:
        amount = done.workings.price.of.price if done.workings else None
    return "" if amount is None else format_number(amount, minor_places(firm.currency))


def _before(posted: Mapping[str, Any], price: str) -> tuple[str, str]:
    """The price before the last change that moved it, to be struck, and the one to send along for the next change."""
    last, earlier = (_amount(posted.get(name, "")) for name in ("price_now", "price_was"))
    now = price or last
    return (last if last and last != now else earlier), now


def _amount(text: str) -> str:
    """A sum that travelled through the page, if it is one."""
    try:
        return format_number(parse_number(text.replace(",", "")), 2) if text else ""
    except NumberFault:
        return ""
