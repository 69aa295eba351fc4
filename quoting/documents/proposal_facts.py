"""All that stands on a proposal, as plain strings: the template prints from these alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from quoting.documents.contexts import Facts, day_text, letterhead, lines_of, listed, sheet, sum_text
from quoting.documents.measured import measure_area
from quoting.documents.offers import Offer
from quoting.documents.proposal_measures import PHONE_PX, measured_facts
from quoting.documents.proposal_options import (
    FIELD_PX,
    add_on_facts,
    option_facts,
    payment_facts,
    payments_drawing,
    side_by_side,
)
from quoting.documents.proposal_rules import reckoned_by
from quoting.documents.proposal_work import days_drawing, steps_of
from quoting.models import Firm, Job, Option, PaymentTerm, Proposal, UnitPrice

WAYS = ("No way", "One way", "Two ways", "Three ways", "Four ways")
COUNTS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What a proposal is called and from when to when it stands; `replaces` is the number of the one before it."""

    number: str
    issued_at: datetime
    replaces: str = ""
    is_draft: bool = False


def proposal_facts(
    *, firm: Firm, job: Job, proposal: Proposal, offer: Offer, stamp: Stamp, terms: Sequence[PaymentTerm]
) -> Facts:
    """The facts of one proposal. Expects the offer's options loaded with everything."""
    measured = [measure_area(area, units=firm.units) for area in offer.areas]
    return {
        "format": "1",
        "kind": "proposal",
        "number": stamp.number,
        "replaces": stamp.replaces,
        "draft": "yes" if stamp.is_draft else "",
        "date": day_text(stamp.issued_at),
        "issued_at": stamp.issued_at.isoformat(timespec="microseconds"),
        "valid_until": day_text(proposal.valid_until),
        "currency": firm.currency,
        "sheet": sheet(firm),
        "firm": letterhead(firm),
        "foot": _foot(firm, job, stamp),
        "place": job.property.street,
        "where": ", ".join(job.property.address_lines[1:]),
        "customer": job.property.customer.name,
        "title": proposal.title,
        "in_short": lines_of(proposal.in_short),
        **_offered(offer, firm),
        **_work(offer),
        **measured_facts(measured, firm, job.property.street),
        **_days(offer, firm),
        **_payments(offer, firm, terms),
        **reckoned_by(firm, proposal, terms),
        "unit_prices": _unit_prices(offer),
        **_words(firm),
        "warranties": _warranties(offer),
    }


def _foot(firm: Firm, job: Job, stamp: Stamp) -> Facts:
    paper = f"Draft of {stamp.number}, not an offer" if stamp.is_draft else f"Proposal {stamp.number}"
    return {
        "firm": firm.name,
        "telephone": firm.phone,
        "paper": paper,
        "where": job.property.street,
        "date": day_text(stamp.issued_at),
    }


def _offered(offer: Offer, firm: Firm) -> Facts:
    several = len(offer.options) > 1
    options = [option_facts(each, place) for place, each in enumerate(offer.options, start=1)]
    extras = [
        add_on_facts(each, add_on, place, several)
        for place, each in enumerate(offer.options, start=1)
        for add_on in each.add_ons
    ]
    return {
        "ways": f"{WAYS[len(options)]} to do it" if several else "What we offer",
        "several": "yes" if several else "",
        "shown": str(offer.options.index(offer.advised) + 1),
        "shown_advised": "yes" if offer.advised.option.advised else "",
        "options": options,
        "compared": side_by_side(offer, firm.units),
        "extras": extras,
        "extras_taxed": "yes" if any(each["taxed"] for each in extras) else "",
        "taxed": "yes" if any(each["taxes"] for each in options) else "",
    }


def _work(offer: Offer) -> Facts:
    """The steps of each option, and those that an extra adds."""
    work = []
    for place, each in enumerate(offer.options, start=1):
        steps = steps_of([each.option])
        work.append({"place": str(place), "name": each.option.name, "extra": "", "steps": steps})
        for add_on in each.add_ons:
            work.append(
                {"place": str(place), "name": add_on.option.name, "extra": "yes", "steps": steps_of([add_on.option])}
            )
    return {"work": _without_repeats(work)}


def _without_repeats(work: list[Facts]) -> list[Facts]:
    """The same extra with two options is told once."""
    found: list[Facts] = []
    for each in work:
        if not any(one["extra"] and each["extra"] and one["steps"] == each["steps"] for one in found):
            found.append(each)
    return found


def _days(offer: Offer, firm: Firm) -> Facts:
    return {
        "days": [
            {
                "place": str(place),
                "name": each.option.name,
                "drawing": days_drawing(each.option, width_px=FIELD_PX, prefix=f"days-{place}"),
                "narrow": days_drawing(each.option, width_px=PHONE_PX, prefix=f"days-{place}-narrow"),
            }
            for place, each in enumerate(offer.options, start=1)
        ],
        "weather": lines_of(firm.weather_rule),
        "please_do": lines_of(firm.please_do),
        "we_do": lines_of(firm.we_do),
    }


def _payments(offer: Offer, firm: Firm, terms: Sequence[PaymentTerm]) -> Facts:
    """How each total is paid; the line is drawn for the advised option."""
    if not terms:
        return {"payments": "", "payment_rows": [], "payment_note": lines_of(firm.payment_note)}
    each_paid = [payment_facts(each, terms) for each in offer.options]
    rows = [
        {"name": lines[0]["name"], "trigger": lines[0]["trigger"], "cells": [line["amount"] for line in lines]}
        for lines in zip(*each_paid, strict=True)
    ]
    return {
        "payments": payments_drawing(offer.advised, terms),
        "payment_rows": rows,
        "payment_note": lines_of(firm.payment_note),
    }


def _unit_prices(offer: Offer) -> list[Facts]:
    """What may turn up, at the prices of the advised option's edition."""
    rows = UnitPrice.objects.filter(edition=offer.advised.option.edition_id)
    return [{"name": row.name, "price": sum_text(row.price.amount, row.price.currency.code)} for row in rows]


def _words(firm: Firm) -> Facts:
    """The firm's own words, line by line."""
    expectations = lines_of(firm.expectations)
    count = COUNTS[len(expectations)] if len(expectations) < len(COUNTS) else str(len(expectations))
    return {
        "changes": lines_of(firm.change_rule),
        "exclusions": lines_of(firm.exclusions),
        "expectations": expectations,
        "expectations_head": f"{count} things to expect" if len(expectations) > 1 else "What to expect",
        "cautions": lines_of(firm.cautions),
        "notice": lines_of(firm.notice),
    }


def _warranties(offer: Offer) -> list[Facts]:
    """The warranty of each system that is offered, and which options it goes with."""
    found: dict[str, list[str]] = {}
    for each in offer.options:
        for option in (each.option, *(add_on.option for add_on in each.add_ons)):
            for words in _warranty_words(option):
                names = found.setdefault(words, [])
                if option.name not in names:
                    names.append(option.name)
    return [{"names": listed(names), "words": words} for words, names in found.items()]


def _warranty_words(option: Option) -> list[str]:
    systems = [group.system for group in option.groups.all()]
    return list(dict.fromkeys(system.warranty for system in systems if system.warranty))


def terms_of(firm: Firm) -> list[PaymentTerm]:
    """The firm's payment terms in their order."""
    return list(firm.payment_terms.all())
