"""The office's side of the homeowner's page: questions and their answers, private links, the evidence of a yes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.evidence import evidence_pdf
from quoting.documents.press_order import PaperNotPrinted
from quoting.forms.acceptance import AnswerForm
from quoting.models import Acceptance, Firm, Job, Paper, PrivateLink, Question
from quoting.services.firm import THE_FIRM
from quoting.services.links import make_link, revoke_link
from quoting.services.questions import AnsweredAlready, answer_question
from quoting.views.access import find_job, office_only
from quoting.views.papers import pdf_response


@office_only
@require_safe
def questions(request: HttpRequest, number: str) -> HttpResponse:
    """All that was asked in a folder, and what was answered."""
    job = find_job(request.user, number)
    return render(request, "homeowner/questions.html", {"job": job, "questions": _asked(job.pk)})


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def question_answer(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Answer one question, once."""
    job = find_job(request.user, number)
    question = get_object_or_404(_asked(job.pk), pk=pk)
    form = AnswerForm(request.POST or None)
    if form.is_valid():
        try:
            answer_question(question=question, answer=form.cleaned_data["answer"], by=request.user)  # type: ignore[arg-type]
        except AnsweredAlready as already:
            messages.error(request, str(already))
        else:
            messages.success(request, "Answered. It stands on their page, and a mail is on its way.")
        return redirect("questions", number=number)
    context = {"job": job, "question": question, "form": form}
    return render(request, "homeowner/answer.html", context, status=422 if form.is_bound else 200)


@office_only
@require_safe
def paper_links(request: HttpRequest, number: str) -> HttpResponse:
    """The private links to a paper: when each was made, opened and looked over; none can be shown again."""
    paper = _paper(number)
    links = paper.links.select_related("made_by")
    return render(request, "homeowner/links.html", {"paper": paper, "job": paper.job, "links": links})


@office_only
@require_POST
def paper_link_make(request: HttpRequest, number: str) -> HttpResponse:
    """Make a link and show it, this once, to be sent by hand or opened on this screen."""
    paper = _paper(number)
    _, address = make_link(paper, request.user)  # type: ignore[arg-type]
    response = render(request, "homeowner/link_made.html", {"paper": paper, "job": paper.job, "address": address})
    response["Cache-Control"] = "no-store"
    return response


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def paper_link_revoke(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Take a link back; asked once."""
    paper = _paper(number)
    link = get_object_or_404(PrivateLink, paper=paper, pk=pk)
    if request.method == "POST":
        revoke_link(link)
        messages.success(request, "Taken back. The link opens nothing any more.")
        return redirect("paper-links", number=number)
    return render(request, "homeowner/link_revoke.html", {"paper": paper, "job": paper.job, "link": link})


@office_only
@require_safe
def paper_evidence(request: HttpRequest, number: str) -> HttpResponse:
    """The evidence sheet of the paper's acceptance, as a PDF."""
    found = Acceptance.objects.select_related("paper__job__property__customer").defer("paper__pdf", "paper__facts")
    acceptance = get_object_or_404(found, paper__number=number)
    try:
        pdf = evidence_pdf(acceptance, Firm.objects.get(pk=THE_FIRM))
    except PaperNotPrinted as fault:
        messages.error(request, str(fault))
        return redirect("paper", number=number)
    return pdf_response(pdf, f"evidence-{number}.pdf")


def questions_in(job: Job) -> dict[str, Any]:
    """`questions` of a folder, and how many nobody has answered, for templates/homeowner/_asked_in.html."""
    asked = list(_asked(job.pk))
    return {"questions": asked, "unanswered": sum(each.answered_at is None for each in asked)}


def _asked(job: int) -> QuerySet[Question]:
    return (
        Question.objects.filter(job=job)
        .select_related("paper", "answered_by")
        .defer("paper__pdf", "paper__facts")
        .order_by("asked_at", "pk")
    )


def _paper(number: str) -> Paper:
    found = Paper.objects.select_related("job__property__customer").defer("pdf", "facts")
    return get_object_or_404(found, number=number)
