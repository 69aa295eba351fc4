"""The offer of a folder while it is drafted: its page, its preview, and issuing it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.contexts import sum_text
from quoting.documents.numbering import paper_number
from quoting.documents.press_order import PaperNotPrinted
from quoting.documents.proposal_facts import terms_of
from quoting.forms.jobs import VersionForm
from quoting.forms.proposals import DraftForm, draft_values
from quoting.models import ChangedMeanwhile, Firm, Job, Option, Proposal
from quoting.services import issue
from quoting.services.exemptions import holding_for
from quoting.services.offers import chosen_of
from quoting.services.proposal_checks import Readiness, look_over
from quoting.services.proposals import (
    DraftGone,
    NotDrafted,
    NothingToOffer,
    WrongChoice,
    discard_draft,
    draft_proposal,
    keep_draft,
)
from quoting.views.access import find_job, office_only
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm
from quoting.views.papers import pdf_response


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def proposal_draft(request: HttpRequest, number: str) -> HttpResponse:
    """The draft with what it offers and what is missing; where there is none, how to begin one. A POST keeps it."""
    job = find_job(request.user, number)
    draft = _draft_of(job)
    if draft is None:
        context = {"job": job, "any_option": Option.objects.filter(job=job, kind=Option.Kind.OPTION).exists()}
        return render(request, "proposals/begin.html", context)
    options = list(Option.objects.filter(job=job))
    form = DraftForm(
        request.POST or None, initial=draft_values(draft, options), options=options, certificates=holding_for(job)
    )
    if form.is_valid():
        try:
            keep_draft(proposal=draft, version=form.cleaned_data["version"] or 0, options=form.chosen, **form.facts)
        except ChangedMeanwhile:
            draft = Proposal.objects.get(pk=draft.pk)
            return two_hands(
                request,
                form,
                draft_values(draft, options),
                version=draft.version,
                title=f"The draft of folder {number} was changed",
                back_url=reverse("proposal-draft", args=[number]),
            )
        except DraftGone as gone:
            messages.error(request, str(gone))
            return redirect("proposal-draft", number=number)
        except (NotDrafted, WrongChoice) as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, "Kept.")
            return redirect("proposal-draft", number=number)
    return _page(request, job, draft, form, status=422 if form.is_bound else 200)


@office_only
@require_POST
def proposal_start(request: HttpRequest, number: str) -> HttpResponse:
    """Begin a draft of all that the folder offers."""
    job = find_job(request.user, number)
    try:
        draft_proposal(job=job, by=request.user)  # type: ignore[arg-type]
    except NothingToOffer as nothing:
        messages.error(request, str(nothing))
        return redirect("folder", number=number)
    return redirect("proposal-draft", number=number)


@office_only
@require_safe
def proposal_preview(request: HttpRequest, number: str) -> HttpResponse:
    """The draft as a PDF, marked as a draft; nothing is kept."""
    job = find_job(request.user, number)
    draft = get_object_or_404(Proposal.objects.being_drafted(), job=job)
    try:
        pdf = issue.preview(proposal=draft)
    except issue.NotReady:
        messages.error(request, "The paper can’t be shown yet: see what is missing.")
        return redirect(f"{reverse('proposal-draft', args=[number])}#before")
    except PaperNotPrinted as failure:
        messages.error(request, failure.sentence)
        return redirect("proposal-draft", number=number)
    return pdf_response(pdf, f"draft-{next_number(job)}.pdf")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def proposal_issue(request: HttpRequest, number: str) -> HttpResponse:
    """Asks once, with what follows; then issues."""
    job = find_job(request.user, number)
    draft = _draft_of(job)
    if draft is None:
        return _no_draft(request, job)
    if request.method != "POST":
        ready = _ready(draft)
        if ready.missing:
            return redirect(f"{reverse('proposal-draft', args=[number])}#before")
        standing = Proposal.objects.standing().filter(job=job).select_related("paper").defer("paper__pdf").first()
        context = {"job": job, "draft": draft, "number": next_number(job), "standing": standing, "ready": ready}
        return render(request, "proposals/issue.html", context)
    form = VersionForm(request.POST)
    version = form.cleaned_data["version"] if form.is_valid() else 0
    return _issue(request, job, draft, version)


def _issue(request: HttpRequest, job: Job, draft: Proposal, version: int) -> HttpResponse:
    draft_page = reverse("proposal-draft", args=[job.number])
    try:
        paper = issue.issue_proposal(proposal=draft, version=version, by=request.user)  # type: ignore[arg-type]
    except issue.AlreadyIssued as already:
        messages.info(request, str(already))
        return redirect("paper", number=already.paper.number)
    except ChangedMeanwhile:
        messages.error(request, "Somebody changed the draft after you opened it. Read it over and issue it then.")
        return redirect(draft_page)
    except issue.NotReady:
        messages.error(request, "Nothing was issued: see what is missing.")
        return redirect(f"{draft_page}#before")
    except (issue.AcceptedAlready, issue.StillMoving, NotDrafted) as failure:
        messages.error(request, str(failure))
        return redirect(draft_page)
    except PaperNotPrinted as failure:
        messages.error(request, f"{failure.sentence} Nothing was issued, and no number is lost.")
        return redirect(draft_page)
    messages.success(request, f"{paper.number} is issued. It never changes from now on; a change is a new revision.")
    return redirect("paper", number=paper.number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def proposal_discard(request: HttpRequest, number: str) -> HttpResponse:
    """Asks once, then throws the draft away; what was issued stays."""
    job = find_job(request.user, number)
    draft = _draft_of(job)
    if draft is None:
        return _no_draft(request, job)
    if request.method != "POST":
        standing = Proposal.objects.standing().filter(job=job).select_related("paper").defer("paper__pdf").first()
        return render(request, "proposals/discard.html", {"job": job, "draft": draft, "standing": standing})
    form = VersionForm(request.POST)
    try:
        version = form.cleaned_data["version"] if form.is_valid() else 0
        discard_draft(proposal=draft, version=version, by=request.user)  # type: ignore[arg-type]
    except ChangedMeanwhile:
        messages.error(request, "Somebody changed the draft after you opened it. Read it over first; it is all there.")
        return redirect("proposal-draft", number=number)
    except NotDrafted as fault:
        messages.error(request, str(fault))
        return redirect("proposal-draft", number=number)
    messages.success(request, "The draft is thrown away. The options of the folder are as they were.")
    return redirect("folder", number=number)


def next_number(job: Job) -> str:
    """The number that the folder's next proposal gets."""
    return paper_number(job.number, job.last_revision + 1)


