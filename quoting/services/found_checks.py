"""What the findings say of a draft before it is issued: areas without a test, advice, samples, what to allow for."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from quoting.core.advice import Remark, Verdict
from quoting.core.finding_kinds import Group
from quoting.core.findings import KINDS
from quoting.core.slab_conditions import condition_found
from quoting.documents.contexts import listed
from quoting.documents.findings import holding_for, is_read, slab_of
from quoting.documents.offers import Offer, OfferedOption
from quoting.models import (
    AdviceChoice,
    Area,
    Condition,
    Finding,
    Material,
    MissingCoverage,
    Option,
    OptionStep,
    Proposal,
    Sample,
    UnitPrice,
)
from quoting.services.advice import AreaAdvice, advise_areas
from quoting.services.points import Point
from quoting.services.scope import steps_of

BY_CONDITION = ("coverage", "mix", "dilution", "stirred")
"""Ways of using material whose coverage goes by the slab's condition."""


def found_points(proposal: Proposal, offer: Offer) -> Iterator[Point]:
    """What was found, and what was not, held against what is offered."""
    rows = list(Finding.objects.filter(job=proposal.job_id))
    choices = {row.area_id: row for row in AdviceChoice.objects.filter(area__job=proposal.job_id)}
    advised = {each.area.pk: each for each in advise_areas(offer.areas, rows, choices=choices)}
    yield from _about_tests(offer.areas, rows)
    options = [one for each in offer.options for one in (each.option, *(add_on.option for add_on in each.add_ons))]
    yield from _about_conditions(offer.areas, rows, options)
    done = {
        (area.pk, group.system.approach) for one in options for group in one.groups.all() for area in group.areas.all()
    }
    for option in options:
        yield from _about_advice(option, advised, done)
    yield from _about_samples(proposal, offer)
    yield from _about_allowances(proposal, offer, advised.values())


def _about_tests(areas: Iterable[Area], rows: Sequence[Finding]) -> Iterator[Point]:
    """Each area on which no test was read."""
    for area in areas:
        tests = [row for row in holding_for(area, rows) if is_read(row) and KINDS[row.kind].group is Group.TEST]
        if not tests:
            yield Point(f"{area.letter}, {area.name}: no test was made on it.", False, area=area, page="found")


def _about_conditions(areas: Iterable[Area], rows: Sequence[Finding], options: Sequence[Option]) -> Iterator[Point]:
    """Each area that is priced as another slab than the one that was found, where the book has materials that are
    offered on it go another way there.
    """
    for area in areas:
        found = condition_found(slab_of(area, rows))
        if found and found != area.condition and _decides(area, str(found), options):
            yield Point(
                f"{area.letter}, {area.name}: what was found says {Condition(found).label}, and it is priced as "
                f"{area.get_condition_display()}. How far materials go depends on it.",
                False,
                area=area,
            )


def _decides(area: Area, found: str, options: Sequence[Option]) -> bool:
    """Whether any material that a step on the area takes by the slab's condition has another figure for this one."""
    for step in steps_of_all(options):
        if area not in step.group.areas.all():
            continue
        for used in step.step.materials.all():
            if used.use.get("by") not in BY_CONDITION or used.use.get("condition"):
                continue
            own = step.use_of(used)
            if (own and own.coverage) or "coverage" in used.use:
                continue
            coats = int((own and own.coats) or used.use.get("coats") or 1)
            material, first = (own and own.material) or used.material, int(used.use.get("first_coat", 1))
            try:
                if any(
                    material.coverage_on(area.surface, area.condition, coat).likely
                    != material.coverage_on(area.surface, found, coat).likely
                    for coat in range(first, first + coats)
                ):
                    return True
            except MissingCoverage:
                return True
    return False


def steps_of_all(options: Iterable[Option]) -> list[OptionStep]:
    """The steps that are done of each of these."""
    return [step for option in options for step in steps_of(option)]


def _about_advice(
    option: Option, advised: Mapping[int, AreaAdvice], done: Collection[tuple[int, str]]
) -> Iterator[Point]:
    """Where a system is offered that the findings rule out, and nobody has said why it is offered all the same.

    What was written when the advice was followed for the area counts, where that way is offered too (`done` holds what
    is offered, by area and approach): the ruled-out one stands beside it to be compared.
    """
    for group in option.groups.all():
        for area in group.areas.all():
            each = advised.get(area.pk)
            line = next((line for line in each.lines if line.approach == group.system.approach), None) if each else None
            if each is None or line is None or line.verdict is not Verdict.RULED_OUT:
                continue
            if (
                (choice := each.choice)
                and choice.reason
                and (choice.approach == line.approach or (not choice.against and (area.pk, choice.approach) in done))
            ):
                continue
            reason = _reason(line.judgement.reasons)
            sentence = f"{option.name} goes against the advice for {area.letter}, {area.name}, and nobody has said why."
            yield Point(f"{sentence} {reason}".strip(), True, area=area, page="advice")


def _reason(remarks: Sequence[Remark]) -> str:
    return f"{remarks[0].told} (rule {remarks[0].id})" if remarks else ""


def _about_samples(proposal: Proposal, offer: Offer) -> Iterator[Point]:
    """Where colour is offered and no sample of it was approved."""
    coloured = [each.option.name for each in offer.options if _brings_colour(each)]
    if coloured and not Sample.objects.filter(job=proposal.job_id, approved_on__isnull=False).exists():
        names = listed(coloured)
        verb = "brings" if len(coloured) == 1 else "bring"
        yield Point(f"{names} {verb} colour, and no sample on the slab is approved.", False, page="colours")


def _brings_colour(each: OfferedOption) -> bool:
    return any(
        used.material.group == Material.Group.POWDERS
        for step in steps_of(each.option, [add_on.option for add_on in each.add_ons])
        for used in step.step.materials.all()
    )


def _about_allowances(proposal: Proposal, offer: Offer, advised: Iterable[AreaAdvice]) -> Iterator[Point]:
    """What the findings call an allowance for, where the paper has none for it, and no unit price."""
    allowances = list(proposal.allowances.all())
    of_book = UnitPrice.objects.filter(edition=offer.advised.option.edition_id).exclude(name__in=proposal.left_off)
    on_paper = [f"{row.name} {row.included} {row.further}" for row in allowances]
    priced = _words(" ".join([*on_paper, *of_book.values_list("name", flat=True)]))
    called: dict[str, list[str]] = {}
    for each in advised:
        for remark in each.advice.allowances:
            wanted = _words(remark.allowance.unit_price) if remark.allowance else set()
            if remark.certain and not (wanted & priced if wanted else allowances):
                called.setdefault(f"{remark.sentence} (rule {remark.id})", []).append(each.area.letter)
    for sentence, letters in called.items():
        yield Point(f"{listed(letters)}: {sentence} The proposal has no allowance for it.", False, page="terms")


def _words(text: str) -> set[str]:
    """What a text is about: its words of four letters or more, without the s of the plural, small."""
    return {word.removesuffix("es").removesuffix("s") for word in re.findall(r"[^\W\d_]{4,}", text.casefold())}
