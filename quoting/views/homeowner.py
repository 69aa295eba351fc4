"""The homeowner's pages: the offer, a question, a no, a yes taken back. Without a log-in."""

from __future__ import annotations

import json
import logging
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.agreed import DoesNotAddUp, Offered
from quoting.documents.change_orders import offered_on
from quoting.documents.proposal_found import pictures_of
from quoting.forms.acceptance import ChoiceForm, DeclineForm, QuestionForm
from quoting.models import Acceptance, Answer, Paper, PaperImage, PrivateLink, Proposal, Question
from quoting.services import acceptance as acts
from quoting.services.accounts import TooManyTries, count_attempt
from quoting.services.links import make_link
from quoting.services.questions import ask_question
from quoting.services.replies import last_day
from quoting.views.homeowner_door import behind_the_door
from quoting.views.papers import SANDBOX, pdf_response
from quoting.views.your_bill import bill_page
from quoting.views.your_sheet import sheet_page

State = Proposal.State
log = logging.getLogger(__name__)


@behind_the_door
@require_safe
def your_paper(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """The offer with the sum of what is ticked; or what became of it. To htmx only what depends on the ticks."""
    paper = link.paper
    if paper.kind == Paper.Kind.INVOICE:
        return bill_page(request, link)
    if paper.kind == Paper.Kind.HAND_OVER:
        return sheet_page(request, link)
    state = state_of(paper)
    if state != State.ISSUED:
        return _ended(request, link, state)
    offered = offered_on(paper)
    if paper.kind == Paper.Kind.CHANGE:
        context = offer_context(link, offered) | _sum(offered, 1, [])
        context |= {"questions": _questions(paper), "question": QuestionForm()}
        return render(request, "homeowner/change.html", context)
    form = ChoiceForm(request.GET or {"o": offered.usual}, offered=offered)
    if not form.is_valid():
        form = ChoiceForm({"o": offered.usual}, offered=offered)
        form.full_clean()
    context = offer_context(link, offered) | _sum(offered, form.option, form.add_ons)
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "homeowner/offer.html#ticked", context)
    context |= {"questions": _questions(paper), "question": QuestionForm()}
    return render(request, "homeowner/offer.html", context)


