"""What a choice is reckoned by, frozen with the paper: how it is paid, and the region's rules that were switched on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from quoting.core import region_rules
from quoting.core.payments import Payment, Term, split_payments, with_caps
from quoting.core.region_rules import OfferTerms, RuleKind, cancel_periods, deposit_caps
from quoting.core.units import parse_number
from quoting.documents.contexts import Facts
from quoting.models import Firm, PaymentTerm, RegionRule


def reckoned_by(firm: Firm, terms: Sequence[PaymentTerm]) -> Facts:
    """The payment terms and the rules that are on, as texts from which any choice can be reckoned later."""
    rules = RegionRule.objects.filter(firm=firm, on=True).order_by("position", "pk")
    return {
        "payment_terms": [
            {"name": term.name, "trigger": term.trigger, "share": f"{term.share:f}" if term is not terms[-1] else ""}
            for term in terms
        ],
        "rules": [
            {
                "key": rule.key,
                "region": rule.region,
                "kind": rule.kind,
                "name": rule.name,
                "figures": {str(name): str(figure) for name, figure in rule.figures.items()},
                "text": rule.text,
                "source": rule.source,
                "as_of": rule.as_of,
            }
            for rule in rules
        ],
    }


def rules_of(facts: Mapping[str, Any]) -> list[region_rules.RegionRule]:
    """The rules that were on when the paper was issued."""
    return [
        region_rules.RegionRule(
            key=each["key"],
            region=each["region"],
            kind=RuleKind(each["kind"]),
            name=each["name"],
            figures=each["figures"],
            source=each["source"],
            as_of=_day(each["as_of"]),
            text=each["text"],
        )
        for each in facts.get("rules", ())
    ]


def payments_by(facts: Mapping[str, Any], total: Decimal) -> tuple[Payment, ...]:
    """How this total is paid by the paper's terms, the deposit no more than its rules allow; () without terms."""
    terms = [
        Term(
            name=each["name"], trigger=each["trigger"], fraction=parse_number(each["share"]) if each["share"] else None
        )
        for each in facts.get("payment_terms", ())
    ]
    if not terms:
        return ()
    caps = deposit_caps(rules_of(facts), OfferTerms(total=total, currency=facts["currency"]))
    return split_payments(total, with_caps(terms, caps), facts["currency"])


def last_day_by(facts: Mapping[str, Any], total: Decimal, signed_on: date) -> tuple[date, str] | None:
    """Until which day, to its end, a yes may be cancelled, and the words of the rule; None where no rule is on."""
    periods = cancel_periods(rules_of(facts), OfferTerms(total=total, currency=facts["currency"]))
    if not periods:
        return None
    longest = max(periods, key=lambda period: period.until(signed_on))
    return longest.until(signed_on), longest.rule.text


def _day(text: str | None) -> date | None:
    """The day that a rule's text is of; None where it is told in words."""
    try:
        return date.fromisoformat(text or "")
    except ValueError:
        return None
