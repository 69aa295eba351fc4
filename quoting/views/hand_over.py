"""The hand-over of a job: walked over, issued as a sheet, mailed, signed; and what is on the slab, in the folder."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.hand_over import POINTS, seal_words, window_words
from quoting.documents.photo_pairs import BY_AREA, sides_of
from quoting.documents.press_order import PaperNotPrinted
from quoting.documents.proposal_found import PhotoLost
from quoting.forms.hand_over import HandOverForm, SignedForm
from quoting.forms.letters import LetterForm, new_act
from quoting.models import ChangedMeanwhile, HandOver, Job, Paper, Photo, PrivateLink, SlabRecord
from quoting.services import hand_over as acts
from quoting.services.agreed_work import NothingAgreed
from quoting.services.money_papers import StillMoving
from quoting.views.access import find_job, office_only
from quoting.views.hands import two_hands
from quoting.views.papers import pdf_response

FIELDS = ("finished_on", "walk_hours", "furniture_hours", "park_hours", "walked", "note", "care")
CANT = (NothingAgreed, DoesNotAddUp, acts.NothingPutOn, PhotoLost, StillMoving, PaperNotPrinted)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def hand_over(request: HttpRequest, number: str) -> HttpResponse:
    """The draft with its walk-through; once issued, what was handed over, and the sign-off."""
    job = find_job(request.user, number)
    row = _row(job)
    if row is None:
        return render(request, "hand_over/begin.html", {"job": job})
    if row.paper:
        return _issued_page(request, job, row)
    form = HandOverForm(request.POST or None, initial=_values(row), slabs=row.slabs)
    if form.is_valid():
        try:
            acts.keep_hand_over(row=row, version=form.cleaned_data["version"], **form.facts)
        except ChangedMeanwhile:
            row.refresh_from_db()
            title, back = f"Folder {number}: the hand-over was changed", reverse("hand-over", args=[number])
            return two_hands(request, form, _values(row), version=row.version, title=title, back_url=back)
        except acts.SheetOut as out:
            messages.error(request, str(out))
        else:
            messages.success(request, "Kept.")
        return redirect("hand-over", number=number)
    context = {"job": job, "row": row, "form": form, "left": len(POINTS) - len(row.walked)} | _photos(job)
    return render(request, "hand_over/draft.html", context, status=422 if form.is_bound else 200)


@office_only
@require_POST
def hand_over_begin(request: HttpRequest, number: str) -> HttpResponse:
    """Open the draft; the one that is there, if one is."""
    try:
        acts.begin_hand_over(job=find_job(request.user, number), by=request.user)  # type: ignore[arg-type]
    except (NothingAgreed, DoesNotAddUp, acts.NothingPutOn) as cant:
        messages.error(request, str(cant))
    return redirect("hand-over", number=number)


@office_only
@require_safe
def hand_over_preview(request: HttpRequest, number: str) -> HttpResponse:
    """The draft as a PDF; nothing is kept."""
    row = _row(find_job(request.user, number))
    if row is None or row.paper:
        return redirect("hand-over", number=number)
    try:
        pdf = acts.preview_hand_over(row=row)
    except CANT as cant:
        messages.error(request, str(cant))
        return redirect("hand-over", number=number)
    return pdf_response(pdf, f"draft-hand-over-{number}.pdf")


@office_only
@require_POST
def hand_over_issue(request: HttpRequest, number: str) -> HttpResponse:
    """Issue the sheet as it was kept; a second click finds the same sheet."""
    row = _row(find_job(request.user, number))
    version = request.POST.get("version", "")
    if row is None or not (version.isascii() and version.isdigit() and len(version) < 10):
        return redirect("hand-over", number=number)
    try:
        paper = acts.issue_hand_over(row=row, version=int(version), by=request.user)  # type: ignore[arg-type]
    except acts.SheetOut as out:
        messages.success(request, str(out))
    except ChangedMeanwhile:
        messages.error(request, "Somebody changed the hand-over meanwhile. Look it over, and issue it again.")
    except CANT as cant:
        messages.error(request, str(cant))
    else:
        messages.success(request, f"{paper.number} is issued. What is on the slab is kept with the property.")
    return redirect("hand-over", number=number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def hand_over_send(request: HttpRequest, number: str) -> HttpResponse:
    """The mail that brings the sheet, to be read over; a POST puts it into the outbox."""
    job = find_job(request.user, number)
    row = _row(job)
    if row is None or row.paper is None:
        return redirect("hand-over", number=number)
    paper = row.paper
    form = LetterForm(request.POST or None, initial=None if request.method == "POST" else _letter(request, job, paper))
    if form.is_valid():
        sent = acts.send_hand_over(paper=paper, by=request.user, **form.facts)  # type: ignore[arg-type]
        messages.success(request, f"On its way to {sent.to}.")
        return redirect("hand-over", number=number)
    context = {"job": job, "form": form, "paper": paper, "back": reverse("hand-over", args=[number])}
    return render(request, "hand_over/send.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def hand_over_signed(request: HttpRequest, number: str) -> HttpResponse:
    """Note that the sheet came back signed."""
    job = find_job(request.user, number)
    row = _row(job)
    if row is None or row.paper is None or row.signed_on:
        return redirect("hand-over", number=number)
    form = SignedForm(request.POST or None, initial={"name": job.property.customer.name, "on": timezone.localdate()})
    if form.is_valid():
        try:
            acts.sign_hand_over(row=row, how=HandOver.Signed.SHEET, by=request.user, **form.cleaned_data)  # type: ignore[arg-type]
        except acts.SignedAlready as already:
            messages.error(request, str(already))
        else:
            messages.success(request, "Noted: the hand-over is signed.")
        return redirect("hand-over", number=number)
    context = {"job": job, "row": row, "form": form}
    return render(request, "hand_over/signed.html", context, status=422 if form.is_bound else 200)


def on_the_slab(job: Job) -> dict[str, Any]:
    """`slab`, what lies on the areas of the property today, and `handed`, this job's hand-over; in two queries.

    What a later job only coloured is due when it was due after its last sealing.
    """
    last: dict[str, SlabRecord] = {}
    sealed: dict[str, SlabRecord] = {}
    for row in SlabRecord.objects.filter(property=job.property_id).select_related("job").order_by("pk"):
        last[row.area] = row
        if row.due_first:
            sealed[row.area] = row
    shown = sorted(last.values(), key=lambda row: row.sealed_on, reverse=True)
    return {"slab": [(row, *told_of(row, sealed.get(row.area))) for row in shown], "handed": _row(job)}


def told_of(row: SlabRecord, sealed: SlabRecord | None = None) -> tuple[str, str]:
    """What it is sealed with, and when to seal again, in words; `sealed` is the last sealing, where it is another."""
    by = row if row.due_first or sealed is None else sealed
    return seal_words(by.seal, by.exposures), window_words(by.due_first, by.due_last, by.due_likely)


def _issued_page(request: HttpRequest, job: Job, row: HandOver) -> HttpResponse:
    records = SlabRecord.objects.filter(job=job).order_by("id")
    context = {
        "job": job,
        "row": row,
        "paper": row.paper,
        "when": json.loads(row.paper.facts)["when"],  # as it was printed, whatever the firm says today
        "points": [(words, key in row.walked) for key, words in POINTS.items()],
        "records": [(each, *told_of(each)) for each in records],
        "links": PrivateLink.objects.filter(paper=row.paper).exclude(opened_at=None).exists(),
    } | _photos(job)
    return render(request, "hand_over/issued.html", context)


def _photos(job: Job) -> dict[str, Any]:
    """Photographs before, during and after the work by area, in one query."""
    photos = Photo.objects.filter(job=job).exclude(of__in=(Photo.Of.FOUND, Photo.Of.SAMPLE)).select_related("area")
    ordered = sides_of(photos.order_by(*BY_AREA))
    return {"sides": [(name, pair["before"], pair["during"], pair["after"]) for name, pair in ordered.items()]}


def _letter(request: HttpRequest, job: Job, paper: Paper) -> dict[str, str]:
    facts = json.loads(paper.facts)
    subject, words = acts.draft_hand_over_mail(paper=paper, facts=facts, by=request.user)  # type: ignore[arg-type]
    return {"to": job.property.customer.email, "subject": subject, "words": words, "once": new_act()}


def _values(row: HandOver) -> dict[str, Any]:
    """The draft as its form holds it, the fields of the areas too."""
    values = {name: getattr(row, name) for name in (*FIELDS, "version")}
    for place, slab in enumerate(row.slabs):
        values |= {
            f"seal_{place}": slab["seal"],
            f"before_{place}": slab["coats_before"],
            f"exposures_{place}": slab["exposures"],
        }
    return values


def _row(job: Job) -> HandOver | None:
    found = HandOver.objects.select_related("paper").defer("paper__pdf", "paper__facts")
    return found.filter(job=job).first()
