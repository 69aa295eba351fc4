"""Photographs of a folder: taken in, several at once; shown to who may open the folder; noted, ordered, removed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.core.findings import KINDS
from quoting.documents.found import alt_of
from quoting.documents.photo_files import read_file
from quoting.documents.photos import LARGEST_FILE, SIZES, PhotoRefused
from quoting.forms.hands import untouched
from quoting.forms.jobs import PlacesForm, VersionForm
from quoting.forms.photos import AddPhotosForm, PhotoForm
from quoting.models import ChangedMeanwhile, Finding, Job, Photo
from quoting.services import photos as acts
from quoting.views.access import find_job, jobs_for, may_see_money, office_only
from quoting.views.hands import two_hands

LONGEST_NAME = 60
A_YEAR = 365 * 24 * 3600
SANDBOX = "sandbox; default-src 'none'"


@dataclass(frozen=True, slots=True)
class Sent:
    """One file of a form: what became of it."""

    name: str
    words: str
    photo: Photo | None = None


@require_safe
def photo_file(request: HttpRequest, number: str, name: str, size: str) -> HttpResponse:
    """One size of a photograph, for who may open its folder."""
    if size not in SIZES:
        raise Http404
    photo = get_object_or_404(Photo, name=name, job__number=number, job__in=jobs_for(request.user))
    return photo_response(photo.name, size)


def photo_response(name: str, size: str) -> HttpResponse:
    """The bytes of one size, so that a browser shows them as a picture and as nothing else; 404 where they are gone."""
    try:
        content = read_file(name, size)
    except FileNotFoundError as error:
        raise Http404 from error
    response = HttpResponse(content, content_type="image/jpeg")
    response["Content-Disposition"] = f'inline; filename="{name}-{size}.jpg"'
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = SANDBOX
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = f"private, max-age={A_YEAR}, immutable"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def photos(request: HttpRequest, number: str) -> HttpResponse:
    """The folder's photographs, and the form that takes more; the crew may add to them."""
    job = find_job(request.user, number)
    areas = list(job.areas.all())
    finding = _finding(job, request.GET.get("finding", ""))
    first = str(finding.area_id or "") if finding else request.GET.get("area", "")
    data = (request.POST, request.FILES) if request.method == "POST" else ()
    of = request.GET.get("of", Photo.Of.FOUND)
    form = AddPhotosForm(*data, areas=areas, steps=acts.steps_of(job), initial={"area": first, "of": of})
    sent: list[Sent] = []
    if form.is_valid():
        sent = take_in(request, job, form, finding)
        if request.htmx:  # type: ignore[attr-defined]
            return render(request, "findings/_sent.html", {"job": job, "sent": sent})
        if all(each.photo for each in sent):
            messages.success(request, _counted(sent))
            return redirect(request.get_full_path())
    context = _shown(request, job) | {"form": form, "sent": sent, "finding": finding, "areas": areas}
    if finding:
        context["of_test"] = KINDS[finding.kind].name if finding.kind in KINDS else ""
    return render(request, "findings/photos.html", context, status=422 if form.is_bound else 200)


def _shown(request: HttpRequest, job: Job) -> dict[str, Any]:
    rows = Photo.objects.filter(job=job).select_related("area", "finding", "added_by")
    return {
        "job": job,
        "writes": may_see_money(request.user),
        "photos": [(row, alt_of(row), _test_of(row)) for row in rows],
    }


def _test_of(row: Photo) -> str:
    return KINDS[row.finding.kind].name if row.finding and row.finding.kind in KINDS else ""


def _finding(job: Job, pk: str) -> Finding | None:
    if not pk.isascii() or not pk.isdigit() or len(pk) > 18:
        return None
    return Finding.objects.filter(job=job, pk=int(pk)).first()


