"""What pages show of workings: quantities, films, batches and packs as text, with their long-hand sums."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.batches import Batch
from quoting.core.material_workings import MaterialFigure, UseFigure
from quoting.core.rounding import minor_places
from quoting.core.scope import Units
from quoting.core.trade_units import Dimension
from quoting.core.units import format_number, to_unit
from quoting.core.working_lines import SHOWN, WorkingLine, is_heavy, sign_of, worked

NB = "\u00a0"
GRAMS = Decimal(1000)
Lines = Sequence[WorkingLine]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackRow:
    """A material as it is bought: need, packs, what is left over, cost; each with its sum."""

    name: str
    need: str
    need_lines: Lines
    packs: str
    left_over: str
    cost: str
    cost_lines: Lines


def film_shown(metres: Decimal, units: Units, *, unit: bool = True) -> str:
    """A film in mil to one decimal, or in µm: 5.3 mil."""
    if units is Units.US:
        return format_number(to_unit(metres, "mil"), 1) + (f"{NB}mil" if unit else "")
    return format_number(metres * 1_000_000, 0) + (f"{NB}µm" if unit else "")


def quantity_shown(magnitude: Decimal, dimension: Dimension, units: Units, places: int | None = None) -> str:
    """m³, kg or pieces in the units that are shown: 4.55 gal, 22.50 oz, 14.02 lb, 3 pieces.

    A figure under one has four digits, as in its working, unless `places` are asked for.
    """
    shown = SHOWN[units]
    if dimension is Dimension.COUNT:
        count = short(format_number(magnitude, 2))
        return f"{count}{NB}{'piece' if count == '1' else 'pieces'}"
    mass = shown.heavy if is_heavy(magnitude) else shown.mass
    unit = shown.volume if dimension is Dimension.VOLUME else mass
    value = to_unit(magnitude, unit)
    return f"{worked(value) if places is None else format_number(value, places)}{NB}{sign_of(unit)}"


def batches_shown(use: UseFigure) -> list[str]:
    """The mix sheet in short: 1 × 3.75 gal of water with 22.5 oz (638 g) of powder, 6.4 scoops."""
    return [_batch(use, batch) for batch in use.batches]


def _batch(use: UseFigure, batch: Batch) -> str:
    water = short(format_number(to_unit(batch.water, SHOWN[use.units].volume), 2))
    grams = format_number(batch.powder * GRAMS, 0)
    ounces = f"{format_number(to_unit(batch.powder, 'oz'), 1)}{NB}oz ({grams}{NB}g)"
    powder = ounces if use.units is Units.US else f"{grams}{NB}g"
    scoops = use.scoops(batch)
    level = f", {format_number(scoops, 1)}{NB}scoops" if scoops is not None else ""
    return f"{batch.count} × {water}{NB}{SHOWN[use.units].volume} of water with {powder} of powder{level}"


def films_shown(use: UseFigure) -> str:
    """How thick each coat is, wet and dry: wet 7.3 mil, dry 1.3 mil."""
    if not use.wet_films or not use.dry_films:
        return ""
    wet = ", ".join(dict.fromkeys(film_shown(film, use.units) for film in use.wet_films))
    dry = ", ".join(dict.fromkeys(film_shown(film, use.units) for film in use.dry_films))
    return f"wet film {wet}, dry {dry}{' a coat' if len(use.wet_films) > 1 else ''}"


def pack_rows(materials: Iterable[MaterialFigure], currency: str) -> list[PackRow]:
    """What is bought of each material."""
    return [
        PackRow(
            name=each.name,
            need=quantity_shown(each.need, each.dimension, each.units),
            need_lines=each.lines,
            packs=", ".join(f"{pack.count} × {pack.pack.size.text}" for pack in each.bought if pack.count)
            or "nothing to buy",
            left_over=quantity_shown(each.left_over, each.dimension, each.units),
            cost=format_number(each.cost, minor_places(currency)),
            cost_lines=each.cost_lines,
        )
        for each in materials
    ]


def short(text: str) -> str:
    """A figure without zeros at its end: 3.50 is 3.5."""
    return text.rstrip("0").rstrip(".") if "." in text else text
