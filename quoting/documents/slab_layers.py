"""All that the firm's jobs put on the areas of one property, layer upon layer, and what lies there today."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from quoting.core.scope import Units
from quoting.documents.contexts import Facts, day_text, letterhead, sheet
from quoting.documents.hand_over import seal_words, window_words
from quoting.documents.slab_record import thick_words
from quoting.models import Firm, Job, SlabRecord

MANY_COATS = 4
"""From so many coats on without stripping, stripping is proposed: common practice (3 to 4), no published source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """What one job put on an area, in words."""

    job: str
    day: str
    did: str
    system: str
    coats: str
    film: str
    seal: str
    again: str
    recipe: Sequence[str]
    lots: Sequence[str]
    readings: Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaLayers:
    """One area: what lies on it today, and the layers, the last first."""

    area: str
    surface: str
    coats: str
    film: str
    seal: str
    again: str
    advice: str
    layers: tuple[Layer, ...]


def layers_of(records: Iterable[SlabRecord], units: Units) -> list[AreaLayers]:
    """The areas by name in the order in which they were first sealed. `records` come with their job."""
    by_area: dict[str, list[SlabRecord]] = {}
    for row in sorted(records, key=lambda each: (each.sealed_on, each.pk)):
        by_area.setdefault(row.area, []).append(row)
    return [_area(rows, units) for rows in by_area.values()]


def lying(rows: Sequence[SlabRecord]) -> Sequence[SlabRecord]:
    """Those of an area's records, in their order, that were not stripped off since."""
    start = max((place for place, row in enumerate(rows) if row.is_stripped), default=0)
    return rows[start:]


def coats_words(rows: Sequence[SlabRecord]) -> str:
    """How many coats of sealer lie on it, over all jobs: as the last hand-over counted them, else at least our own."""
    now = rows[-1].coats_now
    if now is not None:
        return f"{now} in all"
    ours = sum(row.coats for row in lying(rows))
    return f"{ours} of ours, earlier ones not known"


def film_words(rows: Sequence[SlabRecord], units: Units) -> str:
    """The dry film of our coats together, as far as it was reckoned."""
    sealed = [row for row in lying(rows) if row.coats]
    known = [row.film_depth for row in sealed if row.film_depth is not None]
    if not known:
        return ""
    told = thick_words(sum(known, Decimal(0)), units)
    return f"{'at least ' if len(known) < len(sealed) else ''}{told} dry, our coats together"


def slab_facts(*, firm: Firm, job: Job, areas: Sequence[AreaLayers], at: datetime) -> Facts:
    """All that stands on the slab's record of the job's property."""
    name, day = "Slab record", day_text(at)
    return {
        "format": "1",
        "kind": "slab-record",
        "name": name,
        "date": day,
        "sheet": sheet(firm),
        "firm": letterhead(firm),
        "foot": {
            "firm": firm.name, "telephone": firm.phone, "paper": name, "where": job.property.street, "date": day,
        },
        "place": job.property.street,
        "where": ", ".join(job.property.address_lines[1:]),
        "areas": [_facts(each) for each in areas],
    }  # fmt: skip


def _area(rows: Sequence[SlabRecord], units: Units) -> AreaLayers:
    sealed = next((row for row in reversed(rows) if row.due_first), rows[-1])
    coats = rows[-1].coats_now if rows[-1].coats_now is not None else sum(row.coats for row in lying(rows))
    return AreaLayers(
        area=rows[-1].area,
        surface=rows[-1].surface,
        coats=coats_words(rows),
        film=film_words(rows, units),
        seal=seal_words(sealed.seal, sealed.exposures),
        again=window_words(sealed.due_first, sealed.due_last, sealed.due_likely),
        advice=f"{coats} coats lie on it: think of stripping before another." if coats >= MANY_COATS else "",
        layers=tuple(_layer(row) for row in reversed(rows)),
    )


def _layer(row: SlabRecord) -> Layer:
    did = "sealed" if row.coats else "coloured"
    return Layer(
        job=row.job.number,
        day=day_text(row.sealed_on),
        did=f"stripped and {did}" if row.is_stripped else did,
        system=row.system,
        coats=f"{row.coats} {'coat' if row.coats == 1 else 'coats'} of sealer" if row.coats else "no sealer",
        film=row.film,
        seal=seal_words(row.seal, row.exposures),
        again=window_words(row.due_first, row.due_last, row.due_likely),
        recipe=row.recipe,
        lots=row.lots,
        readings=row.readings,
    )


def _facts(each: AreaLayers) -> Facts:
    names = ("area", "surface", "coats", "film", "seal", "again", "advice")
    told = ("job", "day", "did", "system", "coats", "film")
    return {name: getattr(each, name) for name in names} | {
        "layers": [
            {name: getattr(layer, name) for name in told}
            | {name: list(getattr(layer, name)) for name in ("recipe", "lots", "readings")}
            for layer in each.layers
        ]
    }
