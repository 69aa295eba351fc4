"""Change orders while they are drafted: one in a minute, its sheet, the work it adds. Owner and office only."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.change_orders import WorkedChange, later_facts, pack_changes
from quoting.documents.change_payments import payment_facts
from quoting.documents.invoices import signed_text
from quoting.forms.change_orders import AddChangeForm, AddWorkForm, ChangeForm
from quoting.forms.jobs import VersionForm
from quoting.models import AddedWork, Area, ChangedMeanwhile, ChangeOrder, Edition, Job
from quoting.services import change_orders as acts
from quoting.services.change_scope import AgreedScope, NotWorkable, agreed_scope, step_keys, work_out_change
from quoting.services.contracts import NoContract
from quoting.services.lapsed_exemptions import lapsed_words
from quoting.services.option_groups import suited
from quoting.views.access import find_job, jobs_for, office_only
from quoting.views.change_papers import issued_page, stands
from quoting.views.hands import two_hands

MEANWHILE = "Somebody changed this draft meanwhile. Look at it again; nothing was done."
GONE = "This draft was issued or thrown away meanwhile. Nothing was done."


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_add(request: HttpRequest, number: str) -> HttpResponse:
    """A new change order: areas, a system and the reason; what comes off is said on its sheet."""
    job = find_job(request.user, number)
    try:
        agreed = agreed_scope(job)
    except (NotWorkable, DoesNotAddUp) as fault:
        messages.error(request, str(fault))
        return redirect("folder", number=number)
    areas, systems = _choices(job, agreed, ChangeOrder.Prices.AGREED)
    own = {area.name for area in agreed.scope.areas} if agreed.scope else set()
    free = [str(area.pk) for area in areas if area.name not in own]
    form = AddChangeForm(request.POST or None, areas=areas, systems=systems, initial={"areas": free[:1]})
    if form.is_valid():
        try:
            row = acts.draft_change(job=job, by=request.user, **form.facts)  # type: ignore[arg-type]
            if form.cleaned_data["areas"]:
                acts.add_work(row=row, version=row.version, **form.work)
        except (NoContract, acts.WrongWork) as fault:
            messages.error(request, str(fault))
            return redirect("folder", number=number)
        return redirect("change", number=number, pk=row.pk)
    context = {"job": job, "form": form, "areas": areas}
    return render(request, "change_orders/add.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """The sheet of a draft with its figures; a POST keeps it. Once it is issued: its paper and what became of it."""
    row = find_change(request, number, pk)
    if row.state != ChangeOrder.State.DRAFTED:
        return issued_page(request, row)
    try:
        agreed = agreed_scope(row.job)
    except (NotWorkable, DoesNotAddUp) as fault:
        messages.error(request, str(fault))
        return redirect("folder", number=number)
    form = _form(row, agreed, request.POST or None)
    if form.is_valid():
        try:
            acts.keep_change(row=row, version=form.cleaned_data["version"] or 0, **form.facts)
        except ChangedMeanwhile:
            row.refresh_from_db()
            return two_hands(
                request,
                form,
                _values(row),
                version=row.version,
                title=f"A change of folder {number} was changed",
                back_url=reverse("change", args=[number, pk]),
            )
        except acts.NotDrafted as fault:
            messages.error(request, str(fault))
        else:
            messages.success(request, "Kept.")
        return redirect("change", number=number, pk=pk)
    return _sheet(request, row, agreed, form, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_work(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Add a further system on areas to a draft."""
    row = find_change(request, number, pk)
    if row.state != ChangeOrder.State.DRAFTED:
        return redirect("change", number=number, pk=pk)
    areas, systems = _choices(row.job, agreed_scope(row.job), row.prices)
    form = AddWorkForm(request.POST or None, areas=areas, systems=systems, initial={"version": row.version})
    if form.is_valid():
        try:
            acts.add_work(row=row, version=form.cleaned_data["version"], **form.work)
        except ChangedMeanwhile:
            messages.error(request, MEANWHILE)
        except acts.NotDrafted:
            messages.error(request, GONE)
        return redirect("change", number=number, pk=pk)
    context = {"job": row.job, "row": row, "form": form, "areas": areas}
    return render(request, "change_orders/work.html", context, status=422 if form.is_bound else 200)


