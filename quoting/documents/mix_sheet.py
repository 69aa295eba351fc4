"""The crew's mix sheet as plain values in both languages: batches, stretches, what should be gone. No prices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from quoting.core.coverage_guard import GuardLine, Judged, Puts, judge
from quoting.core.mix_sheet import BOX_RULE, MixSheet, SheetBatch, Stretch
from quoting.core.rounding import round_half_up
from quoting.core.scope import Area, Material
from quoting.core.trade_units import to_unit
from quoting.core.units import format_number
from quoting.documents.batch_map import draw_batches, span_texts
from quoting.documents.crew_figures import (
    NB,
    film_text,
    grams_text,
    liquid_text,
    nearest_quarter,
    ounces_text,
    percent_text,
    quarters,
    water_text,
)
from quoting.documents.crew_words import Pair, named, say
from quoting.documents.drawing import Drawing
from quoting.documents.tape_marks import Taped, taped_areas

COLUMNS = 4
"""Batches beside each other on paper; more go below."""


@dataclass(frozen=True, slots=True)
class BatchRow:
    """One bucket as it is read; `weighed` is the powder in grams as it is typed, `area` the only one that it covers."""

    number: int
    weighed: str
    area: str
    water: str
    powder: str
    grams: str
    scoops: str
    goes: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class MixPage:
    """One sheet: `place` of its step, what is mixed, the batches in rows for paper, and the rules; `taped` says that a
    tape is run to where batches end."""

    place: int
    step: Pair
    material: str
    name: Pair
    strength: str
    scoops: Pair | None
    batches: tuple[BatchRow, ...]
    rows: tuple[tuple[BatchRow, ...], ...]
    order: tuple[Pair, ...]
    boxed: Pair | None
    rule: Pair
    partial: Pair | None
    taped: bool
    tone: Pair
    narrow: Drawing
    wide: Drawing


def mix_page(place: int, sheet: MixSheet, material: Material, units: str, areas: Sequence[Area] = ()) -> MixPage:
    """A sheet as it is read; along the outlines of the areas a tape is run to where a batch ends."""
    taped = taped_areas(areas)
    scoop = quarters(to_unit(material.scoop.magnitude, "oz")) if material.scoop is not None else ""
    step = grams_text(sheet.scale_step)
    batches = tuple(_batch(batch, sheet, units, taped) for batch in sheet.batches)
    full = min(batch.tone_step for batch in sheet.batches)
    least = max(batch.tone_step for batch in sheet.batches)
    boxed = "; ".join(" + ".join(map(str, run)) for run in sheet.boxed)
    rows = tuple(batches[i : i + COLUMNS] for i in range(0, len(batches), COLUMNS))
    return MixPage(
        place=place,
        step=named(sheet.step),
        material=sheet.material,
        name=named(sheet.name),
        strength=_strength(sheet, units),
        scoops=say("mix.scoops", size=f"{scoop}{NB}oz") if scoop else None,
        batches=batches,
        rows=rows,
        order=tuple(say(f"mix.{key}") for key in sheet.order),
        boxed=say("mix.boxed", batches=boxed) if boxed else None,
        rule=say(f"mix.{BOX_RULE}"),
        partial=say("mix.partial") if any(batch.partial for batch in sheet.batches) and len(batches) > 1 else None,
        taped=any(_is_taped(each, taped) for batch in sheet.batches for each in batch.stretches),
        tone=say("mix.tone_step", step=step, percent=percent_text(full), last=percent_text(least)),
        narrow=draw_batches(sheet, units=units, width_px=350, prefix=f"bn{place}", taped=taped),
        wide=draw_batches(sheet, units=units, width_px=620, prefix=f"bw{place}", taped=taped),
    )


def _is_taped(stretch: Stretch, taped: Taped) -> bool:
    return stretch.length is None and not stretch.whole and stretch.area in taped


def _batch(batch: SheetBatch, sheet: MixSheet, units: str, taped: Taped) -> BatchRow:
    goes = []
    for stretch in batch.stretches:
        begins, ends = span_texts(stretch, units, taped)
        if stretch.whole:
            pair = say("mix.whole", area=stretch.area)
        else:
            pair = say("mix.share", area=stretch.area, begins=begins, ends=ends)
        if sheet.coats > 1:
            coat = say("mix.coat", coat=stretch.coat)
            pair = Pair(f"{pair.en}, {coat.en}", f"{pair.es}, {coat.es}")
        goes.append(pair)
    return BatchRow(
        number=batch.number,
        weighed=f"{to_unit(batch.weigh, 'g').normalize():f} g",
        area=batch.stretches[0].area if len({each.area for each in batch.stretches}) == 1 else "",
        water=water_text(batch.water, units),
        powder=ounces_text(batch.powder) if units != "metric" else grams_text(round_half_up(batch.powder, 3)),
        grams=grams_text(batch.weigh),
        scoops=nearest_quarter(batch.scoops) if batch.scoops is not None else "",
        goes=tuple(goes),
    )


def _strength(sheet: MixSheet, units: str) -> str:
    if units == "metric":
        return f"{format_number(to_unit(sheet.strength, 'g/L'), 1)}{NB}g/L"
    return f"{quarters(round_half_up(to_unit(sheet.strength, 'oz/gal'), 2))}{NB}oz/gal"


@dataclass(frozen=True, slots=True)
class Answer:
    """What the guard says from one amount on: the word, and what to do."""

    word: str
    said: Pair
    do: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class GuardRow:
    """One coat on one area: what should be gone, in the unit in which it is measured, and the three answers.

    `low`, `high` and `blotchy` are the bounds as plain figures of that unit; from `blotchy` on the last answer holds.
    """

    place: int
    coat: int
    area: str
    material: str
    of_what: Pair
    step: Pair
    said_coat: Pair | None
    unit: str
    low: str
    high: str
    low_text: str
    high_text: str
    film: Pair | None
    answers: tuple[Answer, ...]


def guard_row(line: GuardLine, units: str) -> GuardRow:
    """A line of the coverage guard as it is read."""
    unit = "L" if units == "metric" else "gal"
    film = None
    if line.puts is Puts.FILM:
        film = say("guard.wet_film", low=film_text(line.thin, units), high=film_text(line.thick, units))
    return GuardRow(
        place=line.place,
        coat=line.coat,
        area=line.area,
        material=line.material,
        of_what=named(line.name),
        step=named(line.step),
        said_coat=say("visit.coat", coat=line.coat, coats=line.coats) if line.coats > 1 else None,
        unit=unit,
        low=f"{round_half_up(to_unit(line.low, unit), 4):f}",
        high=f"{round_half_up(to_unit(line.high, unit), 4):f}",
        low_text=liquid_text(line.low, units),
        high_text=liquid_text(line.high, units),
        film=film,
        answers=tuple(_answer(line, used) for used in (line.low / 2, (line.low + line.high) / 2, line.high * 2)),
    )


def _answer(line: GuardLine, used: Any) -> Answer:
    judged = judge(line, used)
    return Answer(judged.word.value, say(f"guard.{judged.word.value}"), tuple(say(f"guard.{key}") for key in judged.do))


def judged_words(line: GuardLine, used: Any, units: str) -> tuple[Judged, Pair, tuple[Pair, ...], Pair | None]:
    """What the guard answers to this much: the word, what is said, what to do, and the film that it means."""
    judged = judge(line, used)
    film = say("guard.film_now", film=film_text(judged.wet_film, units)) if line.puts is Puts.FILM else None
    return judged.word, say(f"guard.{judged.word.value}"), tuple(say(f"guard.{key}") for key in judged.do), film


def guard_rows(lines: Sequence[GuardLine], units: str) -> list[GuardRow]:
    """The lines as they are read."""
    return [guard_row(line, units) for line in lines]
