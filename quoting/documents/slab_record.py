"""What is on a slab after a job, area by area: coats and film of sealer, the recipe of the colour, lots, readings.

The film is reckoned from what the crew wrote down as used; where nothing was, from the agreed coverage. It says which.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core.film import dry_film
from quoting.core.recall import Exposure, Seal
from quoting.core.rounding import CONTEXT, round_half_up
from quoting.core.scope import CoverageUse, MixUse, Units
from quoting.core.tasks import works_of
from quoting.core.units import format_number
from quoting.core.uses import coverages
from quoting.core.weather_limits import Work
from quoting.core.workings import UseFigure, Workings
from quoting.documents.contexts import NB, day_text
from quoting.documents.used import last_amounts
from quoting.models import Entry

MIL = Decimal("0.0000254")
"""A thousandth of an inch, in metres."""

MICRON = Decimal("0.000001")

FILM_PLACES = 8
"""Metres to a hundredth of a micron."""

SURFACE_SEALS = {"stamped concrete": Seal.ACRYLIC, "concrete pavers": Seal.PAVER, "clay pavers": Seal.PAVER}
"""What a surface is usually sealed with: where the form begins, to be put right."""

EXPOSED = {
    Exposure.HARD_USE: "hard use",
    Exposure.POOL: "a pool",
    Exposure.SALT_POOL: "a salt-water pool",
    Exposure.DE_ICING_SALT: "de-icing salt",
    Exposure.FULL_SUN: "full sun",
}

READ = (("air", "air"), ("slab", "slab"), ("humidity", "humidity"), ("wind", "wind"))


@dataclass(frozen=True, slots=True, kw_only=True)
class OnSlab:
    """What one job put on one area, in words."""

    area: str
    surface: str
    coats: int
    film: str
    film_depth: Decimal | None
    is_stripped: bool
    recipe: tuple[str, ...]
    lots: tuple[str, ...]


def on_slab(workings: Workings, entries: Iterable[Entry]) -> tuple[OnSlab, ...]:
    """Of every area on which the job puts sealer or colour, in their order; `entries` are all of the job's."""
    used = last_amounts(entries)
    stripping = [place for place, work in works_of(workings).items() if work is Work.STRIP]
    found = []
    for area in workings.areas:
        uses = [
            (place, use)
            for place, step in enumerate(workings.steps)
            if area.name in step.areas
            for use in step.materials
        ]
        sealers = [(place, use) for place, use in uses if _is_film(use)]
        mixes = [_mix_words(use.name, use.use) for _place, use in uses if isinstance(use.use, MixUse)]
        if not sealers and not mixes:
            continue
        depth, how = _film(workings, area.name, sealers, used)
        keys = {place: {use.material: use.name for at, use in uses if at == place} for place, _use in uses}
        found.append(
            OnSlab(
                area=area.name,
                surface=area.surface,
                coats=sum(use.coats for _place, use in sealers),
                film="" if depth is None else f"{thick_words(depth, workings.scope.units)} dry, {how}",
                film_depth=depth,
                is_stripped=any(area.name in workings.steps[place].areas for place in stripping),
                recipe=tuple(dict.fromkeys([*mixes, *(_seal_words(use) for _place, use in sealers)])),
                lots=tuple(dict.fromkeys(_lots(used, area.name, keys))),
            )
        )
    return tuple(found)


def reading_words(entries: Iterable[Entry]) -> list[str]:
    """The readings that were taken, each in a line with its day and what came of it."""
    lines = []
    for entry in entries:
        if entry.kind == Entry.Kind.READING:
            told = [f"{word} {entry.data[key]}{_unit(key, entry.data)}" for key, word in READ if entry.data.get(key)]
            lines.append(f"{day_text(entry.made_at)}: {', '.join(told)}: {entry.data.get('word', '')}".rstrip(": "))
    return lines


def usual_seal(surface: str) -> Seal:
    """What a surface is usually sealed with."""
    return SURFACE_SEALS.get(surface, Seal.ACRYLIC)


def _is_film(use: UseFigure) -> bool:
    return use.of.solids is not None and isinstance(use.use, CoverageUse)


def _film(
    workings: Workings, area: str, sealers: list[tuple[int, UseFigure]], used: list[Mapping[str, Any]]
) -> tuple[Decimal | None, str]:
    """The dry film of the coats together, in metres to eight places, and what it was reckoned from."""
    if not sealers:
        return None, ""
    surface = next(each.effective for each in workings.areas if each.name == area)
    written = [_used_on(area, place, use, used) for place, use in sealers]
    if all(written) and surface:
        films = [
            dry_film(CONTEXT.divide(sum(amounts, Decimal(0)), surface), use.of.solids or Decimal(1))
            for (_place, use), amounts in zip(sealers, written, strict=True)
        ]
        how = "reckoned from what was used"
    else:
        films, how = [film for _place, use in sealers for film in use.dry_films], "as planned"
    return (round_half_up(sum(films, Decimal(0)), FILM_PLACES), how) if films else (None, "")


def _used_on(area: str, place: int, use: UseFigure, used: list[Mapping[str, Any]]) -> list[Decimal]:
    """What was written down of it for this very area, m³."""
    return [
        Decimal(each["magnitude"])
        for each in used
        if each.get("area") == area
        and each.get("place") == place
        and each.get("material") == use.material
        and each.get("dimension") == "VOLUME"
    ]


def thick_words(film: Decimal, units: Units) -> str:
    """A film of so many metres, as it is said: 1.2 mil, or 30 µm."""
    if units is Units.METRIC:
        return f"{format_number(film / MICRON, 0)}{NB}µm"
    return f"{format_number(film / MIL, 1)}{NB}mil"


def _mix_words(name: str, mix: MixUse) -> str:
    told = f"{name}: {mix.strength.text} of water, {mix.coverage.text}"
    return _shown(told + (f", {mix.coats} coats" if mix.coats > 1 else ""))


def _seal_words(use: UseFigure) -> str:
    rates = dict.fromkeys(each.text for each in coverages(use.use)) if isinstance(use.use, CoverageUse) else ()
    return _shown(f"{use.name}: {', then '.join(rates)}")


def _shown(text: str) -> str:
    return text.replace("**2", "²").replace("^2", "²")


def _lots(used: list[Mapping[str, Any]], area: str, keys: dict[int, dict[str, str]]) -> list[str]:
    return [
        f"{keys[int(each['place'])][each['material']]}, lot {each['lot']}"
        for each in used
        if each.get("lot")
        and each.get("area", "") in ("", area)
        and each["material"] in keys.get(int(each.get("place", -1)), {})
    ]


def _unit(key: str, data: dict[str, str]) -> str:
    us = data.get("units") == "us"
    if key == "humidity":
        return f"{NB}%"
    if key == "wind":
        return f"{NB}mph" if us else f"{NB}km/h"
    return f"{NB}°F" if us else f"{NB}°C"
