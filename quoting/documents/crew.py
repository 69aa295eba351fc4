"""What the crew reads of an issued offer: steps, materials, batches and packs. Nothing here holds a price or a cost.

Every figure is picked by name from the frozen workings; what is not picked does not pass.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core.units import format_number
from quoting.models import PaperScope

UNIT_WORDS = {"ft**2": "ft²", "m**2": "m²", "each": "pieces"}
NB = "\u00a0"


@dataclass(frozen=True, slots=True)
class CrewMaterial:
    """A material of a step, how much of it, and its batches."""

    name: str
    need: str
    batches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CrewStep:
    """One step: where, how long, with what."""

    name: str
    areas: str
    hours: str
    visit: int | None
    hold: str
    materials: tuple[CrewMaterial, ...]


@dataclass(frozen=True, slots=True)
class CrewOffer:
    """An option as the crew sees it: its steps, and the packs to load."""

    name: str
    steps: tuple[CrewStep, ...]
    packs: tuple[tuple[str, str], ...]


def crew_offers(scopes: Iterable[PaperScope]) -> list[CrewOffer]:
    """The frozen scopes of a paper without their money."""
    return [_offer(each.name, json.loads(each.scope), json.loads(each.workings)) for each in scopes]


def _offer(name: str, scope: dict[str, Any], workings: dict[str, Any]) -> CrewOffer:
    names = {key: str(material["name"]) for key, material in scope.get("materials", {}).items()}
    steps = zip(scope.get("work", []), workings.get("steps", []), strict=False)
    return CrewOffer(
        name=name,
        steps=tuple(_step(planned, worked, names) for planned, worked in steps),
        packs=tuple(
            (
                names.get(each["material"], each["material"]),
                ", ".join(f"{pack['count']} × {pack['size']}" for pack in each["buy"]),
            )
            for each in workings.get("materials", [])
            if each.get("buy")
        ),
    )


def _step(planned: dict[str, Any], worked: dict[str, Any], names: dict[str, str]) -> CrewStep:
    return CrewStep(
        name=str(planned["step"]),
        areas=", ".join(planned["areas"]),
        hours=f"{format_number(Decimal(worked['person_hours']), 1)}{NB}h" if worked.get("person_hours") else "",
        visit=planned.get("visit"),
        hold=str(planned.get("hold") or ""),
        materials=tuple(
            CrewMaterial(
                name=names.get(each["material"], each["material"]),
                need=_quantity(each.get("need")),
                batches=tuple(_batch(batch) for batch in each.get("batches") or ()),
            )
            for each in worked.get("materials") or ()
        ),
    )


def _batch(batch: dict[str, Any]) -> str:
    scoops = f", {format_number(Decimal(batch['scoops']), 1)} scoops" if batch.get("scoops") else ""
    return f"{batch['count']} × {_quantity(batch.get('water'))} water, {_quantity(batch.get('powder'))} powder{scoops}"


def _quantity(value: dict[str, Any] | None) -> str:
    if not value:
        return ""
    unit = str(value["unit"])
    return f"{format_number(Decimal(value['value']), 2)}{NB}{UNIT_WORDS.get(unit, unit)}"
