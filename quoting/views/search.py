"""One search over folders and people: names, streets, towns, numbers."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from customers.models import Customer
from quoting.views.access import jobs_for, may_see_money

LONGEST_SEARCH = 200
MOST_SHOWN = 20
NEAR = 3
"""Letters at the beginning of each word by which something near is looked for when nothing has the whole word."""


@require_safe
def search(request: HttpRequest) -> HttpResponse:
    """What has every word typed; when nothing has, what begins like it. The crew finds its own folders only."""
    words = request.GET.get("q", "")[:LONGEST_SEARCH].replace("\0", "").strip()
    office = may_see_money(request.user)

    def look(for_words: str) -> tuple[list[object], list[object]]:
        jobs = jobs_for(request.user).found_by(for_words).with_place().with_offer()[: MOST_SHOWN + 1]
        people = Customer.objects.current().found_by(for_words)[: MOST_SHOWN + 1] if office else []
        return list(jobs), list(people)

    jobs, people = look(words) if words else ([], [])
    near = bool(words) and not jobs and not people
    if near and (begun := " ".join(word[:NEAR] for word in words.split() if len(word) > NEAR)):
        jobs, people = look(begun)
    context = {
        "words": words,
        "near": near,
        "jobs": jobs[:MOST_SHOWN],
        "people": people[:MOST_SHOWN],
        "more_jobs": len(jobs) > MOST_SHOWN,
        "more_people": len(people) > MOST_SHOWN,
    }
    return render(request, "search/search.html", context)
