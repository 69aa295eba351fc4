"""The crew's page of one visit: readings, steps, batches, what should be gone, and what they write down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from quoting.core.finding_kinds import PRACTICE_SOURCE
from quoting.core.scope import Units
from quoting.core.vapour import VapourFault
from quoting.core.weather import NEEDS, Reason, Verdict
from quoting.core.weather_limits import Holds, Limit, Limits, Work
from quoting.core.workings import StepFigure
from quoting.documents.asides import aside_words
from quoting.documents.by_hand import by_hand
from quoting.documents.crew_figures import NB
from quoting.documents.crew_words import Pair, crew_words, named, say
from quoting.documents.measured import measure_area
from quoting.documents.mix_sheet import BatchRow, GuardRow, MixPage, guard_row, judged_words, mix_page
from quoting.documents.step_places import at_todays_places, coats_now, key_now, still_agreed
from quoting.documents.visit_days import works_pair
from quoting.forms.entries import CHOICES, FORMS, EntryForm, ReadingForm
from quoting.models import READINGS, Entry, Role, User, Visit, VisitStep
from quoting.services.agreed_work import AgreedWork, agreed_work
from quoting.services.crew_acts import ACTS, keep_act
from quoting.services.crew_rules import current_rules
from quoting.services.crew_sheets import guarded_on, mixed_on
from quoting.services.entries import Written, keep_entry, written_on
from quoting.services.visits import days_outdated
from quoting.services.washed import hours_dry, washed_at
from quoting.views.crew_queue import queue_kinds
from quoting.views.mast import the_firm
from quoting.views.measured import draw_twice
from quoting.views.visit_acts import end_of
from quoting.views.visit_photos import photos_shown
from quoting.views.visit_written import checks_of, lines_of
from quoting.views.visits import find_visit

SIGNS = {
    "us": {"air": "°F", "slab": "°F", "air_lowest": "°F", "slab_lowest": "°F", "wind": "mph"},
    "metric": {"air": "°C", "slab": "°C", "air_lowest": "°C", "slab_lowest": "°C", "wind": "km/h"},
}
SIGNS_OF = {Holds.AT_LEAST: "≥", Holds.OVER: ">", Holds.AT_MOST: "≤", Holds.UNDER: "<"}
NAMED = {"evaporation": "evaporation"}
"""Limits on what is worked out of several readings, by the words for it."""
MASKED = frozenset({Work.STRIP, Work.SAND, Work.COLOUR, Work.SEAL})


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step as it is ticked: its key, its place in the work as it is agreed today, and its name in the price book."""

    key: str
    place: str
    of_step: str
    name: Pair
    areas: str
    tick: Entry | None
    more: tuple[Pair, ...]
    once: str


@dataclass(frozen=True, slots=True)
class BatchAsked:
    """A batch with its boxes: the lot, and what was really used, as it was last written down."""

    row: BatchRow
    wrote: Entry | None
    once: str


@dataclass(frozen=True, slots=True)
class MixAsked:
    """A mix sheet with the boxes of its batches; `of_step` is the step's name in the price book."""

    page: MixPage
    of_step: str
    batches: tuple[BatchAsked, ...]


@dataclass(frozen=True, slots=True)
class GuardAsked:
    """A line of the guard with the last amount that was written down for it, and what the guard says to it; `of_step`
    is the step's name in the price book."""

    row: GuardRow
    of_step: str
    used: str
    said: Pair | None
    do: tuple[Pair, ...]
    film: Pair | None
    once: str


@require_safe
def visit(request: HttpRequest, number: str, visit: int) -> HttpResponse:
    """The page of one visit, in English and Spanish; no price is on it."""
    return _page(request, find_visit(request, number, visit))


@require_POST
def visit_entry(request: HttpRequest, number: str, visit: int, kind: str) -> HttpResponse:
    """Keep what was written down, once. A phone that queues asks for JSON; a browser without a script is sent back."""
    found = find_visit(request, number, visit)
    form = _form(kind, request.POST, the_firm(request).units)
    queued = request.accepts("application/json") and not request.accepts("text/html")
    if form.is_valid():
        cleaned = form.cleaned_data
        keep = keep_act if kind in ACTS else keep_entry
        try:
            kept = keep(
                visit=found, by=request.user, once=cleaned["once"], kind=kind, data=form.facts,
                made_at=cleaned["made_at"],
            )  # fmt: skip
        except VapourFault as fault:
            form.add_error(None, str(fault))
        else:
            if queued:
                why = aside_words(kept.entry)
                said = {"said": f"{why.en} · {why.es}"} if why else {}
                return JsonResponse({"kept": str(kept.entry.once), "new": kept.is_new} | said)
            return redirect(f"{request.path.rsplit('/entries/', 1)[0]}/{_anchor(kind, form.facts)}")
    if queued:
        said = " ".join(str(error) for errors in form.errors.values() for error in errors)
        return JsonResponse({"fault": said}, status=422)
    return _page(request, found, refused=form)


