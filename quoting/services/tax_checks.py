"""Before a paper is issued: whether anybody can tell which taxes are charged where the work is."""

from __future__ import annotations

from collections.abc import Iterator

from quoting.core.tax_places import differ_by_place, places_in
from quoting.documents.contexts import listed
from quoting.models import Firm, Job, TaxRule
from quoting.services.points import Point


def tax_points(firm: Firm, job: Job) -> Iterator[Point]:
    """An address that does not say which taxes it has stops a paper; one at which none of the taxes that differ by
    place holds is worth a second look."""
    place = job.property
    rules = [rule for rule in firm.tax_rules.all() if rule.active]
    untold = [rule for rule in rules if rule.holds_at(place) is None]
    if untold:
        lacks = listed(list(dict.fromkeys(each for rule in untold for each in _lacking(rule, job))))
        sentence = (
            f"The address of the work has no {lacks}, so nobody can tell whether "
            f"{listed([rule.name for rule in untold])} is charged there. Your taxes differ by place."
        )
        yield Point(sentence, True, page="place")
        return
    placed = [rule for rule in rules if differ_by_place([rule])]
    if placed and not any(rule.holds_at(place) for rule in placed):
        where = listed([each for each in (place.town, place.region) if each])
        names = listed([rule.name for rule in placed])
        sentence = f"None of your taxes that differ by place is charged in {where}: {names}. Is that so?"
        yield Point(sentence, False, page="place")


def _lacking(rule: TaxRule, job: Job) -> Iterator[str]:
    """What of the address decides about this rule and is not there."""
    place, listed_places = job.property, places_in(rule.places)
    if rule.region and not place.region.strip():
        yield "region"
        return
    if not place.town.strip() and any(not _has_digit(each) for each in listed_places):
        yield "town"
    if not place.postcode.strip() and any(_has_digit(each) for each in listed_places):
        yield "postcode"


def _has_digit(text: str) -> bool:
    return any(sign.isdigit() for sign in text)
