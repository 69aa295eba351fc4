"""Whether every answer of a homeowner is still what it was: its seal, its texts, its sums, its place in the trail."""

from __future__ import annotations

import json
from collections.abc import Iterator

from quoting.documents.agreed import DoesNotAddUp, NotOffered
from quoting.documents.change_orders import offered_on
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import Acceptance, Answer, Event
from quoting.services.seals import seal_of

ACCEPTED = "accepted"
ENDS = {Answer.Kind.DECLINED: "declined", Answer.Kind.CANCELLED: "taken back"}
"""The state that each kind of answer leads to."""
NOUNS = ("proposal", "change-order")


def answer_faults() -> Iterator[str]:
    """Each fault as one sentence that names paper and place. One answer is in memory at a time."""
    for pk in Acceptance.objects.order_by("pk").values_list("pk", flat=True).iterator(chunk_size=500):
        yield from _acceptance_faults(Acceptance.objects.select_related("paper").get(pk=pk))
    for answer in Answer.objects.select_related("paper").defer("paper__pdf", "paper__facts").order_by("pk"):
        if seal_of(answer) not in _told_seals(answer.paper_id, ENDS[Answer.Kind(answer.kind)]):
            yield f"{answer.paper.number}: {answer.get_kind_display()}: is not what the trail was told"
    yield from _missing()


def _acceptance_faults(row: Acceptance) -> Iterator[str]:
    place = f"{row.paper.number}: acceptance"
    if seal_of(row) != row.seal:
        yield f"{place}: seal: something that is kept of it was changed or dropped"
    if row.seal not in _told_seals(row.paper_id, ACCEPTED):
        yield f"{place}: seal: is not what the trail was told"
    if row.pdf_sha256 != row.paper.pdf_sha256:
        yield f"{place}: pdf_sha256: is not that of the paper"
    for name in ("consent", "intent"):
        if sha256_of(getattr(row, f"{name}_text")) != getattr(row, f"{name}_sha256"):
            yield f"{place}: {name}_text: does not have the SHA-256 that was kept"
    try:
        agreed = offered_on(row.paper).agree(row.option, row.add_ons)
    except (NotOffered, DoesNotAddUp, ValueError, KeyError, TypeError) as fault:
        yield f"{place}: figures: can't be worked out from the paper: {str(fault)[:200]}"
        return
    if canonical_json(agreed.figures) != row.figures:
        yield f"{place}: figures: the frozen scopes give others"
    for name, sum_now in (("total", agreed.total), ("deposit", agreed.deposit)):
        kept = getattr(row, name)
        if (kept.amount, kept.currency.code) != (sum_now, agreed.currency):
            yield f"{place}: {name}: is {kept.amount} {kept.currency.code}, the frozen scopes give {sum_now}"


def _missing() -> Iterator[str]:
    """Answers that the trail tells of and that are not there."""
    kinds = [f"{noun} {state}" for noun in NOUNS for state in (ACCEPTED, *ENDS.values())]
    told = Event.objects.filter(kind__in=kinds).select_related("paper")
    for event in told.defer("paper__pdf", "paper__facts").order_by("position").iterator(chunk_size=500):
        seal = _seal_in(event.data)
        if event.paper is None or not seal:
            continue  # a no that somebody told the firm has no answer of its own
        kept = (
            Acceptance.objects.filter(paper=event.paper, seal=seal).exists()
            if event.kind.endswith(ACCEPTED)
            else any(seal_of(answer) == seal for answer in Answer.objects.filter(paper=event.paper))
        )
        if not kept:
            yield f"{event.paper.number}: {event.kind}: the answer that the trail tells of is missing"


def _told_seals(paper: int, state: str) -> set[str]:
    events = Event.objects.filter(paper=paper, kind__in=[f"{noun} {state}" for noun in NOUNS]).values_list(
        "data", flat=True
    )
    return {_seal_in(data) for data in events} - {""}


def _seal_in(data: str) -> str:
    try:
        told = json.loads(data)
    except ValueError:
        return ""
    return str(told.get("seal", "")) if isinstance(told, dict) else ""
