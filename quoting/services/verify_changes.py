"""Whether every change order is still what it was: its figures by its frozen scopes, its state by the trail."""

from __future__ import annotations

import json
from collections.abc import Iterator

from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.change_orders import OfferedChange
from quoting.documents.numbering import change_number
from quoting.models import ChangeOrder, Event, Paper


def change_faults(paper: Paper) -> Iterator[str]:
    """The faults of one issued change order, each as a sentence."""
    try:
        facts = json.loads(paper.facts)
        number, lines = facts["number"], facts["figures"]["lines"]
        offered = OfferedChange(paper)
    except (ValueError, KeyError, TypeError):
        yield f"{paper.number}: facts: can't be read"
        return
    if number != paper.number:
        yield f"{paper.number}: facts: they are those of {number}"
    try:
        if len(offered.change.lines) != len(lines):
            yield f"{paper.number}: facts: a line is missing"
    except (DoesNotAddUp, ValueError):
        yield f"{paper.number}: facts: the change is not that of its frozen scopes"


def change_state_faults() -> Iterator[str]:
    """Each change order's state against the last thing that the trail tells of its paper; its place in the series."""
    states = {f"change-order {state}": state for state in ChangeOrder.State.values}
    rows = ChangeOrder.objects.exclude(paper=None).order_by("pk").values("state", "paper__number", "paper")
    for row in rows.iterator(chunk_size=500):
        events = Event.objects.filter(paper=row["paper"], kind__in=states).order_by("-position")
        kind = events.values_list("kind", flat=True).first()
        if kind is not None and states[kind] != row["state"]:
            yield f"{row['paper__number']}: state: is {row['state']}, the trail tells {states[kind]}"
    yield from _series_faults()


def _series_faults() -> Iterator[str]:
    """Every folder's changes, from 1 on without a gap, each with its row."""
    had: dict[str, set[int]] = {}
    papers = Paper.objects.filter(kind=Paper.Kind.CHANGE).order_by("job", "revision")
    for folder, revision in papers.values_list("job__number", "revision"):
        had.setdefault(folder, set()).add(revision)
    for folder, found in had.items():
        for missing in sorted(set(range(1, max(found))) - found):
            yield f"{change_number(folder, missing)}: is missing: the folder has {change_number(folder, max(found))}"
    for number in papers.filter(change_order=None).values_list("number", flat=True):
        yield f"{number}: state: no change order belongs to it"
