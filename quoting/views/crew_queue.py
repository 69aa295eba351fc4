"""What a phone without signal needs: the worker that keeps pages, and who is signed in when it comes back."""

from __future__ import annotations

import json

from django.contrib.staticfiles import finders
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.views.decorators.http import require_safe

from quoting.documents.crew_words import say
from quoting.models import Entry

CALLED = {Entry.Kind.HOURS: "hours_entry", Entry.Kind.NOTE: "note_entry"}
"""Kinds whose words go by another key."""


def queue_kinds() -> str:
    """What each kind of entry is called where one is waiting or was refused, by the last part of its address; JSON."""
    words = {kind.value: say(f"write.{CALLED.get(kind, kind.value)}") for kind in Entry.Kind}
    return json.dumps({kind: f"{pair.en} · {pair.es}" for kind, pair in words.items()}, ensure_ascii=False)


@require_safe
def crew_worker(request: HttpRequest) -> HttpResponse:
    """The worker's script, from an address whose scope may be the folders."""
    found = finders.find("quoting/crew-worker.js")
    if not isinstance(found, str):
        raise Http404
    with open(found, encoding="utf-8") as script:
        response = HttpResponse(script.read(), content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/folders/"
    response["Cache-Control"] = "no-cache"
    return response


@require_safe
def crew_token(request: HttpRequest) -> JsonResponse:
    """A token to send with what was kept, and the person whose entries these would be."""
    response = JsonResponse({"token": get_token(request), "user": str(request.user.pk)})
    response["Cache-Control"] = "no-store"
    return response
