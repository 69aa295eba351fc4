"""What was written down on a visit, as it is read back: each line with its step, person or material, in both languages;
and what is looked at before the work begins."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from quoting.core.weather_limits import Work
from quoting.documents.asides import hold_words
from quoting.documents.crew_words import Pair, named, say
from quoting.documents.step_places import key_now
from quoting.models import CHECKS, READINGS, Entry, Visit, VisitStep
from quoting.services.agreed_work import AgreedWork
from quoting.services.entries import Written

CHECKED_FOR = {
    "sprinklers": frozenset({Work.STRIP, Work.COLOUR, Work.SEAL, Work.SAND}),
    "children": frozenset(Work),
    "plants": frozenset({Work.WASH, Work.STRIP, Work.COLOUR, Work.SEAL}),
    "rag": frozenset({Work.SEAL}),
}
"""What is looked at before which work; before other work all but the rag."""

Signs = Mapping[str, str]
"""The unit of each reading, by its name."""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to look at, by the key of its tick."""

    key: str
    words: Pair
    tick: Entry | None
    once: str


def checks_of(visit: Visit, written: Written) -> list[Check]:
    """What is looked at before this visit's work begins, and who did."""
    works = frozenset(visit.works)
    wanted = [key for key in CHECKS if (works & CHECKED_FOR[key] if works else key != "rag")]
    return [
        Check(f"check.{key}", say(f"caution.{key}"), written.checks.get(f"check.{key}"), str(uuid4())) for key in wanted
    ]


def lines_of(
    entries: Iterable[Entry],
    steps: Sequence[VisitStep],
    work: AgreedWork | None,
    people: Mapping[int, str],
    signs: Signs,
) -> list[dict[str, Any]]:
    """The entries as lines: what, the words, the verdict on readings; without what was loaded."""
    todays = work.workings.steps if work else ()
    ticked = {key_now(step, todays): named(step.name) for step in steps} | {
        f"check.{key}": say(f"caution.{key}") for key in CHECKS
    }
    names = {use.material: named(use.name) for step in work.workings.steps for use in step.materials} if work else {}
    done = dict(enumerate(named(step.step) for step in work.workings.steps)) if work else {}
    # What was loaded is ticked on the pick list, line by line; it would bury the rest.
    shown = (entry for entry in entries if not str(entry.data.get("step", "")).startswith("load."))
    return [_line(entry, ticked, names, done, people, signs) for entry in shown]


def _line(
    entry: Entry,
    ticked: Mapping[str, Pair],
    names: Mapping[str, Pair],
    done: Mapping[int, Pair],
    people: Mapping[int, str],
    signs: Signs,
) -> dict[str, Any]:
    data, kind = entry.data, Entry.Kind(entry.kind)
    words: list[str] = []
    if kind in (Entry.Kind.TICK, Entry.Kind.UNTICK):
        words = [_both(ticked.get(data["step"])) or _of(data)]
    elif kind == Entry.Kind.READING:
        words = [f"{data[name]} {signs[name]}" for name in READINGS[:4] if data.get(name)]
    elif kind in (Entry.Kind.USED, Entry.Kind.LEFT):
        material = _both(names.get(data["material"])) or str(data["material"])
        coat = say("mix.coat", coat=data["coat"]) if data.get("coat") else None
        lot = f"{_both(say('write.lot'))} {data['lot']}" if data.get("lot") else ""
        words = [str(data["called"]), material, str(data.get("area") or ""), _both(coat), lot]
    elif kind == Entry.Kind.HOURS:
        words = [f"{data['hours']} h", people.get(data["who"], ""), _both(done.get(data["place"])) or _of(data)]
    elif kind == Entry.Kind.NOTE:
        words = [entry.words]
    elif kind == Entry.Kind.HOLD:
        words = [_both(hold_words(entry)), _aside(entry), entry.words]
    elif kind in (Entry.Kind.DONE, Entry.Kind.UNDONE):
        words = [_aside(entry)]
    verdict = say(f"readings.{data['word'].replace('-', '_')}") if data.get("word") else None
    key = {Entry.Kind.HOURS: "hours_entry", Entry.Kind.NOTE: "note_entry"}.get(kind, kind.value)
    return {
        "entry": entry,
        "what": say(f"write.{key}"),
        "words": ", ".join(each for each in words if each),
        "verdict": verdict,
    }


def _of(data: Mapping[str, Any]) -> str:
    """The name of a step that was taken out since."""
    return _both(named(data["of_step"])) if data.get("of_step") else ""


def _aside(entry: Entry) -> str:
    return _both(say("aside.short")) if "aside" in entry.data else ""


def _both(pair: Pair | None) -> str:
    if pair is None:
        return ""
    return f"{pair.en} · {pair.es}" if pair.differs else pair.en
