"""Acts on the firm's region rules. Those it starts from are dated starting points, all switched off, never advice."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from quoting.core.region_rules import RegionRule as CoreRule
from quoting.models import Firm, RegionRule, User, lock_row
from quoting.services.firm import THE_FIRM, current_firm
from quoting.services.trail import record

STARTER_RULES = Path(__file__).with_name("starter_rules.toml")

STARTING_POINT = "Starting point, have it checked by your adviser: "
"""Stands before the text of every rule as it is shipped; a firm's own row says so by having no day of confirmation."""

FACTS = ("region", "kind", "name", "figures", "text", "source", "as_of", "on", "confirmed_on")

MOST_RULES = 200


class TooManyRules(Exception):
    """No firm works under so many."""

    def __init__(self) -> None:
        super().__init__(f"A firm keeps {MOST_RULES} region rules at most. Remove what you don’t use.")


class StillOn(Exception):
    """A rule that offers are held against does not vanish unseen."""

    def __init__(self, rule: RegionRule) -> None:
        super().__init__(f"“{rule.name}” is switched on. Switch it off first, and then remove it.")


@cache
def _starting() -> tuple[dict[str, Any], ...]:
    with STARTER_RULES.open("rb") as file:
        rules: list[dict[str, Any]] = tomllib.load(file)["rule"]
    return tuple(rules)


def starter_rules() -> list[dict[str, Any]]:
    """The rows to begin with: key, region, kind, name, figures (texts), text, source, as_of, and on, which is False.

    `as_of` is None where the date of the copy that was seen is not known.
    """
    return [{"as_of": None} | rule | {"text": f"{STARTING_POINT}{rule['text']}", "on": False} for rule in _starting()]


def starter_regions() -> list[str]:
    """The regions that there are starting rules for, in their order."""
    return list(dict.fromkeys(rule["region"] for rule in _starting()))


def regions_to_load(have: Mapping[str, object]) -> list[tuple[str, int]]:
    """Regions with starting rules that are not among these keys, and how many."""
    missing = [rule["region"] for rule in _starting() if rule["key"] not in have]
    return [(region, missing.count(region)) for region in starter_regions() if region in missing]


def load_rules(*, region: str, by: User) -> int:
    """Add the starting rules of a region, switched off; those that are there stay as they are. How many were added."""
    with transaction.atomic():
        firm = lock_row(Firm, current_firm().pk)
        have = dict(firm.region_rules.values_list("key", "position"))
        rows = [rule for rule in starter_rules() if rule["region"] == region and rule["key"] not in have]
        first = max(have.values(), default=-1) + 1
        for place, rule in enumerate(rows):
            words = rule["text"].removeprefix(STARTING_POINT)
            RegionRule.objects.create(firm=firm, position=first + place, **rule | {"text": words})
        if rows:
            record("region rules loaded", actor=by, data={"region": region, "rules": len(rows)})
    return len(rows)


def add_rule(*, by: User, **facts: Any) -> RegionRule:
    """A rule of the firm's own. Raises TooManyRules."""
    with transaction.atomic():
        firm = lock_row(Firm, current_firm().pk)
        have = dict(firm.region_rules.values_list("key", "position"))
        if len(have) >= MOST_RULES:
            raise TooManyRules
        rule = RegionRule.objects.create(
            firm=firm, key=_free_key(facts["name"], have), position=max(have.values(), default=-1) + 1, **facts
        )
        record("region rule added", actor=by, data=_told(rule))
    return rule


def keep_rule(*, rule: RegionRule, version: int, by: User, **facts: Any) -> RegionRule:
    """Keep what the rule says, and tell the trail what changed. Raises ChangedMeanwhile."""
    with transaction.atomic():
        kept = lock_row(RegionRule, rule.pk)
        before = _told(kept)
        kept.claim(version)
        for name, value in facts.items():
            setattr(kept, name, value)
        kept.save(update_fields=list(facts))
        now = _told(kept)
        if changed := {name: [before[name], value] for name, value in now.items() if value != before[name]}:
            record("region rule changed", actor=by, data={"rule": kept.key, "changed": changed})
    return kept


def switch_rule(*, rule: RegionRule, version: int, on: bool, by: User) -> RegionRule:
    """Switch a rule on or off. Raises ChangedMeanwhile."""
    return keep_rule(rule=rule, version=version, by=by, on=on)


def remove_rule(*, rule: RegionRule, version: int, by: User) -> None:
    """Remove a rule that is switched off. Raises ChangedMeanwhile or StillOn."""
    with transaction.atomic():
        gone = lock_row(RegionRule, rule.pk)
        gone.claim(version)
        if gone.on:
            raise StillOn(gone)
        told = _told(gone)
        gone.delete()
        record("region rule removed", actor=by, data=told)


def rules_on() -> tuple[CoreRule, ...]:
    """The rules that the firm has switched on, as the core holds an offer against them."""
    return tuple(rule.core for rule in RegionRule.objects.filter(firm=THE_FIRM, on=True))


def _free_key(name: str, have: Mapping[str, object]) -> str:
    stem = slugify(name)[:50] or "rule"
    return next(key for key in (stem, *(f"{stem}-{number}" for number in range(2, 999))) if key not in have)


def _told(rule: RegionRule) -> dict[str, object]:
    """The rule as the trail tells it: no words but its name's key."""

    def day(value: date | None) -> str:
        return value.isoformat() if value else ""

    return {
        "rule": rule.key,
        "kind": rule.kind,
        "figures": dict(rule.figures),
        "as_of": day(rule.as_of),
        "state": "on" if rule.on else "off",
        "confirmed_on": day(rule.confirmed_on),
    }
