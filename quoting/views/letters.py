"""Letters about an offer: read over, sent, looked at, sent again. Pages only write into the outbox."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.forms.letters import LetterForm, new_act
from quoting.models import Message, Paper, Proposal
from quoting.models.outbox import LINK
from quoting.services.letters import NotOut, draft_letter, leave_follow_up, send_again, send_letter
from quoting.services.outbox import leave_refused
from quoting.views.access import office_only
from quoting.views.mails import sender_is_late


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def paper_send(request: HttpRequest, number: str) -> HttpResponse:
    """The proposal's mail, to be read over; a POST puts it into the outbox."""
    return _letter(request, _paper(number), Message.Kind.PROPOSAL)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def paper_follow_up(request: HttpRequest, number: str) -> HttpResponse:
    """A follow-up, to be read over; a POST puts it into the outbox. It never goes out by itself."""
    return _letter(request, _paper(number), Message.Kind.FOLLOW_UP)


@office_only
@require_POST
def follow_up_leave(request: HttpRequest, number: str) -> HttpResponse:
    """Nothing is written this time."""
    leave_follow_up(paper=_paper(number), by=request.user)  # type: ignore[arg-type]
    messages.success(request, "Left. The desk says so when the next day has come.")
    return redirect("desk")


@office_only
@require_safe
def mail(request: HttpRequest, pk: int) -> HttpResponse:
    """One mail: its words, where it is, and what the mail server said."""
    found = _message(pk)
    context = {"mail": found, "late": sender_is_late([found]), "link": LINK}
    return render(request, "letters/mail.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def mail_again(request: HttpRequest, pk: int) -> HttpResponse:
    """The same words to be read over, with an address that may be mended; a POST sends them as a new mail."""
    old = _message(pk)
    words = {"to": old.to, "subject": old.subject, "words": old.words, "once": new_act()}
    form = LetterForm(request.POST or None, initial=words, needs_link=old.with_link)
    if form.is_valid():
        try:
            new = send_again(message=old, by=request.user, **form.facts)  # type: ignore[arg-type]
        except NotOut as refused:
            messages.error(request, str(refused))
            return redirect("mail", pk=pk)
        messages.success(request, f"On its way to {new.to}.")
        return _back(old)
    context = {
        "form": form,
        "old": old,
        "paper": old.paper,
        "job": old.job,
        "kind": old.kind,
        "attach": old.attach_paper,
    }
    return render(request, "letters/letter.html", context, status=422 if form.is_bound else 200)


@office_only
@require_POST
def mail_leave(request: HttpRequest, pk: int) -> HttpResponse:
    """Somebody saw that it was refused and dealt with it another way."""
    found = _message(pk)
    leave_refused(found)
    messages.success(request, "Left as it is; the desk no longer names it.")
    return _back(found)


def _letter(request: HttpRequest, paper: Paper, kind: str) -> HttpResponse:
    proposal: Proposal = paper.proposal
    if proposal.state != Proposal.State.ISSUED:
        messages.error(request, str(NotOut(paper.number, proposal.state)))
        return redirect("paper", number=paper.number)
    form = LetterForm(request.POST or None, initial=_first(request, paper, kind) if request.method != "POST" else None)
    if form.is_valid():
        try:
            sent = send_letter(kind=kind, paper=paper, by=request.user, **form.facts)  # type: ignore[arg-type]
        except NotOut as refused:
            messages.error(request, str(refused))
            return redirect("paper", number=paper.number)
        messages.success(request, f"On its way to {sent.to}. The folder says when it has arrived, or why it has not.")
        return redirect("paper", number=paper.number)
    context: dict[str, Any] = {
        "form": form,
        "paper": paper,
        "job": paper.job,
        "kind": kind,
        "attach": kind == Message.Kind.PROPOSAL,
        "before": paper.messages.filter(kind=kind).exclude(state=Message.State.REFUSED).first(),
        "today": timezone.localdate(),
    }
    return render(request, "letters/letter.html", context, status=422 if form.is_bound else 200)


def _first(request: HttpRequest, paper: Paper, kind: str) -> dict[str, str]:
    draft = draft_letter(kind=kind, paper=paper, by=request.user)  # type: ignore[arg-type]
    return {"to": draft.to, "subject": draft.subject, "words": draft.words, "once": new_act()}


def _back(message: Message) -> HttpResponse:
    if message.paper:
        return redirect("paper", number=message.paper.number)
    return redirect("folder", number=message.job.number) if message.job else redirect("desk")


def _paper(number: str) -> Paper:
    found = Paper.objects.select_related("job__property__customer", "proposal").defer("pdf", "facts")
    return get_object_or_404(found, number=number, proposal__isnull=False)


def _message(pk: int) -> Message:
    found = Message.objects.select_related("job__property", "paper", "written_by").defer("paper__pdf", "paper__facts")
    return get_object_or_404(found, pk=pk)
