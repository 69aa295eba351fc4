"""Before a proposal is issued: what is missing, and what is worth a second look."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils import timezone

from quoting.core.units import format_number
from quoting.documents.measured import measure_area
from quoting.documents.offers import Offer
from quoting.models import Area, Edition, Firm, Option, PaymentTerm, Proposal
from quoting.services.offers import MOST_OPTIONS, Chosen, gaps_of, work_out_offer
from quoting.services.scope import steps_of


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to mend or to know; `stops` when nothing can be issued before it is mended.

    `area` or `option` says where it is mended; `firm` that it is on the page of the firm.
    """

    sentence: str
    stops: bool
    area: Area | None = None
    option: Option | None = None
    firm: bool = False


@dataclass(frozen=True, slots=True)
class Readiness:
    """What was found, and the offer with its figures unless something stops it."""

    points: tuple[Point, ...]
    offer: Offer | None

    @property
    def missing(self) -> tuple[Point, ...]:
        """What must be mended first."""
        return tuple(point for point in self.points if point.stops)

    @property
    def warnings(self) -> tuple[Point, ...]:
        """What is worth a second look."""
        return tuple(point for point in self.points if not point.stops)


def look_over(firm: Firm, proposal: Proposal, chosen: Sequence[Chosen], terms: Sequence[PaymentTerm]) -> Readiness:
    """Look a draft over, and work its offer out if nothing is missing."""
    points = [*_about_draft(firm, proposal, chosen), *_about_options(firm, chosen)]
    if any(point.stops for point in points):
        return Readiness(tuple(points), None)
    offer = work_out_offer(firm, chosen, terms)
    return Readiness((*points, *_about_figures(offer), *_about_areas(offer), *_about_words(firm, proposal)), offer)


def _about_draft(firm: Firm, proposal: Proposal, chosen: Sequence[Chosen]) -> Iterator[Point]:
    if not firm.name or not firm.address_lines:
        yield Point("The firm’s address is missing; a proposal says who makes it.", True, firm=True)
    if not chosen:
        yield Point("No option is chosen. A proposal offers one to four.", True)
    if len(chosen) > MOST_OPTIONS:
        yield Point(f"{len(chosen)} options are chosen. A proposal offers four at most.", True)
    if proposal.valid_until is None:
        yield Point("Say until when the proposal stands.", True)
    elif proposal.valid_until < timezone.localdate():
        yield Point("The day until which the proposal stands is past. Choose a later one.", True)


def _about_options(firm: Firm, chosen: Sequence[Chosen]) -> Iterator[Point]:
    """Every gap of every option, and prices that were replaced since."""
    for each in chosen:
        for option, incomplete in gaps_of(firm, each):
            for gap in incomplete.gaps:
                sentence = gap.sentence[:1].upper() + gap.sentence[1:]
                yield Point(f"{option.name}: {sentence}", True, option=option)
        edition = each.option.edition
        if edition.state == Edition.State.SUPERSEDED:
            sentence = f"{each.option.name} is priced with edition {edition.name}, which a later one has replaced."
            yield Point(sentence, False, option=each.option)
        if started := _starting_values(each):
            sentence = f"{each.option.name} still uses starting values of the price book: {started}."
            yield Point(sentence, False, option=each.option)


def _starting_values(chosen: Chosen) -> str:
    """The materials and tasks of the steps that are on whose figures are not the firm's own; the first three named."""
    names: dict[str, None] = {}
    for step in steps_of(chosen.option, chosen.add_ons):
        if step.step.task and step.step.task.is_starting_value:
            names[step.step.task.name] = None
        for each in step.step.materials.all():
            own = step.use_of(each)
            material = (own and own.material) or each.material
            if material.is_starting_value:
                names[material.name] = None
    shown = ", ".join(list(names)[:3])
    return f"{shown} and {len(names) - 3} more" if len(names) > 3 else shown


def _about_figures(offer: Offer) -> Iterator[Point]:
    for each in offer.options:
        price = each.alone.workings.price.of
        if price.raised > price.computed:
            sentence = (
                f"{each.option.name} comes to {format_number(price.computed, 2)}; the minimum of "
                f"{format_number(price.raised, 2)} is asked instead."
            )
            yield Point(sentence, False, option=each.option)
        for warning in each.alone.workings.warnings:
            yield Point(f"{each.option.name}: {warning}", False, option=each.option)


def _about_areas(offer: Offer) -> Iterator[Point]:
    for area in offer.areas:
        measured = measure_area(area)
        if measured.agreed_stands:
            continue
        why = "was measured anew since it was agreed" if area.agreed_measures else "is not agreed with the customer yet"
        yield Point(f"{area.letter}, {area.name}, {why}.", False, area=area)


def _about_words(firm: Firm, proposal: Proposal) -> Iterator[Point]:
    if not proposal.in_short.strip():
        yield Point("Nothing is said in short. Two sentences of your own are read before any table.", False)
    if not firm.payment_terms.all():
        yield Point("There are no payment terms, so the paper says nothing about when to pay.", False, firm=True)
    if not firm.licence and not firm.insurance:
        yield Point("Neither licence nor insurance is on the letterhead.", False, firm=True)