def _form(kind: str, posted: Any, units: str) -> EntryForm:
    if kind == Entry.Kind.READING:
        return ReadingForm(posted, units=units)
    if kind not in FORMS:
        raise Http404
    return FORMS[kind](posted)


def _anchor(kind: str, facts: Mapping[str, Any]) -> str:
    if str(facts.get("step", "")).startswith("load."):
        return "pick-list/"
    place = {
        "tick": "steps", "untick": "steps", "reading": "weather", "used": "guard",
        "done": "end", "undone": "end", "hold": "end",
    }.get(kind, "written")  # fmt: skip
    return f"#{place}"


def _page(request: HttpRequest, found: Visit, refused: EntryForm | None = None) -> HttpResponse:
    job, firm = found.job, the_firm(request)
    units, work = str(firm.units), agreed_work(job)
    limits = current_rules().limits(Units(units))
    todays = work.workings.steps if work else ()
    written = written_on(at_todays_places(found.entries.select_related("by"), todays))
    steps = still_agreed(found.steps.all(), todays)
    coats = coats_now(steps, todays)
    places = set(coats)
    areas = [measure_area(area, units=units) for area in job.areas.prefetch_related("parts")]
    people = list(User.objects.filter(is_active=True).order_by("role", "name"))
    context: dict[str, Any] = {
        "job": job, "visit": found, "firm_phone": firm.phone, "works": works_pair(found), "units": units,
        "count": job.visits.count(), "people": [person for person in people if person.role != Role.OFFICE],
        "crew_names": ", ".join(person.get_short_name() for person in people if person.role == Role.CREW),
        "weather": _weather(written, found, units, limits),
        "readings": _readings(found, units, refused, washed_at(job, work)),
        "cautions": [say(f"caution.{each.value}") for each in found.works], "masked": bool(MASKED & set(found.works)),
        "steps": [_step(step, written, todays) for step in steps],
        "plan": draw_twice(areas, units=units, title=f"Plan of {job.property.street}", wide_px=600),
        "notes": [area.row for area in areas if area.row.note],
        "mixes": _mixes(work, places, units, written), "guards": _guards(work, coats, units, written),
        "materials": _materials(work, places), "checks": checks_of(found, written),
        "written": lines_of(
            reversed(written.all), steps, work, {person.pk: person.get_short_name() for person in people},
            {name: _sign(name, units) for name in READINGS},
        ),
        "by_hand": by_hand(limits, found.works, Units(units)),
        "holds": list(found.holds.all()), "end": end_of(found, refused),
        "onces": [str(uuid4()) for _ in range(4)], "refused": refused,
        "signed": request.user, "queue_kinds": queue_kinds(), "loaded": len(written.loads),
        "outdated": found.state != Visit.State.DONE and days_outdated(job, work),
    }  # fmt: skip
    context |= photos_shown(job, [area.row for area in areas], written.ticks, steps)
    return render(request, "crew/visit.html", context, status=200 if refused is None else 422)


def _step(step: VisitStep, written: Written, todays: Sequence[StepFigure]) -> StepRow:
    more = []
    if step.coats > 1:
        more.append(say("visit.coat", coat=step.coat, coats=step.coats))
    if step.parts > 1:
        more.append(say("visit.part", part=step.part, parts=step.parts))
    if step.hold:
        more.append(say("visit.wait_after", hours=f"{step.hold.normalize():f}"))
    key = key_now(step, todays)
    return StepRow(
        key, key.partition(".")[0], step.name, named(step.name), ", ".join(step.areas), written.ticks.get(key),
        tuple(more), str(uuid4()),
    )  # fmt: skip


def _weather(written: Written, visit: Visit, units: str, limits: Limits) -> dict[str, Any]:
    """The verdict on the last readings as they are now, with its reasons and the sources of its limits. Of a visit that
    is done: as they were when they were taken, since nobody waits for it to begin."""
    shown = [
        (
            *limit_words(limit),
            f"{SIGNS_OF[limit.holds]}{NB}{limit.figure(Units(units)):f}{NB}{limit.unit(Units(units))}",
        )
        for limit in limits.on(visit.last_work, Units(units))
    ]
    taken = written.reading.made_at if written.reading and visit.state == Visit.State.DONE else timezone.now()
    verdict = written.verdict(taken)
    if verdict is None or written.reading is None:
        return {"limits": shown}
    told = written.reading.data
    chosen = {name: choice for choice, name in CHOICES.items() if told.get(choice)}
    return {
        "limits": shown,
        "word": say(f"readings.{verdict.word.value.replace('-', '_')}"),
        "is_go": verdict.word.value == "go",
        "is_pre_wet": verdict.word.value == "pre-wet",
        "missing": [say(f"readings.{name}") for name in verdict.asked],
        "deciding": [_reason(reason, told) for reason in verdict.deciding],
        "kept": [_reason(reason, told) for reason in verdict.reasons if reason not in verdict.deciding],
        "sources": [(reason.limit.name, reason.source) for reason in verdict.reasons],
        "shown": [
            (say(f"readings.{name}"), f"{told[name]}\u00a0{_sign(name, units)}")
            for name in READINGS
            if told.get(name) and name not in chosen
        ],
        "chosen": [say(f"readings.{choice}") for choice in chosen.values()],
        "worked": _worked(verdict, units),
        "entry": written.reading,
    }


