"""Issued change orders: previewed and issued, their page, sent, taken back, and what they change in what is loaded."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.change_orders import pack_changes
from quoting.documents.press_order import PaperNotPrinted
from quoting.documents.story import tell
from quoting.forms.invoices import IssueBillForm, MailForm
from quoting.forms.letters import new_act
from quoting.forms.proposals import WithdrawForm
from quoting.models import ChangedMeanwhile, ChangeOrder, Paper, PaperScope
from quoting.services import change_orders as acts
from quoting.services import change_papers as papers
from quoting.services.change_scope import STANDS, NotWorkable, work_out_change
from quoting.services.contracts import NoContract
from quoting.services.lapsed_exemptions import lapsed_words
from quoting.services.money_papers import StillMoving
from quoting.views.access import jobs_for, may_see_money, office_only
from quoting.views.mails import mails_of
from quoting.views.papers import pdf_response

State = ChangeOrder.State
REFUSED = (NotWorkable, DoesNotAddUp, NoContract, StillMoving, PaperNotPrinted, acts.NotDrafted)


@office_only
@require_safe
def change_preview(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """The draft as a PDF, marked as a draft; nothing is kept."""
    row = _find(request, number, pk)
    try:
        pdf = papers.preview_change(row=row)
    except (*REFUSED, papers.IssuedAlready) as refused:
        messages.error(request, str(refused))
        return redirect("change", number=number, pk=pk)
    return pdf_response(pdf, f"draft-of-change-{number}.pdf")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_issue(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Asks once, with the sum, then issues the change order, and mails it where an address is given."""
    row = _find(request, number, pk)
    if row.state != State.DRAFTED:
        return redirect("change", number=number, pk=pk)
    first = {"version": row.version, "to": row.job.property.customer.email}
    form = IssueBillForm(request.POST or None, initial=first)
    if not form.is_valid():
        try:
            total = work_out_change(row).change.total
        except (NotWorkable, DoesNotAddUp) as refused:
            messages.error(request, str(refused))
            return redirect("change", number=number, pk=pk)
        context = {"job": row.job, "row": row, "form": form, "total": total, "lapsed": lapsed_words(row.job)}
        return render(request, "change_orders/issue.html", context, status=422 if form.is_bound else 200)
    to = form.cleaned_data["to"]
    try:
        paper = papers.issue_change(row=row, version=form.cleaned_data["version"], by=request.user, mail_to=to)  # type: ignore[arg-type]
    except papers.IssuedAlready as already:
        messages.info(request, str(already))
    except ChangedMeanwhile:
        messages.error(request, "The draft was changed while you read it. Look at it again; nothing was issued.")
    except REFUSED as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{paper.number} is issued{f' and waits to be mailed to {to}' if to else ''}.")
    return redirect("change", number=number, pk=pk)


def issued_page(request: HttpRequest, row: ChangeOrder) -> HttpResponse:
    """The paper as it was issued, what became of it, its mail and its trail."""
    paper: Paper = row.paper  # type: ignore[assignment]
    events = paper.events.select_related("actor", "paper").defer("paper__pdf", "paper__facts")
    found = Paper.objects.select_related("issued_by", "acceptance").defer("pdf").get(pk=paper.pk)
    context: dict[str, Any] = {
        "job": row.job,
        "row": row,
        "paper": found,
        "facts": json.loads(found.facts),
        "scopes": found.scopes.only("role", "edition", "position", "scope_sha256", "paper_id"),
        "packs": _packs(found),
        "trail": tell(events),
        **mails_of(paper=found),
    }
    return render(request, "change_orders/paper.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_send(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Mail an issued change order, with a private link of its own."""
    row = _find(request, number, pk)
    if row.state != State.ISSUED:
        return redirect("change", number=number, pk=pk)
    first = {"to": row.job.property.customer.email, "once": new_act()}
    form = MailForm(request.POST or None, initial=first)
    if form.is_valid():
        acts_to = form.cleaned_data["to"]
        papers.mail_change(row=row, to=acts_to, by=request.user, once=form.cleaned_data["once"])  # type: ignore[arg-type]
        messages.success(request, f"{row} waits to be mailed to {acts_to}.")
        return redirect("change", number=number, pk=pk)
    context = {"job": row.job, "row": row, "form": form}
    return render(request, "change_orders/send.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_withdraw(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Asks once, and why, then takes the change order back."""
    row = _find(request, number, pk)
    form = WithdrawForm(request.POST or None, initial={"version": row.version})
    if not form.is_valid():
        if row.state != State.ISSUED:
            return redirect("change", number=number, pk=pk)
        context = {"job": row.job, "row": row, "form": form, "back_url": reverse("change", args=[number, pk])}
        return render(request, "change_orders/withdraw.html", context, status=422 if form.is_bound else 200)
    told = {"version": form.cleaned_data["version"], "because": form.cleaned_data["because"]}
    try:
        acts.withdraw_change(row=row, by=request.user, **told)  # type: ignore[arg-type]
    except ChangedMeanwhile:
        messages.error(request, "Its state changed meanwhile.")
    except acts.NotStanding as fault:
        messages.error(request, str(fault))
    else:
        messages.success(request, f"{row} is withdrawn. The homeowner can no longer accept it.")
    return redirect("change", number=number, pk=pk)


@require_safe
def change_load(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """What a change order changes in what is loaded: packs before, after and the difference; no price, for the crew."""
    row = _find(request, number, pk)
    if row.state != State.ACCEPTED and not may_see_money(request.user):
        raise PermissionDenied  # no work is planned, or read by the crew, from a change that is not accepted
    if row.paper is None:
        return redirect("change", number=number, pk=pk)
    title = str(json.loads(row.paper.facts)["title"])
    context = {"job": row.job, "row": row, "title": title, "packs": _packs(row.paper)}
    return render(request, "change_orders/load.html", context)


def stands(worked: Mapping[str, Workings], *, all_out: bool) -> Workings | None:
    """The work as it stands after the change; None where none is left."""
    if all_out and "after" not in worked:
        return None
    return next((worked[name] for name in STANDS if name in worked), None)


def _packs(paper: Paper) -> list[dict[str, Any]]:
    """The packs before and after an issued change, from its frozen scopes."""
    rows = PaperScope.objects.filter(paper=paper, role__in=STANDS).only("role", "scope")
    worked = {row.role: work_out(read_scope(row.scope)) for row in rows}
    all_out = json.loads(paper.facts)["all_out"] == "yes"
    return pack_changes(worked.get("before"), stands(worked, all_out=all_out))


def _find(request: HttpRequest, number: str, pk: int) -> ChangeOrder:
    found = ChangeOrder.objects.with_paper().select_related("job__property__customer")
    return get_object_or_404(found, pk=pk, job__number=number, job__in=jobs_for(request.user))
