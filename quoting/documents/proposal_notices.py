"""What the region's rules put on a proposal: notices, and the right to cancel with its form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from quoting.core.region_rules import Period, RegionRule, RuleKind, cancel_periods, check_offer, told
from quoting.documents.contexts import NB, Facts, day_text, lines_of
from quoting.documents.proposal_rules import asked_of, rules_of


def notice_facts(reckoned: Mapping[str, Any], totals: Sequence[Decimal], signed_on: date) -> Facts:
    """The notices that reach one of these totals, and the right to cancel that gives the most time.

    `signed_on` is the day of the example: whoever signs on it may cancel until the day that is said.
    """
    rules = rules_of(reckoned)
    notices = [
        rule for rule in rules if rule.kind is RuleKind.NOTICE and rule.text.strip() and reaches(rule, reckoned, totals)
    ]
    return {
        "notices": [
            {"key": rule.key, "name": rule.name, "text": lines_of(rule.text), "source": _source(rule)}
            for rule in notices
        ],
        "cancel": _cancel(longest_period(rules, reckoned, totals, signed_on), signed_on),
    }


def reaches(rule: RegionRule, reckoned: Mapping[str, Any], totals: Iterable[Decimal]) -> bool:
    """Whether the rule has something to say of one of these totals."""
    return any(check_offer([rule], asked_of(reckoned, total)) for total in totals)


def longest_period(
    rules: Sequence[RegionRule], reckoned: Mapping[str, Any], totals: Iterable[Decimal], signed_on: date
) -> Period | None:
    """The right to cancel that gives the most time on one of these totals; None where none reaches them."""
    periods = [period for total in totals for period in cancel_periods(rules, asked_of(reckoned, total))]
    return max(periods, key=lambda period: period.until(signed_on), default=None)


def _cancel(period: Period | None, signed_on: date) -> Facts | str:
    if period is None:
        return ""
    return {
        "key": period.rule.key,
        "name": period.rule.name,
        "period": period.words.replace(" ", NB),
        "text": lines_of(period.rule.text),
        "form": lines_of(period.rule.figures.get("form", "")),
        "source": _source(period.rule),
        "signed": day_text(signed_on),
        "until": day_text(period.until(signed_on)),
    }


def _source(rule: RegionRule) -> str:
    dated = f"as of {told(rule.as_of)}" if rule.as_of else "from a copy without a date"
    return f"{rule.source}, {dated}"
