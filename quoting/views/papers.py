"""Issued papers: their page, their bytes, the list of a folder. Owner and office only; the crew gets none of them."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.story import tell
from quoting.forms.proposals import WithdrawForm
from quoting.models import Answer, ChangedMeanwhile, ChangeOrder, Job, Paper, Proposal, Receipt
from quoting.services.lost import ENDED
from quoting.services.proposals import NotStanding, revise, withdraw_proposal
from quoting.views.access import find_job, office_only
from quoting.views.mails import mails_of

SANDBOX = "sandbox; default-src 'none'"


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """A PDF that no cache keeps, that is read as nothing else, and from which nothing can run."""
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"
    response["Content-Security-Policy"] = SANDBOX
    return response


@office_only
@require_safe
def papers(request: HttpRequest, number: str) -> HttpResponse:
    """All papers of a folder, the newest first."""
    job = find_job(request.user, number)
    return render(request, "proposals/papers.html", {"job": job, "papers": papers_of(job)})


@office_only
@require_safe
def paper(request: HttpRequest, number: str) -> HttpResponse:
    """A proposal: its state, what stands on it, its fingerprint, the revisions before and after it, and its trail.

    A paper about money has its own page, to which this leads.
    """
    other = Paper.objects.filter(number=number).exclude(kind=Paper.Kind.PROPOSAL).defer("pdf", "facts").first()
    if other is not None:
        return redirect(page_of(other))
    found = get_object_or_404(
        Paper.objects.select_related(
            "job__property__customer", "issued_by", "replaces", "proposal", "acceptance"
        ).defer("pdf", "replaces__pdf", "replaces__facts"),
        number=number,
    )
    events = found.events.select_related("actor", "paper").defer("paper__pdf", "paper__facts")
    context: dict[str, Any] = {
        "paper": found,
        "job": found.job,
        "proposal": found.proposal,
        "facts": json.loads(found.facts),
        "later": found.replaced_by.only("number").first(),
        "scopes": found.scopes.only("role", "name", "edition", "position", "scope_sha256", "paper_id"),
        "trail": tell(events),
        **mails_of(paper=found),
        "draft": Proposal.objects.being_drafted().filter(job=found.job).exists(),
        "ended": ENDED,
    }
    if found.proposal.state == Proposal.State.TAKEN_BACK:
        context["taken_back"] = found.answers.filter(kind=Answer.Kind.CANCELLED).first()
    return render(request, "proposals/paper.html", context)


@office_only
@require_safe
def paper_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """The bytes as they were issued."""
    found = get_object_or_404(Paper.objects.only("number", "kind", "pdf"), number=number)
    return pdf_response(bytes(found.pdf), f"{found.kind}-{found.number}.pdf")


@office_only
@require_POST
def paper_revise(request: HttpRequest, number: str) -> HttpResponse:
    """Begin a draft with the words and options of this paper."""
    proposal = _proposal(number)
    revise(proposal=proposal, by=request.user)  # type: ignore[arg-type]
    messages.success(
        request, f"A draft with the words of {number} is open. {number} stands until the new one is issued."
    )
    return redirect("proposal-draft", number=proposal.job.number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def paper_withdraw(request: HttpRequest, number: str) -> HttpResponse:
    """Asks once, and why, then takes the proposal back."""
    proposal = _proposal(number)
    form = WithdrawForm(request.POST or None, initial={"version": proposal.version})
    if not form.is_valid():
        context = {"proposal": proposal, "number": number, "form": form}
        return render(request, "proposals/withdraw.html", context, status=422 if form.is_bound else 200)
    try:
        withdraw_proposal(
            proposal=proposal,
            version=form.cleaned_data["version"],
            by=request.user,  # type: ignore[arg-type]
            because=form.cleaned_data["because"],
        )
    except (NotStanding, ChangedMeanwhile) as failure:
        messages.error(request, str(failure) if isinstance(failure, NotStanding) else "Its state changed meanwhile.")
    else:
        messages.success(request, f"{number} is withdrawn. The homeowner can no longer accept it.")
    return redirect("paper", number=number)


def page_of(paper: Paper) -> str:
    """The address of the page of a change order, a bill, a credit note, a receipt, a statement or a hand-over sheet."""
    if paper.kind == Paper.Kind.CHANGE:
        row = ChangeOrder.objects.only("pk").get(paper=paper)
        return reverse("change", args=[paper.job.number, row.pk])
    if paper.kind == Paper.Kind.HAND_OVER:
        return reverse("hand-over", args=[paper.job.number])
    if paper.kind == Paper.Kind.RECEIPT:
        payment = Receipt.objects.values_list("payment_id", flat=True).get(paper=paper)
        return reverse("payment", args=[paper.job.number, payment])
    if paper.kind == Paper.Kind.STATEMENT:
        return reverse("statements", args=[paper.job.property.customer_id])
    return reverse("bill", args=[paper.number])


def papers_of(job: Job) -> list[Paper]:
    """The papers of a folder with their states, the newest first, without their bytes."""
    found = Paper.objects.filter(job=job, kind=Paper.Kind.PROPOSAL)
    found = found.select_related("proposal", "issued_by").defer("pdf", "facts")
    return list(found.order_by("-revision", "-pk"))


def _proposal(number: str) -> Proposal:
    found = Proposal.objects.select_related("job", "paper").defer("paper__pdf", "paper__facts")
    return get_object_or_404(found, paper__number=number)
