"""How long a sealing lasts by what it is and bears, and the firm's sealing season: read, and set by the owner."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dates import MONTHS
from django.views.decorators.http import require_http_methods, require_safe

from quoting.core.recall import Seal, years_of
from quoting.core.units import format_number
from quoting.documents.recall_rules import LifeRow, life_rows
from quoting.documents.slab_record import EXPOSED
from quoting.forms.recall_rules import LivesForm, SeasonForm
from quoting.models import ChangedMeanwhile, RecallRules
from quoting.models.hand_over import SEALS
from quoting.services import recall_rules as acts
from quoting.views.access import office_only, owner_only
from quoting.views.hands import two_hands


@office_only
@require_safe
def recall_rules(request: HttpRequest) -> HttpResponse:
    """All lives with their sources, and the season."""
    row = acts.the_rules()
    rows = life_rows(row)
    context = {
        "seals": [(seal, words, [_told(each) for each in rows if each.seal is seal]) for seal, words in SEALS.items()],
        "season": _season_words(row),
        "own": sum(each.is_own for each in rows),
    }
    return render(request, "recall/rules.html", context)


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def recall_lives(request: HttpRequest, seal: str) -> HttpResponse:
    """The lives of one seal."""
    if seal not in SEALS:
        raise Http404
    of, row = Seal(seal), acts.the_rules()
    form = LivesForm(request.POST or None, rows=_of(row, of), initial=_first(row, of))
    if form.is_valid():
        typed = form.cleaned_data
        version = typed["version"] or 0
        try:
            acts.keep_lives(by=request.user, version=version, seal=of, years=typed["years"], source=typed["source"])  # type: ignore[arg-type]
        except ChangedMeanwhile:
            now = acts.the_rules()
            theirs = LivesForm(rows=_of(now, of), initial=_first(now, of))
            values = {name: theirs[name].initial for name in theirs.fields}
            title, back = f"{SEALS[of].capitalize()}: changed by somebody else", reverse("recall-rules")
            return two_hands(request, form, values, version=now.version, title=title, back_url=back)
        messages.success(request, "Kept. It counts from the next hand-over on; sheets that are out keep their months.")
        return redirect("recall-rules")
    context = {"form": form, "seal": SEALS[of]}
    return render(request, "recall/lives.html", context, status=422 if form.is_bound else 200)


@owner_only
@require_http_methods(["GET", "HEAD", "POST"])
def recall_season(request: HttpRequest) -> HttpResponse:
    """The months in which the firm seals."""
    row = acts.the_rules()
    form = SeasonForm(request.POST or None, initial=_season(row))
    if form.is_valid():
        try:
            acts.keep_season(by=request.user, version=form.cleaned_data["version"] or 0, season=form.season)  # type: ignore[arg-type]
        except ChangedMeanwhile:
            now, back = acts.the_rules(), reverse("recall-rules")
            title = "The season was changed by somebody else"
            return two_hands(request, form, _season(now), version=now.version, title=title, back_url=back)
        messages.success(request, "Kept. It counts from the next hand-over on.")
        return redirect("recall-rules")
    return render(request, "recall/season.html", {"form": form}, status=422 if form.is_bound else 200)


def _of(row: RecallRules, seal: Seal) -> list[LifeRow]:
    return [each for each in life_rows(row) if each.seal is seal]


def _first(row: RecallRules, seal: Seal) -> dict[str, Any]:
    return {"version": row.version or None, "source": row.sources.get(seal.value, "")}


def _season(row: RecallRules) -> dict[str, Any]:
    return {"version": row.version or None, "first": row.season_first, "last": row.season_last}


def _season_words(row: RecallRules) -> str:
    if row.season_first and row.season_last:
        return f"{MONTHS[row.season_first]} to {MONTHS[row.season_last]}"
    return "all year round"


def _told(each: LifeRow) -> dict[str, Any]:
    years = years_of(each.life) if each.life else ()
    figures = [format_number(year, 2).removesuffix("0").removesuffix(".0") for year in years]
    where = EXPOSED[each.exposure] if each.exposure else "by itself"
    return {"where": where, "figures": figures, "is_own": each.is_own, "source": each.source}
