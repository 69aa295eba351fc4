"""The colour record of a folder: tones with their recipes, and samples on the slab with who approved them."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from quoting.documents.found import alt_of, recipe_of, strength_words
from quoting.forms.jobs import PlacesForm, VersionForm
from quoting.forms.samples import ApproveForm, SampleForm, ToneForm
from quoting.models import ChangedMeanwhile, Job, Material, Photo, Sample, Tone
from quoting.services import samples as acts
from quoting.views.access import find_job, may_see_money, office_only
from quoting.views.hands import two_hands
from quoting.views.mast import the_firm

MEANWHILE = "Somebody changed this meanwhile. Look at it again; nothing was kept yet."


def record_of(job: Job) -> dict[str, Any]:
    """Tones and samples of a folder, for a page; in two queries."""
    tones = list(Tone.objects.filter(job=job).select_related("material"))
    return {
        "tones": [(tone, *strength_words(tone)) for tone in tones],
        "samples": list(Sample.objects.filter(job=job).select_related("area", "photo", "made_by")),
    }


@require_safe
def colours(request: HttpRequest, number: str) -> HttpResponse:
    """The colour record; the crew reads it."""
    job = find_job(request.user, number)
    context = record_of(job) | {"job": job, "areas": list(job.areas.all()), "writes": may_see_money(request.user)}
    return render(request, "findings/colours.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def tone(request: HttpRequest, number: str, pk: int = 0) -> HttpResponse:
    """A further tone, or one that is there."""
    job = find_job(request.user, number)
    row = get_object_or_404(Tone, pk=pk, job=job) if pk else None
    units = row.units if row else the_firm(request).units
    initial = _of(row) | {"version": row.version} if row else {}
    form = ToneForm(request.POST or None, units=units, materials=_powders(row), initial=initial)
    back = reverse("colours", args=[number])
    if form.is_valid():
        try:
            acts.keep_tone(job=job, tone=row, version=form.cleaned_data["version"] or 0, units=units, **form.facts)
        except ChangedMeanwhile:
            now = Tone.objects.get(pk=pk)
            title = f"The tone {now.colour} was changed"
            return two_hands(request, form, _of(now), version=now.version, title=title, back_url=back)
        except acts.TooManyTones as fault:
            form.add_error(None, str(fault))
        else:
            messages.success(request, f"{form.cleaned_data['colour']}: kept.")
            return redirect(back)
    context = {"job": job, "form": form, "tone": row, "units": units, "back_url": back}
    return render(request, "findings/tone.html", context, status=422 if form.is_bound else 200)


def _of(row: Tone) -> dict[str, str]:
    return {
        "role": row.role,
        "colour": row.colour,
        "strength": f"{row.strength.normalize():f}",
        "note": row.note,
        "material": str(row.material_id or ""),
    }


def _powders(row: Tone | None) -> list[Material]:
    """The powders of the published price book, and the one that the tone has from an older one."""
    powders = list(Material.objects.filter(edition__state="published", kind="dry", group="powders"))
    if row and row.material and row.material not in powders:
        powders.insert(0, row.material)
    return powders


@office_only
@require_POST
def tone_move(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Move a tone one place in the order in which they go on."""
    row = get_object_or_404(Tone, pk=pk, job=find_job(request.user, number))
    form = PlacesForm(request.POST)
    if form.is_valid():
        acts.move_tone(tone=row, places=form.cleaned_data["places"])
    return redirect("colours", number=number)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def tone_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Ask once, then take a tone out of the record."""
    job = find_job(request.user, number)
    row = get_object_or_404(Tone, pk=pk, job=job)
    form = VersionForm(request.POST or None)
    if form.is_valid():
        try:
            acts.remove_tone(tone=row, version=form.cleaned_data["version"])
        except ChangedMeanwhile:
            messages.error(request, MEANWHILE)
        else:
            messages.success(request, f"{row.colour} is out of the record.")
        return redirect("colours", number=number)
    words = "Its recipe goes; samples keep the recipe that they were made from."
    return _ask(request, job, f"Take {row.colour} out?", words, "Take it out", row.version)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def sample_add(request: HttpRequest, number: str) -> HttpResponse:
    """Note a sample made on the slab; its recipe begins with the tones as they are."""
    job = find_job(request.user, number)
    areas = list(job.areas.all())
    if not areas:
        messages.error(request, "Measure first: a sample lies on an area.")
        return redirect("colours", number=number)
    photos = [(row, alt_of(row)[:80]) for row in Photo.objects.filter(job=job).select_related("area")]
    recipe = recipe_of(Tone.objects.filter(job=job).select_related("material"))
    form = SampleForm(request.POST or None, areas=areas, photos=photos, initial={"recipe": recipe})
    if form.is_valid():
        acts.add_sample(job=job, by=request.user, **form.facts)  # type: ignore[arg-type]
        messages.success(request, "The sample is in the record. When they say yes to it, note who and when.")
        return redirect("colours", number=number)
    context = {"job": job, "form": form, "back_url": reverse("colours", args=[number])}
    return render(request, "findings/sample.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def sample_approve(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Note who approved a sample, asked once: then it stays."""
    job, row = _find(request, number, pk)
    customer = job.property.customer.name
    form = ApproveForm(request.POST or None, initial={"version": row.version, "approved_by": customer})
    if row.approved_on:
        messages.error(request, str(acts.ApprovedAlready()))
        return redirect("colours", number=number)
    if form.is_valid():
        try:
            acts.approve_sample(sample=row, by=request.user, **form.cleaned_data)  # type: ignore[arg-type]
        except (ChangedMeanwhile, acts.ApprovedAlready) as fault:
            messages.error(request, str(fault) if isinstance(fault, acts.ApprovedAlready) else MEANWHILE)
        else:
            messages.success(request, f"The sample on {row.area.letter} is approved, and stays as it is.")
        return redirect("colours", number=number)
    context = {"job": job, "sample": row, "form": form, "back_url": reverse("colours", args=[number])}
    return render(request, "findings/approve.html", context, status=422 if form.is_bound else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def sample_remove(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    """Ask once, then remove a sample that nobody approved."""
    job, row = _find(request, number, pk)
    form = VersionForm(request.POST or None)
    if row.approved_on:
        messages.error(request, str(acts.ApprovedAlready()))
        return redirect("colours", number=number)
    if form.is_valid():
        try:
            acts.remove_sample(sample=row, version=form.cleaned_data["version"], by=request.user)  # type: ignore[arg-type]
        except (ChangedMeanwhile, acts.ApprovedAlready) as fault:
            messages.error(request, str(fault) if isinstance(fault, acts.ApprovedAlready) else MEANWHILE)
        else:
            messages.success(request, "The sample is removed.")
        return redirect("colours", number=number)
    words = "It goes from the record; nobody has approved it. Its photograph stays in the folder."
    return _ask(request, job, f"Remove the sample on {row.area.letter}?", words, "Remove it", row.version)


def _find(request: HttpRequest, number: str, pk: int) -> tuple[Job, Sample]:
    job = find_job(request.user, number)
    return job, get_object_or_404(Sample.objects.select_related("area", "photo"), pk=pk, job=job)


def _ask(request: HttpRequest, job: Job, title: str, words: str, act: str, version: int) -> HttpResponse:
    context = {"job": job, "title": title, "words": words, "act": act, "version": version}
    return render(request, "findings/ask.html", context | {"back_url": reverse("colours", args=[job.number])})
