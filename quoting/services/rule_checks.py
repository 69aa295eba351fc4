"""What the firm's region rules say of a draft before it is issued; each remark names its rule and where that stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from quoting.core.region_rules import OfferTerms, RegionRule, RuleFault, RuleKind, Verdict, check_offer
from quoting.core.units import format_number, parse_number
from quoting.documents.contexts import listed
from quoting.documents.offers import Offer, OfferedOption
from quoting.documents.proposal_notices import reaches
from quoting.documents.proposal_rules import asked_of, held_by, payments_by, rules_of
from quoting.models import Firm, Proposal
from quoting.models import RegionRule as Row
from quoting.services.points import Point
from quoting.services.region_rules import regions_to_load

FEDERAL = "United States"
PAGES = {RuleKind.PROGRESS: "terms", RuleKind.DEPOSIT_CAP: "terms", RuleKind.WRITTEN_FORM: "terms"}
"""Where what a kind of rule asks for is mended: on the draft's terms; notices on the page of rules."""

ON_PAPER = (RuleKind.NOTICE, RuleKind.CANCELLATION)


def rule_points(firm: Firm, proposal: Proposal, offer: Offer, reckoned: Mapping[str, Any]) -> Iterator[Point]:
    """What the rules that are on say of the offer, and which are off, unconfirmed or not there at all.

    `reckoned` is what the paper keeps of terms and rules, with its currency.
    """
    rows = list(firm.region_rules.all())
    try:
        yield from _about_rules_on(proposal, offer, reckoned)
        yield from _about_held_deposits(offer, reckoned)
        yield from _about_rules_off(firm, rows, offer, reckoned)
    except RuleFault as fault:
        yield Point(str(fault), True, page="rules")
    unconfirmed = [row.name for row in rows if row.on and row.confirmed_on is None]
    if unconfirmed:
        yield Point(f"On, but not confirmed by your adviser: {listed(unconfirmed)}.", False, page="rules")
    if region := _region_to_load(firm, rows):
        yield Point(f"None of the starting rules for {region} is kept, so none was checked.", False, page="rules")


def kept_rules(proposal: Proposal, offer: Offer, reckoned: Mapping[str, Any]) -> tuple[str, ...]:
    """What each rule that is on says of the offer where all is well, in the rules' order."""
    try:
        verdicts = _verdicts(proposal, offer, reckoned)
    except RuleFault:
        return ()
    kept = {verdict.key: verdict for _, verdict in reversed(verdicts)}
    broken = {verdict.key for _, verdict in verdicts if not verdict.ok}
    return tuple(
        f"{kept[rule.key].sentence} ({kept[rule.key].source})"
        for rule in rules_of(reckoned)
        if rule.key in kept and rule.key not in broken
    )


def _about_rules_on(proposal: Proposal, offer: Offer, reckoned: Mapping[str, Any]) -> Iterator[Point]:
    """Each rule that is not kept, once, with the first option that breaks it."""
    said = set()
    for each, verdict in _verdicts(proposal, offer, reckoned):
        if verdict.ok or verdict.key in said:
            continue
        said.add(verdict.key)
        name = f"{each.option.name}: " if len(offer.options) > 1 else ""
        page = PAGES.get(verdict.rule.kind, "rules")
        yield Point(f"{name}{verdict.sentence} ({verdict.source})", True, page=page)


def _verdicts(proposal: Proposal, offer: Offer, reckoned: Mapping[str, Any]) -> list[tuple[OfferedOption, Verdict]]:
    """What the rules say of every total that the offer may come to."""
    rules = rules_of(reckoned)
    return [
        (each, verdict)
        for each in offer.options
        for total in each.totals
        for verdict in check_offer(rules, _asked(proposal, each, reckoned, total))
    ]


def _asked(proposal: Proposal, each: OfferedOption, reckoned: Mapping[str, Any], total: Decimal) -> OfferTerms:
    done = [parse_number(term["done"]) * total if term["done"] else None for term in reckoned["payment_terms"]]
    return replace(
        asked_of(reckoned, total),
        payments=payments_by(reckoned, total),
        done_by=tuple(done),
        has=frozenset(_on_paper(proposal, each, reckoned)),
        notices=frozenset(rule.key for rule in rules_of(reckoned) if rule.kind in ON_PAPER and rule.text.strip()),
    )


def _on_paper(proposal: Proposal, each: OfferedOption, reckoned: Mapping[str, Any]) -> Iterator[str]:
    """What a written form may ask for and the paper has; names, place, price and description it always has."""
    yield from ("names", "place", "price", "description")
    if proposal.work_dates.strip():
        yield "dates"
    if reckoned["payment_terms"]:
        yield "payments"
    if any(group.system.warranty for group in each.option.groups.all()):
        yield "warranty"


def _about_held_deposits(offer: Offer, reckoned: Mapping[str, Any]) -> Iterator[Point]:
    """Where a cap lowers the deposit that the terms ask for: to what, and by which rule."""
    for each in offer.options:
        total = each.alone.workings.price.of.total
        paid = payments_by(reckoned, total)
        if not paid or not paid[0].capped:
            continue
        names = listed(held_by(reckoned, [total]))
        yield Point(
            f"{each.option.name}: “{paid[0].name}” is lowered to {format_number(paid[0].amount, 2)} by {names}; "
            f"what that takes off is asked for with “{paid[1].name}”.",
            False,
            page="terms",
        )


def _about_rules_off(firm: Firm, rows: Sequence[Row], offer: Offer, reckoned: Mapping[str, Any]) -> Iterator[Point]:
    """Rules of the firm's region that are off and would reach this offer."""
    totals = [total for each in offer.options for total in each.totals]
    home = {FEDERAL.casefold(), firm.region.strip().casefold()}
    off = [row for row in rows if not row.on and row.region.casefold() in home and _would_reach(row, reckoned, totals)]
    if off:
        yield Point(
            f"Switched off, though {'it' if len(off) == 1 else 'they'} would reach this offer: "
            f"{listed(row.name for row in off)}.",
            False,
            page="rules",
        )


def _would_reach(row: Row, reckoned: Mapping[str, Any], totals: Sequence[Decimal]) -> bool:
    rule: RegionRule = row.core
    if rule.kind in (RuleKind.DEPOSIT_CAP, RuleKind.PROGRESS):  # they speak of payments only
        return len(reckoned["payment_terms"]) > 1
    return reaches(rule, reckoned, totals)


def _region_to_load(firm: Firm, rows: Sequence[Row]) -> str:
    """The firm's region where there are starting rules for it and the firm keeps none of that region."""
    home = firm.region.strip().casefold()
    if any(row.region.casefold() == home for row in rows):
        return ""
    have = {row.key: row for row in rows}
    return next((region for region, _ in regions_to_load(have) if region.casefold() == home), "")
