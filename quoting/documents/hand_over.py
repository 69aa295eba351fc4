"""All that stands on a hand-over sheet, as plain strings: when to use the slab again, care, when to seal again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.utils import formats

from quoting.core.recall import Exposure, Resealing, Seal
from quoting.core.units import format_number
from quoting.documents.contexts import NB, Facts, day_text, lines_of, listed
from quoting.documents.invoices import BillStamp, head_facts
from quoting.documents.slab_record import EXPOSED, OnSlab
from quoting.models import Firm, HandOver, Job
from quoting.models.hand_over import SEALS

POINTS = {
    "dry": "Every area is dry and was looked at by daylight, from where you sit and from the house.",
    "colour": "The colour was held against the sample that you approved.",
    "even": "No laps, puddles, bubbles or missed spots.",
    "clean": "Walls, doors, coping, glass and neighbours’ things are free of overspray.",
    "repairs": "You were shown the repairs; they will stay visible.",
    "grip": "The surface was tried wet underfoot.",
    "plants": "Plants and lawn are rinsed, drains are open again, water is turned back on.",
    "rest": "Tape, plastic, tools and empty packs are gone; what is kept for touching up is agreed.",
    "gates": "Gates, furniture and outdoor lights are as they were.",
    "told": "You were told that the gloss dulls a little within about a month, and that sealer is renewed.",
}
"""What is looked at together, in this order."""

CARE = """\
Keep sprinklers and hoses off it for 24 hours after the last coat, and no fertiliser for a week.
Do not turn the wheels of a standing car on it.
Wash it with water and a mild soap; no acid, no bleach, no pressure washer close up.
Put felt or rubber feet under furniture, and lift it; drips of grease and rust want wiping up at once.
No de-icing salt; use sand where it is icy.
A sealed slab is more slippery when it is wet: mind it at the pool and on the steps.
Rinse salt water and pool chemicals off it.
White haze, peeling or a dark wet patch: ring us, and put nothing on it.
"""
"""Where the words of care begin; the firm changes them on each sheet."""


def seal_words(seal: str, exposures: Sequence[str]) -> str:
    """What it is sealed with and what it is exposed to."""
    told = SEALS[Seal(seal)]
    around = listed(EXPOSED[Exposure(each)] for each in exposures)
    return f"{told}; {around}" if around else told


def window_words(first: date | None, last: date | None, likely: date | None = None) -> str:
    """A window of months: July 2027 to July 2028, likely about January 2028. Nothing where there is none."""
    if first is None or last is None:
        return ""
    begins, ends = (formats.date_format(day, f"F{NB}Y") for day in (first, last))
    if begins == ends:
        return begins
    about = f", likely about {formats.date_format(likely, f'F{NB}Y')}" if likely else ""
    return f"{begins} to {ends}{about}"


def hand_over_facts(
    *, firm: Firm, job: Job, row: HandOver, slabs: Sequence[OnSlab], system: str, stamp: BillStamp,
    resealing: Resealing, pairs: Sequence[Facts] = (),
) -> Facts:  # fmt: skip
    """The facts of one sheet. No figure of money is among them. Raises RecallFault."""
    told: dict[str, dict[str, Any]] = {each["area"]: each for each in row.slabs}
    return {
        **head_facts(firm, job, "Hand-over sheet", stamp, ""),
        "kind": "hand-over",
        "finished": day_text(row.finished_on),
        "system": system,
        "when": when_rows(row, firm),
        "points": [{"words": words, "seen": "yes" if key in row.walked else ""} for key, words in POINTS.items()],
        "note": lines_of(row.note),
        "care": lines_of(row.care),
        "sealed": "yes" if any(each.coats for each in slabs) else "",
        "slabs": [_slab(each, told[each.area], row.finished_on, resealing) for each in slabs if each.area in told],
        "pairs": list(pairs),
    }


def when_rows(row: HandOver, firm: Firm) -> list[Facts]:
    """From when the slab may be used, in the order in which it happens."""
    rows = [
        ("Walk on it, in clean soft shoes", row.walk_hours),
        ("Put furniture back, lifted and not dragged", row.furniture_hours),
        ("Park on it", row.park_hours),
        ("Mats, planters and the grill", firm.mats_hours),
    ]
    return [
        {"words": words, "day": _day_after(row.finished_on, hours), "hours": _hours(hours)}
        for words, hours in sorted(rows, key=lambda each: each[1])
    ]


def _slab(on: OnSlab, said: dict[str, Any], sealed: date, resealing: Resealing) -> Facts:
    window = resealing.window(sealed, Seal(said["seal"]), [Exposure(each) for each in said["exposures"]])
    first, likely, last = (each.first_day for each in (window.first, window.likely, window.last))
    before = said.get("coats_before")
    new = f"{on.coats} now" if on.coats else "no new one"
    coats = f"{new}, earlier ones not known" if before is None else f"{new}, {before + on.coats} in all"
    return {
        "area": on.area,
        "surface": on.surface,
        "seal": seal_words(said["seal"], said["exposures"]),
        "coats": coats,
        "film": on.film,
        "recipe": list(on.recipe),
        "lots": list(on.lots),
        "again": window_words(first, last, likely) if on.coats else "",
        "due_first": first.isoformat() if on.coats else "",
        "due_likely": likely.isoformat() if on.coats else "",
        "due_last": last.isoformat() if on.coats else "",
    }


def _day_after(day: date, hours: int) -> str:
    """The day on whose same hour so many hours have passed, rounded up to a whole day."""
    return formats.date_format(day + timedelta(days=-(-hours // 24)), f"l j{NB}F")


def _hours(hours: int) -> str:
    if hours >= 48 and hours % 24 == 0:
        return f"{format_number(Decimal(hours // 24), 0)}{NB}days after the last coat"
    return f"{format_number(Decimal(hours), 0)}{NB}{'hour' if hours == 1 else 'hours'} after the last coat"