@behind_the_door
@require_POST
def your_paper_opened(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """The page tells by itself that somebody sees it; a mail scanner that follows links does not."""
    acts.open_paper(link=link)
    return HttpResponse(status=204)


@behind_the_door
@require_POST
def your_question(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """Ask the firm; also after a yes."""
    form = QuestionForm(request.POST)
    status = 422
    if form.is_valid():
        try:
            count_attempt("question", str(link.pk))
        except TooManyTries as tries:
            form.add_error(None, str(tries))
            status = 429
        else:
            ask_question(link=link, asked=form.cleaned_data["asked"])
            messages.success(request, "Your question is with us. The answer comes by mail and stands here.")
            return HttpResponseRedirect(f"{address_of('your-paper', link)}#ask")
    context = {"link": link, "paper": link.paper, "facts": json.loads(link.paper.facts), "question": form}
    context["state"] = state_of(link.paper)
    return render(request, "homeowner/ask.html", context, status=status)


@behind_the_door
@require_http_methods(["GET", "HEAD", "POST"])
def your_decline(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """Say no, and why."""
    form = DeclineForm(request.POST or None)
    if form.is_valid():
        try:
            acts.decline_offer(link=link, reason=form.cleaned_data["reason"], words=form.cleaned_data["words"])
        except acts.Closed as closed:
            return turned_back(request, link, closed)
        return redirect("your-paper", number=link.paper.number)
    context = {"link": link, "paper": link.paper, "facts": json.loads(link.paper.facts), "form": form}
    return render(request, "homeowner/decline.html", context, status=422 if form.is_bound else 200)


@behind_the_door
@require_http_methods(["GET", "HEAD", "POST"])
def your_cancel(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """Take a yes back within its period: asked once, with the consequence."""
    found = Acceptance.objects.filter(paper=link.paper_id).first()
    if request.method == "POST":
        try:
            acts.cancel_acceptance(link=link)
        except acts.TooLateToCancel as late:
            return turned_back(request, link, late)
        return redirect("your-paper", number=link.paper.number)
    if found is None or not acts.may_cancel(found, timezone.now()):
        return redirect("your-paper", number=link.paper.number)
    context = {"paper": link.paper, "facts": json.loads(link.paper.facts), "acceptance": found}
    context |= {"cancel_day": last_day(found), "state": State.ACCEPTED}
    return render(request, "homeowner/cancel.html", context)


@behind_the_door
@require_POST
def your_newer(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """From a paper that was revised to the one that stands now, by a link of its own."""
    standing = Proposal.objects.standing().filter(job=link.paper.job_id, paper__revision__gt=link.paper.revision)
    newer = Paper.objects.defer("pdf", "facts").filter(proposal__in=standing).first()
    if newer is None:
        return redirect("your-paper", number=link.paper.number)
    _, address = make_link(newer, None)
    return HttpResponseRedirect(address)


@behind_the_door
@require_safe
def your_pdf(request: HttpRequest, link: PrivateLink) -> HttpResponse:
    """The paper as it was issued, to the byte."""
    paper = Paper.objects.only("number", "kind", "pdf").get(pk=link.paper_id)
    return pdf_response(bytes(paper.pdf), f"{paper.kind}-{paper.number}.pdf")


@behind_the_door
@require_safe
def your_photo(request: HttpRequest, link: PrivateLink, sha256: str) -> HttpResponse:
    """A photograph that stands on the paper, as it was frozen with it; no other, whoever knows its hash."""
    if sha256 not in pictures_of(json.loads(link.paper.facts)):
        raise Http404
    content = get_object_or_404(PaperImage.objects.values_list("content", flat=True), sha256=sha256)
    response = HttpResponse(bytes(content), content_type="image/jpeg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = SANDBOX
    return response


def state_of(paper: Paper) -> str:
    """What the paper is today; the row that it belongs to came with the link."""
    return acts.state_now(paper.change_order if paper.kind == Paper.Kind.CHANGE else paper.proposal, paper)


def offer_context(link: PrivateLink, offered: Offered) -> dict[str, Any]:
    """What every page of an offer shows."""
    seen = offered.facts.get("seen") or {}
    noted = [test for test in seen.get("tests", ()) if not test["sentence"]]
    return {"link": link, "paper": link.paper, "facts": offered.facts, "offered": offered, "noted": noted}


def _sum(offered: Offered, option: int, add_ons: list[int]) -> dict[str, Any]:
    """The choice with its sum; without one where the frozen figures can't be checked, which is logged."""
    try:
        agreed = offered.agree(option, add_ons)
    except DoesNotAddUp:
        log.error("%s: its frozen scopes do not give its figures", offered.paper.number)
        agreed = None
    return {"agreed": agreed, "choice": offered.choice(option), "ticked": add_ons}


def _ended(request: HttpRequest, link: PrivateLink, state: str) -> HttpResponse:
    """What was agreed, or why nothing can be agreed here any more."""
    paper = link.paper
    found = Acceptance.objects.filter(paper=paper).first()
    context: dict[str, Any] = {
        "link": link,
        "paper": paper,
        "facts": json.loads(paper.facts),
        "state": state,
        "acceptance": found,
        "figures": json.loads(found.figures) if found else None,
        "may_cancel": bool(found) and state == State.ACCEPTED and acts.may_cancel(found, timezone.now()),
        "cancel_day": last_day(found) if found else None,
        "cancelled": Answer.objects.filter(paper=paper, kind=Answer.Kind.CANCELLED).first(),
        "declined": Answer.objects.filter(paper=paper, kind=Answer.Kind.DECLINED).first(),
        "newer": paper.kind == Paper.Kind.PROPOSAL
        and Proposal.objects.standing().filter(job=paper.job_id, paper__revision__gt=paper.revision).exists(),
        "questions": _questions(paper),
        "question": QuestionForm(),
    }
    return render(request, "homeowner/ended.html", context)


def _questions(paper: Paper) -> QuerySet[Question]:
    """All that was asked in this folder: a revision does not make a question unasked."""
    return Question.objects.filter(job=paper.job_id)


def turned_back(request: HttpRequest, link: PrivateLink, fault: Exception) -> HttpResponse:
    """Nothing was done: back to the page that says how things stand, with the sentence."""
    messages.error(request, str(fault))
    return redirect("your-paper", number=link.paper.number)


def address_of(name: str, link: PrivateLink) -> str:
    """The address of this page of the link's paper."""
    return reverse(name, args=[link.paper.number])


def with_choice(name: str, link: PrivateLink, option: int, add_ons: list[int]) -> str:
    """The same with what is ticked."""
    return f"{address_of(name, link)}?{urlencode([('o', option), *(('x', number) for number in add_ons)])}"