def _draft_of(job: Job) -> Proposal | None:
    return Proposal.objects.being_drafted().filter(job=job).first()


def _no_draft(request: HttpRequest, job: Job) -> HttpResponse:
    """After a second click there is no draft any more: lead to the paper that stands."""
    standing = Proposal.objects.standing().filter(job=job).select_related("paper").defer("paper__pdf").first()
    if standing and standing.paper:
        messages.info(request, f"{standing.paper.number} is issued already. There is one paper, and this is it.")
        return redirect("paper", number=standing.paper.number)
    return redirect("proposal-draft", number=job.number)


def _ready(draft: Proposal) -> Readiness:
    firm = Firm.objects.defer("logo").first() or Firm()
    return look_over(firm, draft, chosen_of(draft), terms_of(firm, draft) if firm.pk else [])


def _page(request: HttpRequest, job: Job, draft: Proposal, form: DraftForm, *, status: int) -> HttpResponse:
    ready = _ready(draft)
    currency = the_firm(request).currency
    first = ready.offer.options[0] if ready.offer else None
    context: dict[str, Any] = {
        "job": job,
        "draft": draft,
        "form": form,
        "payments": first.payments if first else (),
        "payments_of": sum_text(first.alone.workings.price.of.total, currency) if first else "",
        "allowances": list(draft.allowances.all()),
        "ready": ready,
        "number": next_number(job),
        "prices": [
            (each.option, sum_text(each.alone.workings.price.of.price, currency), _with(each.add_ons, each, currency))
            for each in (ready.offer.options if ready.offer else ())
        ],
    }
    return render(request, "proposals/draft.html", context, status=status)


def _with(add_ons: Any, offered: Any, currency: str) -> list[tuple[Option, str]]:
    """Each extra with what it adds to its option's price."""
    before = offered.alone.workings.price.of.price
    return [(one.option, sum_text(one.together.workings.price.of.price - before, currency)) for one in add_ons]
