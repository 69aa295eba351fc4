"""How the firm's crew works: its day, reserves, scale and the weather's limits, as rows and as the core takes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from typing import Any

from django.db import transaction

from quoting.core.findings import KINDS, Kind, kind_read_after
from quoting.core.rounding import CONTEXT
from quoting.core.scope import Units
from quoting.core.trade_units import from_unit
from quoting.core.visits import DayRules
from quoting.core.weather_limits import STARTING_LIMITS, Limits
from quoting.models import ChangedMeanwhile, CrewRules, User
from quoting.services.trail import record

THE_RULES = 1
SATURDAY, SUNDAY = 5, 6


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules as the core takes them; `scale_step` in kg."""

    row: CrewRules
    days: DayRules
    scale_step: Decimal

    def limits(self, units: Units) -> Limits:
        """The weather's limits with the firm's own figures."""
        figures = {key: None if text is None else Decimal(text) for key, text in self.row.limits.items()}
        return STARTING_LIMITS.set_to(figures, units)

    def kind(self, key: str) -> Kind:
        """The kind of finding with the waiting time that the firm chose. Raises NoSuchKind."""
        return kind_read_after(key, self.row.waits.get(key))

    def kinds(self) -> list[Kind]:
        """Every kind of finding so, in the order of a visit."""
        return [self.kind(key) for key in KINDS]


def current_rules() -> Rules:
    """The rules of the firm; the usual ones before it has set any."""
    row = CrewRules.objects.filter(pk=THE_RULES).first() or CrewRules(pk=THE_RULES, version=0)
    off = {day for day, works in ((SATURDAY, row.saturdays), (SUNDAY, row.sundays)) if not works}
    days = DayRules(
        opens=_hour(row.opens),
        closes=_hour(row.closes),
        arriving=CONTEXT.divide(Decimal(row.setting_up), Decimal(60)),
        weekdays_off=frozenset(off),
        rain=row.rain_days,
        cold=row.cold_days,
    )
    return Rules(row, days, from_unit(row.scale_step, "g"))


def keep_rules(
    *,
    by: User,
    version: int,
    limits: Mapping[str, Decimal | None],
    waits: Mapping[str, int] | None = None,
    **facts: Any,
) -> CrewRules:
    """Keep what was set; `waits` are seconds by the kind of test where they differ.

    Raises ChangedMeanwhile, or LimitFault for a limit that can't be kept to.
    """
    kept = {key: None if figure is None else f"{figure:f}" for key, figure in limits.items()}
    STARTING_LIMITS.set_to(dict(limits), Units.US)
    with transaction.atomic():
        row, is_new = CrewRules.objects.get_or_create(pk=THE_RULES)
        if is_new and version:
            raise ChangedMeanwhile(row)
        if not is_new:
            row.claim(version)
        for name, value in facts.items():
            setattr(row, name, value)
        row.limits, row.waits = kept, dict(waits or {})
        row.save()
        told = {"limits": kept, "waits": row.waits, "recoat_hours": row.recoat_hours}
        record("crew rules changed", actor=by, data=told)
    return row


def _hour(clock: time) -> Decimal:
    return Decimal(clock.hour) + CONTEXT.divide(Decimal(clock.minute), Decimal(60))
