"""The list of all proposals, and the figures of what came of them."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import formats, timezone
from django.views.decorators.http import require_http_methods, require_safe

from quoting.core.outcomes import Tally, outcomes_of
from quoting.documents.outcomes import Row, draw_rows
from quoting.forms.letters import LostForm
from quoting.models import ChangedMeanwhile, LostReason, Proposal
from quoting.models.proposals import ProposalQuerySet
from quoting.services.lost import ENDED, NotLost, note_lost
from quoting.services.outcomes import TAKEN_BACK, outcomes_since
from quoting.views.access import office_only
from quoting.views.jobs import LONGEST_SEARCH

LEAF = 50
"""Proposals on one leaf of the list."""

SPANS = {"12": "the last 12 months", "24": "the last 24 months", "all": "all the time"}
WIDE_PX, NARROW_PX = 670, 350
NB = "\u00a0"


@office_only
@require_safe
def proposals(request: HttpRequest) -> HttpResponse:
    """All proposals, the newest first, by state and search, leaf by leaf."""
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    state = request.GET.get("state", "")
    state = state if state in Proposal.State.values else ""
    found = _found(words, state)
    leaf, newer, older = _leaf(found, request.GET.get("after", ""), request.GET.get("before", ""))
    kept = {name: value for name, value in (("q", words), ("state", state)) if value}
    context = {
        "proposals": leaf,
        "words": words,
        "state": state,
        "state_word": Proposal.State(state).label if state else "",
        "states": Proposal.State.choices,
        "newer_url": f"?{urlencode(kept | {'before': leaf[0].pk})}" if newer else "",
        "older_url": f"?{urlencode(kept | {'after': leaf[-1].pk})}" if older else "",
        "narrowed": bool(kept),
    }
    return render(request, "outcomes/proposals.html", context)


@office_only
@require_safe
def figures(request: HttpRequest) -> HttpResponse:
    """How many were won, how soon they were answered, why the others were lost: drawn, and in a table as well."""
    span = request.GET.get("span", "12")
    span = span if span in SPANS else "12"
    today = timezone.localdate()
    found = outcomes_of(outcomes_since(_first_day(span, today), today=today))
    reasons = [(_reason_word(key), count) for key, count in found.reasons]
    context = {
        "span": span,
        "spans": SPANS,
        "found": found,
        "reasons": reasons,
        "by_month": _drawn(
            [_month_row(month.first, month.tally) for month in found.months], "months", "Offers by month"
        ),
        "by_reason": _drawn(
            [Row(label=word, lost=count, figure=str(count)) for word, count in reasons], "reasons", "Reasons"
        ),
    }
    return render(request, "outcomes/figures.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def paper_lost(request: HttpRequest, number: str) -> HttpResponse:
    """Asks why an offer was lost; one that is still out is declined by the answer."""
    kept = Proposal.objects.select_related("job__property", "paper").defer("paper__pdf", "paper__facts")
    proposal = get_object_or_404(kept, paper__number=number)
    first = {"version": proposal.version, "reason": proposal.lost_reason, "words": proposal.lost_words}
    form = LostForm(request.POST or None, initial=first, reasons=LostReason.choices)
    if proposal.state not in {Proposal.State.ISSUED, *ENDED}:
        messages.error(request, str(NotLost(proposal)))
        return redirect("paper", number=number)
    if form.is_valid():
        try:
            note_lost(proposal=proposal, by=request.user, **form.cleaned_data)  # type: ignore[arg-type]
        except NotLost as fault:
            messages.error(request, str(fault))
        except ChangedMeanwhile:
            messages.error(request, "Its state changed meanwhile. Look at it again; nothing was noted.")
        else:
            messages.success(request, "Noted.")
        return redirect("paper", number=number)
    context = {"form": form, "proposal": proposal, "number": number}
    return render(request, "outcomes/lost.html", context, status=422 if form.is_bound else 200)


def _found(words: str, state: str) -> ProposalQuerySet:
    found = Proposal.objects.select_related("job__property__customer", "paper").only(
        "state", "created_at", "valid_until", "lost_reason", "job__number", "job__property__street",
        "job__property__town", "job__property__customer__name", "paper__number", "paper__issued_at",
    )  # fmt: skip
    for word in words.split()[:8]:
        found = found.filter(
            Q(paper__number__icontains=word)
            | Q(job__number__icontains=word)
            | Q(job__property__street__icontains=word)
            | Q(job__property__town__icontains=word)
            | Q(job__property__customer__name__icontains=word)
        )
    return found.filter(state=state) if state else found


def _leaf(found: ProposalQuerySet, after: str, before: str) -> tuple[list[Proposal], bool, bool]:
    """One leaf by key, and whether there are newer and older ones."""
    key = after or before
    mark = Proposal.objects.filter(pk=int(key)).first() if key.isascii() and key.isdigit() and len(key) < 18 else None
    if mark is None:
        rows = list(found[: LEAF + 1])
        return rows[:LEAF], False, len(rows) > LEAF
    at, pk = mark.created_at, mark.pk
    if after:
        rows = list(found.filter(Q(created_at__lt=at) | Q(created_at=at, pk__lt=pk))[: LEAF + 1])
        return rows[:LEAF], bool(rows), len(rows) > LEAF
    newer = found.filter(Q(created_at__gt=at) | Q(created_at=at, pk__gt=pk)).order_by("created_at", "pk")
    rows = list(newer[: LEAF + 1])
    return rows[:LEAF][::-1], len(rows) > LEAF, bool(rows)


def _first_day(span: str, today: date) -> date | None:
    """The first day of the span: the first of a month, so that every month is whole."""
    if span == "all":
        return None
    months = today.year * 12 + today.month - int(span)
    return date(months // 12, months % 12 + 1, 1)


def _month_row(first: date, tally: Tally) -> Row:
    label = formats.date_format(first, f"M{NB}Y")
    figure = f"{tally.won} of {tally.offers}" if tally.offers else "none"
    return Row(label=label, won=tally.won, lost=tally.lost, open=tally.open, figure=figure)


def _reason_word(key: str) -> str:
    if key == TAKEN_BACK:
        return "a yes taken back, nobody said why"
    return str(LostReason(key).label) if key in LostReason.values else "nobody said"


def _drawn(rows: list[Row], prefix: str, title: str) -> dict[str, Any]:
    """The rows in two widths, with a description that says every figure; empty where there is nothing to draw."""
    if not rows:
        return {}
    told = "; ".join(f"{row.label}: {row.figure}" for row in rows)
    return {
        key: draw_rows(rows, width_px=width, title=title, desc=f"{told}.", prefix=f"{prefix}-{key}")
        for key, width in (("wide", WIDE_PX), ("narrow", NARROW_PX))
    }
