"""How long a sealing lasts with this firm and when it seals: what it has set, over the figures to start from."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from quoting.core.recall import STARTING_LIVES, Exposure, RecallFault, Resealing, Seal, Season, life_from
from quoting.documents.recall_rules import Years, life_key, resealing_of
from quoting.models import ChangedMeanwhile, RecallRules, User
from quoting.services.trail import record

THE_RULES = 1


def the_rules() -> RecallRules:
    """The row; a fresh one of version 0 before anything was set."""
    return RecallRules.objects.filter(pk=THE_RULES).first() or RecallRules(pk=THE_RULES, version=0)


def current_resealing() -> Resealing:
    """As the core takes it. One query."""
    return resealing_of(the_rules())


def keep_lives(
    *, by: User, version: int, seal: Seal, years: Mapping[Exposure | None, Years], source: str
) -> RecallRules:
    """Keep the lives of one seal. Raises ChangedMeanwhile, or RecallFault for a life that is none."""
    if not years[None]:
        raise RecallFault("A seal lasts for some time by itself; write its years.")
    lives = {exposure: None if told is None else life_from(told) for exposure, told in years.items()}
    with transaction.atomic():
        row = _claimed(version)
        for exposure, told in years.items():
            key = life_key(seal, exposure)
            row.lives.pop(key, None)
            if lives[exposure] != STARTING_LIVES.get((seal, exposure)):
                row.lives[key] = None if told is None else [f"{each:f}" for each in told]
        row.sources = {**row.sources, seal.value: source}
        row.save()
        record("resealing changed", actor=by, data={"seal": seal.value, "lives": row.lives})
    return row


def keep_season(*, by: User, version: int, season: Season | None) -> RecallRules:
    """Keep the months in which the firm seals; None: all year round. Raises ChangedMeanwhile."""
    with transaction.atomic():
        row = _claimed(version)
        row.season_first, row.season_last = (season.first, season.last) if season else (None, None)
        row.save()
        record("resealing changed", actor=by, data={"season": [row.season_first, row.season_last]})
    return row


def _claimed(version: int) -> RecallRules:
    row, is_new = RecallRules.objects.get_or_create(pk=THE_RULES)
    if is_new and version:
        raise ChangedMeanwhile(row)
    if not is_new:
        row.claim(version)
    return row