def limit_words(limit: Limit) -> tuple[Pair, Pair]:
    """What a limit is held against, and where its figure is from; citations stay as they are published."""
    own = f"limit.{limit.key}"
    name = say(own if own in crew_words() else f"readings.{NAMED.get(limit.key, NEEDS[limit.key][0])}")
    if limit.published == PRACTICE_SOURCE:
        return name, say("limit.firm" if limit.own else "limit.practice")
    return name, say("limit.own", source=limit.published) if limit.own else Pair(limit.published, limit.published)


def _reason(reason: Reason, told: Mapping[str, Any]) -> Pair:
    for choice, name in CHOICES.items():
        if told.get(choice) and NEEDS[reason.limit.key] == (name,):
            return say(f"readings.{choice}")
    figures = {name: figure.replace(" ", NB) for name, figure in reason.figures.items()}
    return say(f"reason.{reason.key}", **figures)


def _worked(verdict: Verdict, units: str) -> list[tuple[Pair, str]]:
    """Dew point, margin and drying, as far as they are known."""
    degrees = "°C" if units == "metric" else "°F"
    rows = []
    for name, value, places, sign in (
        ("dew", verdict.dew_point, 1, degrees),
        ("margin", verdict.margin, 1, degrees),
        ("evaporation", verdict.evaporation, 2, "kg/m²/h" if units == "metric" else "lb/ft²/h"),
    ):
        if value is not None:
            rows.append((say(f"readings.{name}"), f"{value:.{places}f}\u00a0{sign}"))
    return rows


def _sign(name: str, units: str) -> str:
    return SIGNS["metric" if units == "metric" else "us"].get(name, "%" if name == "humidity" else "h")


def _readings(visit: Visit, units: str, refused: EntryForm | None, washed: datetime | None) -> dict[str, Any]:
    """The blanks of the readings, with what was typed where it was refused; the hours since washing from its tick."""
    form = refused if isinstance(refused, ReadingForm) else None
    known = {"since_wash": hours_dry(washed, timezone.now())}
    return {
        "work": form.data.get("work", "") if form else visit.last_work.value,
        "works": [(work.value, say(f"work.{work.value}")) for work in Work],
        "rows": [
            {
                "name": name, "words": say(f"readings.{name}"), "sign": _sign(name, units),
                "value": form.data.get(name, "") if form else known.get(name, ""),
                "since": washed if name == "since_wash" else None,
                "faults": list(form.errors.get(name, [])) if form else [],
            }
            for name in READINGS
        ],
        "washed": washed,
        "choices": [
            {"name": name, "words": say(f"readings.{name}"), "on": bool(form and form.data.get(name))}
            for name in CHOICES
        ],
    }  # fmt: skip


def _mixes(work: AgreedWork | None, places: set[int], units: str, written: Written) -> list[MixAsked]:
    if work is None:
        return []
    materials = {material.key: material for material in work.scope.materials}
    last = {(entry.data["place"], entry.data["batch"]): entry for entry in written.used if entry.data.get("batch")}
    asked = []
    for each in mixed_on(work, places):
        page = mix_page(each.place, each.sheet, materials[each.sheet.material], units, work.scope.areas)
        boxes = tuple(BatchAsked(row, last.get((page.place, row.number)), str(uuid4())) for row in page.batches)
        asked.append(MixAsked(page, each.sheet.step, boxes))
    return asked


def _guards(work: AgreedWork | None, coats: Mapping[int, set[int]], units: str, written: Written) -> list[GuardAsked]:
    """Each line of the guard; what was used for it is all that was written down for it on this visit."""
    asked = []
    for line in guarded_on(work, coats) if work else ():
        mine = [
            entry for entry in written.used
            if entry.data.get("dimension") == "VOLUME" and entry.data.get("area") == line.area
            and (entry.data["material"], entry.data["place"], entry.data.get("coat"))
            == (line.material, line.place, line.coat)
        ]  # fmt: skip
        said: Pair | None = None
        do: tuple[Pair, ...] = ()
        film: Pair | None = None
        if mine:
            _word, said, do, film = judged_words(line, Decimal(mine[-1].data["magnitude"]), units)
        used = mine[-1].data["called"] if mine else ""
        asked.append(GuardAsked(guard_row(line, units), line.step, used, said, do, film, str(uuid4())))
    return asked


def _materials(work: AgreedWork | None, places: set[int]) -> list[tuple[str, int, Pair, Pair]]:
    """What may be used and left over: key, place of the step, name and step."""
    if work is None:
        return []
    return [
        (use.material, place, named(use.name), named(step.step))
        for place, step in enumerate(work.workings.steps)
        if place in places
        for use in step.materials
    ]
