"""What a choice is reckoned by, frozen with the paper: how it is paid, and the region's rules that were switched on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from quoting.core import region_rules
from quoting.core.payments import Payment, Term, split_payments, with_caps
from quoting.core.region_rules import OfferTerms, RuleKind, cancel_periods, deposit_caps
from quoting.core.units import parse_number
from quoting.documents.contexts import Facts
from quoting.models import Firm, PaymentTerm, Proposal, ProposalPayment, RegionRule


def reckoned_by(firm: Firm, proposal: Proposal, terms: Sequence[PaymentTerm | ProposalPayment]) -> Facts:
    """The payment terms and the rules that are on, as texts from which any choice can be reckoned later."""
    rules = RegionRule.objects.filter(firm=firm, on=True).order_by("position", "pk")
    return {
        "payment_terms": [_term(term, is_last=term is terms[-1]) for term in terms],
        "at_home": {True: "yes", False: "no", None: ""}[proposal.at_home],
        "special_order": f"{proposal.special_order:f}",
        "rules": [
            {
                "key": rule.key,
                "region": rule.region,
                "kind": rule.kind,
                "name": rule.name,
                "figures": {str(name): str(figure) for name, figure in rule.figures.items()},
                "text": rule.text,
                "source": rule.source,
                "as_of": rule.as_of.isoformat() if rule.as_of else "",
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
            as_of=date.fromisoformat(each["as_of"]) if each["as_of"] else None,
            text=each["text"],
        )
        for each in facts.get("rules", ())
    ]


def payments_by(facts: Mapping[str, Any], total: Decimal) -> tuple[Payment, ...]:
    """How this total is paid by the paper's terms, the deposit no more than its rules allow; () without terms."""
    terms = [
        Term(
            name=each["name"],
            trigger=each["trigger"],
            fraction=parse_number(each["share"]) if each["share"] else None,
            amount=parse_number(each["amount"]) if each["amount"] else None,
        )
        for each in facts.get("payment_terms", ())
    ]
    if not terms:
        return ()
    caps = deposit_caps(rules_of(facts), asked_of(facts, total))
    return split_payments(total, with_caps(terms, caps), facts["currency"])


def held_by(facts: Mapping[str, Any], totals: Iterable[Decimal]) -> list[str]:
    """The names of the rules that make the deposit of one of these totals less than its term asks for."""
    named: dict[str, None] = {}
    rules = rules_of(facts)
    for total in totals:
        paid = payments_by(facts, total)
        if not any(payment.capped for payment in paid):
            continue
        named |= dict.fromkeys(rule.name for rule in rules if _cap_of(rule, facts, total) == paid[0].amount)
    return list(named)


def _cap_of(rule: region_rules.RegionRule, facts: Mapping[str, Any], total: Decimal) -> Decimal | None:
    """The most that this rule allows as a deposit of the total; None where it allows any."""
    caps = deposit_caps([rule], asked_of(facts, total))
    return caps[0].of(total, facts["currency"]) if caps else None


def last_day_by(facts: Mapping[str, Any], total: Decimal, signed_on: date) -> tuple[date, str] | None:
    """Until which day, to its end, a yes may be cancelled, and the words of the rule; None where no rule is on."""
    periods = cancel_periods(rules_of(facts), asked_of(facts, total))
    if not periods:
        return None
    longest = max(periods, key=lambda period: period.until(signed_on))
    return longest.until(signed_on), longest.rule.text


def asked_of(facts: Mapping[str, Any], total: Decimal) -> OfferTerms:
    """What the rules ask of an offer of this total, as far as the paper says it."""
    return OfferTerms(
        total=total,
        currency=facts["currency"],
        special_order=parse_number(facts.get("special_order") or "0"),
        at_home={"yes": True, "no": False}.get(facts.get("at_home", "")),
    )


def _term(term: PaymentTerm | ProposalPayment, *, is_last: bool) -> Facts:
    """A term as texts; the last one takes what is left, whatever share it is said to have."""
    amount = term.amount if isinstance(term, ProposalPayment) and not is_last else None
    share = term.share if amount is None and not is_last else None
    return {
        "name": term.name,
        "trigger": term.trigger,
        "share": "" if share is None else f"{share:f}",
        "amount": "" if amount is None else f"{amount:f}",
        "done": "1" if is_last else "" if term.done is None else f"{term.done.normalize():f}",
    }
