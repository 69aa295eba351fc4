"""Region rules in words, and as a paper keeps them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from quoting.core.business_days import Calendar
from quoting.core.region_rules import FRACTIONS, RegionRule, RuleKind
from quoting.core.units import NumberFault, format_number, parse_number

NB = "\u00a0"
REACHES = {"over": "over {}", "from": "from {}"}


def figures_said(kind: str, figures: Mapping[str, str]) -> str:
    """A rule's figures in a few words: the lesser of 10 % and 1,000.00."""
    match kind:
        case RuleKind.DEPOSIT_CAP:
            return _cap_said(figures) + _reaches_said(figures)
        case RuleKind.CANCELLATION:
            return _period_said(figures)
        case RuleKind.WRITTEN_FORM:
            needs = figures.get("needs", "")
            return ("in writing" + _reaches_said(figures)) + (f": {needs}" if needs else "")
        case RuleKind.NOTICE:
            return _reaches_said(figures).strip() or "on every proposal"
        case _:
            return "never ahead of the work"


def _cap_said(figures: Mapping[str, str]) -> str:
    parts = [share_said(figures["fraction"])] if figures.get("fraction") else []
    if figures.get("amount"):
        parts.append(_sum_said(figures["amount"]))
    if figures.get("special_order") == "yes":
        parts.append("what was ordered specially")
    said = " and ".join(parts)
    return f"the {figures['of']} of {said}" if figures.get("of") and len(parts) > 1 else said


def _period_said(figures: Mapping[str, str]) -> str:
    words = _calendar_words(figures)
    said = f"{figures.get('days', '')} {words}"
    if figures.get("older_days") and figures.get("older_age"):
        said += f", {figures['older_days']} from the age of {figures['older_age']}"
    places = [("from_home", "at home"), ("from_elsewhere", "elsewhere")]
    reached = [f"{where} from {_sum_said(figures[name])}" for name, where in places if figures.get(name)]
    return f"{said}; signed {', '.join(reached)}" if reached else said


def _calendar_words(figures: Mapping[str, str]) -> str:
    try:
        return Calendar(figures.get("calendar", "sales")).words
    except ValueError:
        return "days"


def share_said(fraction: str) -> str:
    """A share of the price: 10 %, 1/3."""
    if fraction in FRACTIONS:
        return fraction
    try:
        return f"{(parse_number(fraction) * 100).normalize():f}{NB}%"
    except NumberFault:
        return fraction


def _reaches_said(figures: Mapping[str, str]) -> str:
    said = [words.format(_sum_said(figures[name])) for name, words in REACHES.items() if figures.get(name)]
    return f", {', '.join(said)}" if said else ""


def _sum_said(text: str) -> str:
    try:
        return format_number(parse_number(text), 2)
    except NumberFault:
        return text


def rule_facts(rule: RegionRule) -> dict[str, Any]:
    """A rule as a paper keeps it: all of it, in plain strings."""
    return {
        "key": rule.key,
        "region": rule.region,
        "kind": str(rule.kind),
        "name": rule.name,
        "figures": dict(rule.figures),
        "source": rule.source,
        "as_of": rule.as_of.isoformat() if rule.as_of else "",
        "text": rule.text,
    }


def rule_from(facts: Mapping[str, Any]) -> RegionRule:
    """The rule that a paper kept."""
    as_of = facts.get("as_of", "")
    return RegionRule(
        key=facts["key"],
        region=facts["region"],
        kind=RuleKind(facts["kind"]),
        name=facts["name"],
        figures=facts["figures"],
        source=facts["source"],
        as_of=date.fromisoformat(as_of) if as_of else None,
        text=facts.get("text", ""),
    )
