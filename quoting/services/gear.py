"""Acts on the firm's list of gear: what is loaded beside the material, by what is done, and where it is kept."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from quoting.core.units import from_unit
from quoting.models import Firm, GearItem, User, lock_row
from quoting.services.firm import THE_FIRM
from quoting.services.trail import record

STARTER_GEAR = Path(__file__).with_name("starter_gear.toml")

MOST = 300
"""Rows of one list; nobody loads more."""


class TooMuchGear(Exception):
    """The list is full."""

    def __init__(self) -> None:
        super().__init__(f"The list holds {MOST} rows. Take one out before you add another.")


def current_gear() -> list[GearItem]:
    """The firm's list; where it has written none, the one to begin with, whose rows are not kept. One query."""
    return list(GearItem.objects.all()) or starting_gear()


def starting_gear() -> list[GearItem]:
    """The list to begin with, each row marked as a starting value."""
    rows = sorted(_starter(), key=lambda facts: (facts["kind"], facts["name"]))
    return [GearItem(**facts, is_starting_value=True) for facts in rows]


def words_of(items: Iterable[GearItem]) -> dict[str, str]:
    """The Spanish of names and places, by their English; what has none is left out."""
    found: dict[str, str] = {}
    for item in items:
        for english, spanish in ((item.name, item.name_es), (item.place, item.place_es)):
            if english and spanish:
                found.setdefault(english, spanish)
    return found


def begin_gear(*, by: User) -> int:
    """Take the list to begin with over as the firm's own; how many rows were added. None where there is a list."""
    with transaction.atomic():
        lock_row(Firm, THE_FIRM)
        if GearItem.objects.exists():
            return 0
        rows = GearItem.objects.bulk_create(starting_gear())
        record("gear list begun", actor=by, data={"rows": len(rows)})
    return len(rows)


def add_gear(*, by: User, **facts: Any) -> GearItem:
    """Put one more thing on the list. Raises TooMuchGear."""
    with transaction.atomic():
        lock_row(Firm, THE_FIRM)
        if GearItem.objects.count() >= MOST:
            raise TooMuchGear
        if not GearItem.objects.exists():
            GearItem.objects.bulk_create(starting_gear())
        row = GearItem.objects.create(key=_new_key(facts["name"]), **facts)
        record("gear changed", actor=by, data={"key": row.key, "act": "added"})
    return row


def keep_gear(*, row: GearItem, version: int, by: User, **facts: Any) -> None:
    """Keep what was changed; from then on it is the firm's own figure. Raises ChangedMeanwhile."""
    with transaction.atomic():
        row.claim(version)
        for name, value in facts.items():
            setattr(row, name, value)
        row.is_starting_value = False
        row.save(update_fields=[*facts, "is_starting_value"])
        record("gear changed", actor=by, data={"key": row.key, "act": "changed"})


def remove_gear(*, row: GearItem, version: int, by: User) -> None:
    """Take it off the list; nothing else names it. Raises ChangedMeanwhile."""
    with transaction.atomic():
        row.claim(version)
        key = row.key
        row.delete()
        record("gear changed", actor=by, data={"key": key, "act": "removed"})


def _new_key(name: str) -> str:
    stem = slugify(name)[:32] or "gear"
    taken = set(GearItem.objects.filter(key__startswith=stem).values_list("key", flat=True))
    return next(key for key in (stem, *(f"{stem}-{n}" for n in range(2, MOST + 3))) if key not in taken)


@cache
def _starter() -> list[dict[str, Any]]:
    told = tomllib.loads(STARTER_GEAR.read_text(encoding="utf-8"))
    return [_facts(row, told["places"]) for row in told["item"]]


def _facts(row: dict[str, Any], places: dict[str, list[str]]) -> dict[str, Any]:
    (name, name_es), (place, place_es) = row["name"], places[row["place"]]
    facts: dict[str, Any] = {each: row[each] for each in ("key", "kind", "works", "count", "per") if each in row}
    if feet := row.get("roll_feet"):
        facts["roll"] = from_unit(Decimal(feet), "ft")
    return facts | {"name": name, "name_es": name_es, "place": place, "place_es": place_es}
