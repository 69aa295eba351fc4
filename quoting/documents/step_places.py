"""Where a step stands today: what is written down names its step by the place that it had then, and a change order that
takes work out moves the steps after it up. The step's name, kept beside the place, finds it again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from decimal import Decimal
from typing import Any

from quoting.core.moments import Moment
from quoting.core.rest_of_work import DoneStint
from quoting.core.rounding import CONTEXT
from quoting.core.workings import StepFigure
from quoting.models import Entry, Visit, VisitStep

GONE = -1
"""The place of a step that was taken out."""


def place_now(place: int, name: str, steps: Sequence[StepFigure], area: str = "") -> int:
    """The place today of the step that stood here under this name; GONE where there is none any more.

    Of several steps with that name it is one on the area, then the nearest; without a name, the place itself.
    """
    if not name or (0 <= place < len(steps) and steps[place].step == name):
        return place
    named = [at for at, step in enumerate(steps) if step.step == name]
    on_it = [at for at in named if area in steps[at].areas]
    return min(on_it or named, key=lambda at: abs(at - place), default=GONE)


def places_now(rows: Iterable[VisitStep], steps: Sequence[StepFigure]) -> set[int]:
    """The places today of the steps of a visit that was laid before a change; of those taken out, none."""
    return {place_now(row.place, row.name, steps, *row.areas[:1]) for row in rows} - {GONE}


def coats_now(rows: Iterable[VisitStep], steps: Sequence[StepFigure]) -> dict[int, set[int]]:
    """The coats of a visit by the places of their steps today; an empty set where a step is not parted into coats."""
    found: dict[int, set[int]] = {}
    for row in rows:
        place = place_now(row.place, row.name, steps, *row.areas[:1])
        if place != GONE:
            found.setdefault(place, set()).update({row.coat} if row.coats > 1 else set())
    return found


def done_stints(visit: Visit, steps: Sequence[StepFigure]) -> list[DoneStint]:
    """What a visit that is done did of what is agreed today, by its clock. Reads the steps; prefetch them."""
    found = []
    for row in visit.steps.all():
        place = place_now(row.place, row.name, steps, *row.areas[:1])
        starts = Decimal(row.starts.hour) + CONTEXT.divide(Decimal(row.starts.minute), Decimal(60))
        end = Moment(visit.day, starts).later(row.hours)
        found.append(
            DoneStint(
                place=place, coat=row.coat, areas=tuple(row.areas), hours=row.hours, parts=row.parts, end=end,
                hold=row.hold,
            )
        )  # fmt: skip
    return found


def still_agreed(rows: Iterable[VisitStep], steps: Sequence[StepFigure]) -> list[VisitStep]:
    """The steps of a visit without those that were taken out since it was laid: nobody is to do them any more."""
    return [row for row in rows if place_now(row.place, row.name, steps, *row.areas[:1]) != GONE]


def key_now(row: VisitStep, steps: Sequence[StepFigure]) -> str:
    """By what a tick of this step is looked up among entries that were brought to today's places."""
    return f"{place_now(row.place, row.name, steps, *row.areas[:1])}.{row.coat}.{row.part}"


def at_todays_places(entries: Iterable[Entry], steps: Sequence[StepFigure]) -> Iterator[Entry]:
    """The entries with their steps counted as they are today; nothing is saved."""
    for entry in entries:
        data = _moved(entry.data, steps)
        if data is not entry.data:
            entry = copy(entry)
            entry.data = data
        yield entry


def _moved(data: Mapping[str, Any], steps: Sequence[StepFigure]) -> Mapping[str, Any]:
    name, area = str(data.get("of_step", "")), str(data.get("area", ""))
    if not name:
        return data
    if "place" in data:
        place = place_now(int(data["place"]), name, steps, area)
        return data if place == data["place"] else {**data, "place": place}
    place, _dot, rest = str(data["step"]).partition(".")
    now = place_now(int(place), name, steps)
    return data if now == int(place) else {**data, "step": f"{now}.{rest}"}
