"""The firm's lives of a sealing as they are shown and reckoned with: its own years over the figures to start from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.recall import STARTING_LIVES, Exposure, Life, Resealing, Seal, Season, life_from
from quoting.models import RecallRules

STARTING_SOURCE = "starting value: common practice, no published source"

Years = Sequence[Decimal] | None
"""Low, likely and high; None where an exposure does not shorten it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeRow:
    """A life as it is shown: of which seal, under which exposure (None: by itself), whether it is the firm's own, and
    what it rests on."""

    seal: Seal
    exposure: Exposure | None
    life: Life | None
    is_own: bool
    source: str


def resealing_of(row: RecallRules) -> Resealing:
    """What the row says over the figures to start from."""
    lives = {(each.seal, each.exposure): each.life for each in life_rows(row) if each.life is not None}
    season = Season(first=row.season_first, last=row.season_last) if row.season_first and row.season_last else None
    return Resealing(lives=lives, season=season)


def life_rows(row: RecallRules) -> list[LifeRow]:
    """Every seal by itself and under every exposure, in order."""
    return [_row(row, seal, exposure) for seal in Seal for exposure in (None, *Exposure)]


def _row(row: RecallRules, seal: Seal, exposure: Exposure | None) -> LifeRow:
    key = life_key(seal, exposure)
    if key in row.lives:
        told = row.lives[key]
        life = None if told is None else life_from([Decimal(each) for each in told])
        source = row.sources.get(seal.value) or "the firm’s own figure"
        return LifeRow(seal=seal, exposure=exposure, life=life, is_own=True, source=source)
    start = STARTING_LIVES.get((seal, exposure))
    return LifeRow(seal=seal, exposure=exposure, life=start, is_own=False, source=STARTING_SOURCE)


def life_key(seal: Seal, exposure: Exposure | None) -> str:
    """By what a life stands in the row."""
    return f"{seal.value}/{exposure.value}" if exposure else seal.value
