"""Photographs on the crew's page of a visit: what is there by area, and the form that takes more, in both languages."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from quoting.documents.crew_words import Pair, named, say
from quoting.documents.photo_pairs import BY_AREA, WHOLE, sides_of
from quoting.forms.photos import AddPhotosForm
from quoting.models import Area, Job, Photo, VisitStep
from quoting.services.photos import steps_of
from quoting.views.photos import take_in
from quoting.views.visits import find_visit

WHEN = {
    Photo.Of.BEFORE: "visit.photos_before",
    Photo.Of.DURING: "visit.photos_during",
    Photo.Of.AFTER: "visit.photos_after",
}


@require_POST
def visit_photos(request: HttpRequest, number: str, visit: int) -> HttpResponse:
    """Take the photographs in; what is refused is named in both languages."""
    found = find_visit(request, number, visit)
    job = found.job
    form = AddPhotosForm(request.POST, request.FILES, areas=list(job.areas.all()), steps=steps_of(job))
    if not form.is_valid():
        messages.error(request, _both(say("visit.photos_choose_one")))
    else:
        sent = take_in(request, job, form)
        if kept := sum(each.photo is not None for each in sent):
            messages.success(request, _both(say("visit.photos_kept", count=kept)))
        for each in sent:
            if each.photo is None:
                messages.error(request, f"{_both(say('visit.photos_refused', name=each.name))} ({each.words})")
    return redirect(f"{reverse('visit', args=[number, visit])}#photos")


def photos_shown(
    job: Job, areas: Iterable[Area], ticked: Collection[object], steps: Sequence[VisitStep]
) -> dict[str, Any]:
    """What the section on the visit's page shows, in one query.

    Before anything is ticked it asks for photographs from before; when all is, for those from after.
    """
    photos = Photo.objects.filter(job=job, of__in=WHEN).select_related("area").order_by(*BY_AREA)
    first = Photo.Of.BEFORE if not ticked else Photo.Of.AFTER if len(ticked) >= len(steps) else Photo.Of.DURING
    return {
        "photos_by_area": [
            (
                say("visit.photos_whole") if name == WHOLE else Pair(name, name),
                [(photo, say(WHEN[of])) for of in WHEN for photo in sides[of]],
            )
            for name, sides in sides_of(photos).items()
        ],
        "photo_when": [(of.value, say(key), of == first) for of, key in WHEN.items()],
        "photo_areas": list(areas),
        "photo_steps": [(name, named(name)) for name in dict.fromkeys(step.name for step in steps)],
    }


def _both(pair: Pair) -> str:
    return f"{pair.en} · {pair.es}"
