"""Before a proposal is issued: what is missing, and what is worth a second look."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import prefetch_related_objects
from django.utils import timezone

from quoting.core.offers import ticking_faults
from quoting.core.payments import TermsFault
from quoting.core.region_rules import RuleFault
from quoting.core.units import format_number
from quoting.documents.difficulty import softened_steps
from quoting.documents.measured import measure_area
from quoting.documents.offers import Offer
from quoting.documents.proposal_facts import Terms
from quoting.documents.proposal_rules import payments_by, reckoned_by
from quoting.models import Edition, Firm, Proposal
from quoting.services.exemptions import exempt_on, holding_for
from quoting.services.found_checks import found_points
from quoting.services.offers import MOST_OPTIONS, Chosen, gaps_of, work_out_offer
from quoting.services.points import Point
from quoting.services.rule_checks import kept_rules, rule_points
from quoting.services.scope import steps_of
from quoting.services.tax_checks import tax_points


@dataclass(frozen=True, slots=True)
class Readiness:
    """What was found, and the offer with its figures unless something stops it.

    `kept` says of each region rule that is on and kept what it says.
    """

    points: tuple[Point, ...]
    offer: Offer | None
    kept: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[Point, ...]:
        """What must be mended first."""
        return tuple(point for point in self.points if point.stops)

    @property
    def warnings(self) -> tuple[Point, ...]:
        """What is worth a second look."""
        return tuple(point for point in self.points if not point.stops)


def look_over(firm: Firm, proposal: Proposal, chosen: Sequence[Chosen], terms: Sequence[Terms]) -> Readiness:
    """Look a draft over, and work its offer out if nothing is missing."""
    if firm.pk:
        prefetch_related_objects([firm], "tax_rules")
    points = [*_about_draft(firm, proposal, chosen), *_about_certificate(proposal)]
    points += [*tax_points(firm, proposal.job), *_about_options(firm, chosen)]
    if any(point.stops for point in points):
        return Readiness(tuple(points), None)
    reckoned = reckoned_by(firm, proposal, terms) | {"currency": firm.currency}
    try:
        exempt = exempt_on(firm, proposal.job, proposal.certificate)
        offer = work_out_offer(firm, chosen, lambda total: payments_by(reckoned, total), exempt)
    except (RuleFault, TermsFault) as fault:
        return Readiness((*points, Point(str(fault), True, page="rules")), None)
    points += [
        *_about_choices(offer),
        *rule_points(firm, proposal, offer, reckoned),
        *_about_figures(offer),
        *_about_areas(offer),
        *found_points(proposal, offer),
        *_about_words(firm, proposal, terms),
        *_about_tax(firm, proposal),
    ]
    kept = kept_rules(proposal, offer, reckoned)
    return Readiness(tuple(points), None if any(point.stops for point in points) else offer, kept)


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


def _about_certificate(proposal: Proposal) -> Iterator[Point]:
    """A certificate that is chosen must hold today, where the work is, and be this customer's."""
    chosen = proposal.certificate
    if chosen is None:
        return
    place = proposal.job.property
    if chosen.customer_id != place.customer_id or not chosen.holds(timezone.localdate(), place.region):
        yield Point(f"{str(chosen).capitalize()}, does not hold today for work at this place. Choose another.", True)


def _about_tax(firm: Firm, proposal: Proposal) -> Iterator[Point]:
    """A certificate that holds and is not chosen, or is chosen and takes nothing off."""
    if proposal.certificate is not None:
        if not exempt_on(firm, proposal.job, proposal.certificate):
            yield Point("The certificate that is chosen takes no tax off that you charge.", False)
        return
    for each in holding_for(proposal.job):
        if exempt_on(firm, proposal.job, each):
            yield Point(f"{str(each).capitalize()}, holds today; tax is charged all the same.", False)


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
        for step, book in softened_steps(steps_of(each.option, each.add_ons)):
            sentence = (
                f"{step.group.option.name}, {step.step.name}: difficulty × {book.instead}, and nobody "
                f"has said why; the book has {book.reason}."
            )
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


def _about_choices(offer: Offer) -> Iterator[Point]:
    """Extras that take more off than there is."""
    for each in offer.options:
        together = [add_on.together.workings.price for add_on in each.add_ons]
        for fault in ticking_faults(each.alone.workings.price, together):
            yield Point(f"{each.option.name}: {fault}", True, option=each.option)


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


def _about_words(firm: Firm, proposal: Proposal, terms: Sequence[Terms]) -> Iterator[Point]:
    if not proposal.in_short.strip():
        yield Point("Nothing is said in short. Two sentences of your own are read before any table.", False)
    if not terms:
        yield Point("There are no payment terms, so the paper says nothing about when to pay.", False, page="terms")
    if not proposal.work_dates.strip():
        yield Point("Nothing is said of when the work can be done.", False, page="terms")
    if not firm.licence and not firm.insurance:
        yield Point("Neither licence nor insurance is on the letterhead.", False, firm=True)