@office_only
@require_POST
def change_work_remove(request: HttpRequest, number: str, pk: int, work: int) -> HttpResponse:
    """Take added work off a draft."""
    row = find_change(request, number, pk)
    try:
        acts.remove_work(row=row, version=_version(request), pk=work)
    except ChangedMeanwhile:
        messages.error(request, MEANWHILE)
    except acts.NotDrafted:
        messages.error(request, GONE)
    return redirect("change", number=number, pk=pk)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_discard(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Asks once, then throws the draft away."""
    row = find_change(request, number, pk)
    if request.method != "POST":
        if row.state != ChangeOrder.State.DRAFTED:
            return redirect("change", number=number, pk=pk)
        return render(request, "change_orders/discard.html", {"job": row.job, "row": row})
    try:
        acts.discard_change(row=row, version=_version(request))
    except ChangedMeanwhile:
        messages.error(request, MEANWHILE)
    except acts.NotDrafted:
        messages.error(request, GONE)
    else:
        messages.success(request, "The draft is thrown away. It never had a number.")
        return redirect("folder", number=number)
    return redirect("change", number=number, pk=pk)


def find_change(request: HttpRequest, number: str, pk: int) -> ChangeOrder:
    """The change order in a folder that this person may open; 404 otherwise."""
    found = ChangeOrder.objects.with_paper().select_related("job__property__customer", "drafted_by")
    return get_object_or_404(found, pk=pk, job__number=number, job__in=jobs_for(request.user))


def _version(request: HttpRequest) -> int:
    form = VersionForm(request.POST)
    return int(form.cleaned_data["version"]) if form.is_valid() else 0


def _choices(job: Job, agreed: AgreedScope, prices: str) -> tuple[list[Area], list[Any]]:
    """The areas of the folder, and the systems of the edition that the work is priced with."""
    areas = list(job.areas.all())
    named = Edition.objects.filter(name=agreed.edition)
    edition = (named if prices == ChangeOrder.Prices.AGREED else Edition.objects.published()).first()
    systems = edition.systems.all() if edition else []
    own = {area.name for area in agreed.scope.areas} if agreed.scope else set()
    free = [area.pk for area in areas if area.name not in own]
    return areas, [(each.system, each.sentence) for each in suited(systems, areas, free[:1])]


def _form(row: ChangeOrder, agreed: AgreedScope, data: Any) -> ChangeForm:
    today = Edition.objects.published().values_list("name", flat=True).first()
    return ChangeForm(
        data,
        initial=_values(row),
        areas=[area.name for area in agreed.scope.areas] if agreed.scope else [],
        steps=step_keys(agreed.scope) if agreed.scope else [],
        editions=[
            (ChangeOrder.Prices.AGREED, f"as it was agreed, by edition {agreed.edition}"),
            (
                ChangeOrder.Prices.TODAY,
                f"by today’s edition {today or 'which is not published'}, with today’s rates and tax",
            ),
        ],
    )


def _values(row: ChangeOrder) -> dict[str, Any]:
    names = ("title", "reason", "why", "prices", "out_areas", "out_steps", "amount_for", "days", "paid_with", "version")
    return {name: getattr(row, name) for name in names} | {"amount": f"{row.amount:.2f}" if row.amount else "0"}


def _sheet(
    request: HttpRequest, row: ChangeOrder, agreed: AgreedScope, form: ChangeForm, *, status: int
) -> HttpResponse:
    worked: WorkedChange | None = None
    missing: tuple[str, ...] = ()
    try:
        worked = work_out_change(row)
    except NotWorkable as gap:
        missing = gap.sentences
    except DoesNotAddUp as fault:
        missing = (str(fault),)
    context: dict[str, Any] = {
        "job": row.job,
        "row": row,
        "form": form,
        "added": list(AddedWork.objects.filter(change_order=row).select_related("system").prefetch_related("areas")),
        "missing": missing,
        "lapsed": lapsed_words(row.job),
        "worked": worked,
        "figures": figures_shown(worked) if worked else None,
    }
    return render(request, "change_orders/draft.html", context, status=status)


def figures_shown(of: WorkedChange) -> dict[str, Any]:
    """The figures of a draft as its sheet shows them."""
    currency, now = of.contract.currency, of.contract.now
    parts = zip(("Taken out", "Added", "Agreed outright"), of.parts, strict=True)
    return {
        "currency": currency,
        "parts": [(words, signed_text(part.price, currency)) for words, part in parts if part.price or part.tax],
        "price": signed_text(of.change.price, currency),
        "taxes": [(tax.name, signed_text(tax.amount, currency)) for tax in of.change.taxes],
        "total": signed_text(of.change.total, currency),
        "before": signed_text(now.total, currency),
        "after": signed_text(now.total + of.change.total, currency),
        "days": of.days,
        "days_before": of.contract.days_now,
        "days_after": None if of.contract.days_now is None else max(of.contract.days_now + of.days, 0),
        **{
            name: told
            for name, told in payment_facts(
                of.contract, of.change, number="", title="This change", paid_with=of.paid_with, place=of.place
            ).items()
            if name in ("paid_words", "payments")
        },
        "later": later_facts(of),
        "packs": pack_changes(of.worked.get("before"), stands(of.worked, all_out=of.all_out)),
        "stays": of.stays,
    }