def take_in(request: HttpRequest, job: Job, form: AddPhotosForm, finding: Finding | None = None) -> list[Sent]:
    """Each file by itself, so that one that is refused loses none of the others."""
    given = {"area": form.area, "finding": finding} | {name: form.cleaned_data[name] for name in ("note", "of", "step")}
    sent = []
    for place, file in enumerate(form.cleaned_data["photos"]):
        name = _name_of(file)
        if place >= acts.MOST_AT_ONCE:
            sent.append(Sent(name, f"not taken: {acts.MOST_AT_ONCE} at a time. Send it again by itself."))
            continue
        try:
            content = b"" if file.size == 0 else file.read(LARGEST_FILE + 1)
            taken = acts.add_photo(job=job, by=request.user, content=content, **given)  # type: ignore[arg-type]
        except (PhotoRefused, acts.FolderFull, acts.RemovedMeanwhile) as fault:
            sent.append(Sent(name, str(fault)))
        else:
            sent.append(Sent(name, "kept." if taken.is_new else "in the folder already.", taken.photo))
    return sent


def _name_of(file: UploadedFile) -> str:
    """What the file was called, as far as it can be shown."""
    shown = "".join(letter if letter.isprintable() else "·" for letter in str(file.name or "a file"))
    return shown if len(shown) <= LONGEST_NAME else f"{shown[:LONGEST_NAME]}…"


def _counted(sent: list[Sent]) -> str:
    twice = sum(each.words != "kept." for each in sent)
    kept = len(sent) - twice
    words = f"{kept} photograph{'' if kept == 1 else 's'} kept."
    return f"{words} {twice} {'was' if twice == 1 else 'were'} in the folder already." if twice else words


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def photo(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """One photograph, large, with what is said of it."""
    job, row = _find(request, number, pk)
    form = _form(request.POST or None, job, row)
    back = reverse("photos", args=[number])
    if form.is_valid():
        try:
            acts.keep_photo(photo=row, version=form.cleaned_data["version"] or 0, **form.facts)
        except ChangedMeanwhile:
            row.refresh_from_db()
            if untouched(form, _of(row)):
                acts.keep_photo(photo=row, version=row.version, **form.facts)
            else:
                title = "What is said of this photograph was changed"
                return two_hands(request, form, _of(row), version=row.version, title=title, back_url=request.path)
        messages.success(request, "Kept.")
        return redirect(f"{back}#photo-{row.pk}")
    context = {"job": job, "photo": row, "alt": alt_of(row), "form": form, "of_test": _test_of(row), "back_url": back}
    return render(request, "findings/photo.html", context, status=422 if form.is_bound else 200)


@office_only
@require_POST
def photo_move(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Move a photograph one place up or down; the paper shows them in this order."""
    _job, row = _find(request, number, pk)
    form = PlacesForm(request.POST)
    if form.is_valid():
        acts.move_photo(photo=row, places=form.cleaned_data["places"])
    return redirect(f"{reverse('photos', args=[number])}#photo-{row.pk}")


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def photo_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Ask once, then remove a photograph with its files."""
    job, row = _find(request, number, pk)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            acts.remove_photo(photo=row, version=form.cleaned_data["version"], by=request.user)  # type: ignore[arg-type]
        except (acts.OnPaper, acts.IsSample) as fault:
            messages.error(request, str(fault))
        except ChangedMeanwhile:
            messages.error(request, "Somebody changed this photograph meanwhile. Look at it again; it is still here.")
        else:
            messages.success(request, "The photograph is removed.")
            return redirect("photos", number=number)
        return redirect("photo", number=number, pk=pk)
    context = {
        "job": job,
        "area": None,
        "photo": row,
        "alt": alt_of(row),
        "title": "Remove this photograph?",
        "words": "It goes for good, in all its sizes. What it showed stays noted.",
        "act": "Remove it",
        "version": row.version,
        "back_url": reverse("photo", args=[number, pk]),
    }
    return render(request, "findings/ask.html", context)


def _find(request: HttpRequest, number: str, pk: int) -> tuple[Job, Photo]:
    job = find_job(request.user, number)
    return job, get_object_or_404(Photo.objects.select_related("area", "finding"), pk=pk, job=job)


def _of(row: Photo) -> dict[str, Any]:
    facts = {name: getattr(row, name) for name in ("note", "of", "step", "on_paper", "is_cover")}
    return facts | {"area": str(row.area_id or "")}


def _form(data: Any, job: Job, row: Photo) -> PhotoForm:
    steps = list(dict.fromkeys([*acts.steps_of(job), *([row.step] if row.step else [])]))
    return PhotoForm(data, areas=list(job.areas.all()), steps=steps, initial=_of(row) | {"version": row.version})
