"""All that stands on a proposal, as plain strings: the template prints from these alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from quoting.documents.code import draw_code
from quoting.documents.contexts import Facts, day_text, letterhead, lines_of, listed, sheet, sum_text
from quoting.documents.measured import measure_area
from quoting.documents.offers import Offer
from quoting.documents.proposal_found import found_facts
from quoting.documents.proposal_measures import PHONE_PX, cover_plan, measured_facts
from quoting.documents.proposal_notices import notice_facts
from quoting.documents.proposal_options import (
    FIELD_PX,
    add_on_facts,
    option_facts,
    payment_facts,
    payments_drawing,
    side_by_side,
)
from quoting.documents.proposal_rules import held_by, reckoned_by
from quoting.documents.proposal_work import after_words, days_drawing, leaves_a_coat, steps_of
from quoting.models import Firm, Job, Option, PaymentTerm, Proposal, ProposalPayment, UnitPrice

Terms = PaymentTerm | ProposalPayment

CODE_PX = 92
"""An inch wide at least: a phone reads it from the table."""

COVER_PX = {Firm.PaperSize.LETTER: 905, Firm.PaperSize.A4: 970}
"""The height of the text on the first sheet."""

A_LINE = 86
"""Letters of a line of the offer in short, at least."""

WAYS = ("No way", "One way", "Two ways", "Three ways", "Four ways")
COUNTS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What a proposal is called and when it is issued; `replaces` is the number of the one before it, `address` the
    page where its homeowner asks for his private link.
    """

    number: str
    issued_at: datetime
    replaces: str = ""
    is_draft: bool = False
    address: str = ""


def proposal_facts(
    *, firm: Firm, job: Job, proposal: Proposal, offer: Offer, stamp: Stamp, terms: Sequence[Terms]
) -> Facts:
    """The facts of one proposal. Expects the offer's options loaded with everything; reads photographs' files.

    Raises PhotoLost.
    """
    measured = [measure_area(area, units=firm.units) for area in offer.areas]
    reckoned = reckoned_by(firm, proposal, terms)
    totals = [total for each in offer.options for total in each.totals]
    asked = reckoned | {"currency": firm.currency}
    found = found_facts(job)
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
        **_payments(offer, firm, asked),
        **reckoned,
        **found,
        "cover_plan": ""
        if found["cover"]
        else cover_plan(measured, firm, job.property.street, _room(firm, proposal, offer)),
        **notice_facts(asked, totals, timezone.localdate(stamp.issued_at)),
        "code": _code(stamp),
        "work_dates": proposal.work_dates,
        "allowances": _allowances(proposal, firm.currency),
        "unit_prices": _unit_prices(offer, proposal.left_off),
        **_words(firm),
        "warranties": _warranties(offer),
    }


def _room(firm: Firm, proposal: Proposal, offer: Offer) -> int:
    """How high the plan on the cover may be, in CSS pixels, so that the offer in short stands below it."""
    paragraphs = lines_of(proposal.in_short)
    lines = sum(-(-len(paragraph) // A_LINE) for paragraph in paragraphs)
    short = 20 + 20 * lines + 6 * len(paragraphs) + max(CODE_PX + 12, 44 + 26 * len(offer.options))
    head = 280 if firm.logo else 215
    return COVER_PX[Firm.PaperSize(firm.paper_size)] - head - short


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
        "extras_less": _extras_less(extras),
        "taxed": "yes" if any(each["taxes"] for each in options) else "",
    }


def _extras_less(extras: list[Facts]) -> str:
    """Which extras add less with tax than before it, and why; "" where none does."""
    less = [each for each in extras if each["less"]]
    names = listed(dict.fromkeys(each["name"] for each in less))
    return f"{names}: less with tax than before tax, as {less[0]['less']}." if less else ""


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


def _every_option(offer: Offer) -> list[Option]:
    return [option for each in offer.options for option in (each.option, *(add_on.option for add_on in each.add_ons))]


def _without_repeats(work: list[Facts]) -> list[Facts]:
    """The same extra with two options is told once."""
    found: list[Facts] = []
    for each in work:
        if not any(one["extra"] and each["extra"] and one["steps"] == each["steps"] for one in found):
            found.append(each)
    return found


def _days(offer: Offer, firm: Firm) -> Facts:
    waits = {
        "walk on it": firm.walk_hours,
        "park on it": firm.park_hours,
        "furniture back": firm.furniture_hours,
        "mats, grill and planters back": firm.mats_hours,
    }
    return {
        "days": [
            {
                "place": str(place),
                "name": each.option.name,
                "drawing": days_drawing(each.option, waits, width_px=FIELD_PX, prefix=f"days-{place}"),
                "narrow": days_drawing(each.option, waits, width_px=PHONE_PX, prefix=f"days-{place}-narrow"),
            }
            for place, each in enumerate(offer.options, start=1)
        ],
        "after": after_words(waits) if leaves_a_coat(_every_option(offer)) else "",
        "weather": lines_of(firm.weather_rule),
        "please_do": lines_of(firm.please_do),
        "we_do": lines_of(firm.we_do),
    }


def _payments(offer: Offer, firm: Firm, asked: Facts) -> Facts:
    """How each total is paid; the line is drawn for the advised option."""
    if not asked["payment_terms"]:
        return {"payments": "", "payment_rows": [], "payment_note": lines_of(firm.payment_note), "held": []}
    each_paid = [payment_facts(each) for each in offer.options]
    rows = [
        {"name": lines[0]["name"], "trigger": lines[0]["trigger"], "cells": [line["amount"] for line in lines]}
        for lines in zip(*each_paid, strict=True)
    ]
    return {
        "payments": payments_drawing(offer.advised),
        "payment_rows": rows,
        "payment_note": lines_of(firm.payment_note),
        "held": held_by(asked, [total for each in offer.options for total in each.totals]),
    }


def _allowances(proposal: Proposal, currency: str) -> list[Facts]:
    """What is in the price up to where, and what each further one costs."""
    return [
        {
            "name": row.name,
            "included": row.included,
            "further": row.further,
            "price": "" if row.price is None else sum_text(row.price, currency),
        }
        for row in proposal.allowances.all()
    ]


def _unit_prices(offer: Offer, left_off: Sequence[str]) -> list[Facts]:
    """What may turn up, at the prices of the advised option's edition, without what the draft leaves off."""
    rows = UnitPrice.objects.filter(edition=offer.advised.option.edition_id).exclude(name__in=left_off)
    return [{"name": row.name, "price": sum_text(row.price.amount, row.price.currency.code)} for row in rows]


def _code(stamp: Stamp) -> Facts | str:
    """The code and its address. It holds no key: the page that it leads to mails the private link to the address that
    the firm has. A draft has none.
    """
    if stamp.is_draft or not stamp.address:
        return ""
    shown = stamp.address.partition("://")[2].rstrip("/")
    return {"address": stamp.address, "shown": shown, "drawing": draw_code(stamp.address, width_px=CODE_PX)}


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
    for option in _every_option(offer):
        for words in _warranty_words(option):
            names = found.setdefault(words, [])
            if option.name not in names:
                names.append(option.name)
    return [{"names": listed(names), "words": words} for words, names in found.items()]


def _warranty_words(option: Option) -> list[str]:
    systems = [group.system for group in option.groups.all()]
    return list(dict.fromkeys(system.warranty for system in systems if system.warranty))


def terms_of(firm: Firm, proposal: Proposal) -> list[Terms]:
    """The proposal's payments in their order; the firm's where the proposal has none of its own."""
    return list(proposal.payments.all()) or list(firm.payment_terms.all())
