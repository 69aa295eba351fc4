"""Changing what is agreed: work taken out of a scope, work added to it, and what the change truly comes to.

A change is worked out together with what is agreed, so that packs, visits and set-ups are shared. What is taken out is
reckoned at what was agreed; what is added at the prices that are chosen, those of the agreement or today's. Each is the
difference of two workings, line by line and tax by tax; nothing here is rounded.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.core.contracts import Agreed, AreaLine, TaxShare, added, agreed_of, negative, taken_off
from quoting.core.rounding import round_money
from quoting.core.scope import (
    NO_DISCOUNT,
    Area,
    Charge,
    CoverageUse,
    DilutionUse,
    MixUse,
    Scope,
    Step,
    StirredUse,
    TaxBase,
)
from quoting.core.workings import PriceFigure, Workings

_FOR_VISITS = re.compile(r"(.+), ([0-9]{1,3}) visits")
_BY_SURFACE = (CoverageUse, MixUse, DilutionUse, StirredUse)


class ChangeFault(ValueError):
    """So the agreed work can't be changed; the sentence says why."""


def visits_in(work: Iterable[Step]) -> frozenset[int]:
    """The visits on which something is done."""
    return frozenset(step.visit for step in work if step.visit is not None)


def without(
    scope: Scope, areas: Collection[str], steps: Collection[int], each_visit: Collection[str] = ()
) -> Scope | None:
    """The scope without these areas, and without these steps (places in `work`, from 0); None where no work is left.

    Materials that nothing uses any more go, and charges a visit are for the visits that are left; `each_visit` names
    them. Raises ChangeFault for an area or a step that is not there.
    """
    for name in areas:
        if name not in {area.name for area in scope.areas}:
            raise ChangeFault(f"“{name}” is not part of what is agreed.")
    if any(not 0 <= place < len(scope.work) for place in steps):
        raise ChangeFault("This step is not part of what is agreed.")
    work = [_on_others(step, areas) for place, step in enumerate(scope.work) if place not in steps]
    left = tuple(step for step in work if step.areas)
    if not left:
        return None
    worked, before = _areas_in(left), _areas_in(scope.work)
    used = {use.material for step in left for use in step.materials}
    return replace(
        scope,
        areas=tuple(area for area in scope.areas if area.name in worked or area.name not in before | set(areas)),
        materials=tuple(material for material in scope.materials if material.key in used),
        work=left,
        charges=charges_for(scope.charges, len(visits_in(scope.work)), len(visits_in(left)), each_visit),
    )


def given_outright(scope: Scope, areas: Collection[str]) -> tuple[str, ...]:
    """The steps that go on elsewhere with hours, lengths or counts given outright, which taking areas out leaves."""
    return tuple(
        step.step
        for step in scope.work
        if set(step.areas) & set(areas) and set(step.areas) - set(areas) and not _goes_by_surface(step)
    )


def with_prices_of(scope: Scope, other: Scope) -> Scope:
    """The same work with the other's crew and pricing rules, and with its packs of the materials that both use. The
    discount that was agreed stays, so that it is given once."""
    theirs = {material.key: material for material in other.materials}
    return replace(
        scope,
        crew=other.crew,
        pricing=replace(other.pricing, discount=scope.pricing.discount),
        materials=tuple(theirs.get(material.key, material) for material in scope.materials),
    )


def with_work_of(scope: Scope, other: Scope, each_visit: Collection[str] = ()) -> Scope:
    """The scope with the other's areas and work, done on the same visits.

    A step that is the same on both, by area and on one visit, is one step: it is set up once, and its batches are mixed
    as one. Materials of both are bought together. The other's charges are not taken over: those a visit are for all
    visits of both. Raises ChangeFault where an area is measured otherwise than it was agreed.
    """
    materials = {material.key: material for material in scope.materials}
    for material in other.materials:
        if materials.setdefault(material.key, material) != material:
            raise ChangeFault(f"“{material.name}” has two sets of packs and prices.")
    work = list(scope.work)
    for step in other.work:
        place = next((i for i, mine in enumerate(work) if _same_work(mine, step)), None)
        if place is None:
            work.append(step)
        else:
            work[place] = replace(work[place], areas=(*work[place].areas, *step.areas))
    return replace(
        scope,
        areas=_areas_of_both(scope, other),
        materials=tuple(sorted(materials.values(), key=lambda each: each.key)),
        work=tuple(work),
        charges=charges_for(scope.charges, len(visits_in(scope.work)), len(visits_in(work)), each_visit),
    )


def by_itself(other: Scope) -> Scope:
    """The added work as a job of its own, later: its own visits and charges, its own minimum, no discount."""
    return replace(other, pricing=replace(other.pricing, discount=NO_DISCOUNT))


def charges_for(charges: Sequence[Charge], had: int, has: int, each_visit: Collection[str] = ()) -> tuple[Charge, ...]:
    """The charges for `has` visits instead of `had`, where they are a visit’s by their own name or by `each_visit`."""
    found = []
    for charge in charges:
        match = _FOR_VISITS.fullmatch(charge.name)
        stem, many = (match[1], int(match[2])) if match else (charge.name, 1)
        if had == has or many != had or not (match or stem in each_visit):
            found.append(charge)
        elif has:
            name = stem if has == 1 else f"{stem}, {has} visits"
            found.append(replace(charge, name=name, amount=charge.times(has, had)))
    return tuple(found)


def agreed_price(figure: PriceFigure) -> Agreed:
    """A worked out price as lines by area and taxes."""
    taxes = [
        TaxShare(name=each.tax.name, rate=each.tax.rate, on=str(each.tax.on), base=each.base, amount=each.amount)
        for each in figure.of.taxes
    ]
    return agreed_of(figure.by_area, taxes)


def outright(name: str, amount: Decimal, taxes: Iterable[TaxShare], currency: str) -> Agreed:
    """A sum that was agreed outright, before tax; taxed by every tax that is on the price, and by no other."""
    if not amount:
        return Agreed()
    amount = round_money(amount, currency)
    shares = [
        TaxShare(name=tax.name, rate=tax.rate, on=tax.on, base=amount, amount=round_money(amount * tax.rate, currency))
        for tax in taxes
        if tax.on == str(TaxBase.PRICE)
    ]
    return Agreed(lines=(AreaLine(area=name, amount=amount),), taxes=tuple(shares))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stages:
    """The prices by which a change is reckoned: `before`, and `kept` without what is taken out, as agreed; `base`, that
    at the prices chosen, and `after`, with what is added. None: there is no such stage, or no work in it.
    """

    before: Agreed | None = None
    kept: Agreed | None = None
    base: Agreed | None = None
    after: Agreed | None = None
    all_out: bool = False


def parts_of(stages: Stages, now: Agreed, sum_outright: Agreed) -> tuple[Agreed, Agreed, Agreed]:
    """What a change is made of: what is taken out, what is added, and the sum agreed outright; each may be nothing.

    `now` is the contract as it stands: where all work is taken out, all of it comes off.
    """
    out = added_work = Agreed()
    if stages.all_out:
        out = negative(now)
    elif stages.kept is not None and stages.before is not None:
        out = taken_off(stages.kept, stages.before)
    if stages.after is not None:
        added_work = taken_off(stages.after, stages.base or Agreed())
    return out, added_work, sum_outright


def change_of(stages: Stages, now: Agreed, sum_outright: Agreed) -> Agreed:
    """What a change comes to in all. Raises ChangeFault where the contract would come to less than nothing, in all or
    in one of its taxes.
    """
    change = taken_off(added(parts_of(stages, now, sum_outright)), Agreed())
    after = added([now, change])
    if after.price < 0 or after.total < 0 or any(tax.amount < 0 for tax in after.taxes):
        raise ChangeFault(f"This takes off {-change.price:f} before tax; only {now.price:f} is agreed.")
    return change


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedPacks:
    """One material: what it costs when the added work is done now, and when it is bought for that work alone."""

    name: str
    now: Decimal
    alone: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """Why doing it now and coming back later differ. Sums are costs in the scope's currency, for owner and office;
    visits are the days that the work takes; `raised` is by how much the minimum raises the price alone."""

    packs: tuple[SharedPacks, ...]
    visits_now: int
    visits_alone: int
    setups: tuple[str, ...]
    raised: Decimal


def shared_between(base: Workings | None, after: Workings, alone: Workings) -> Shared:
    """What the added work shares with what is agreed."""
    had = {each.material: each.cost for each in base.materials} if base else {}
    has = {each.material: each.cost for each in after.materials}
    none = Decimal(0)
    own = {(step.step, step.of.visit) for step in alone.steps if step.of.labour and step.of.labour.setup}
    once = {(step.step, step.of.visit) for step in after.steps if len(step.areas) > 1}
    merged = own & once & ({(step.step, step.of.visit) for step in base.steps} if base else set())
    return Shared(
        packs=tuple(
            SharedPacks(name=each.name, now=has[each.material] - had.get(each.material, none), alone=each.cost)
            for each in alone.materials
            if has[each.material] - had.get(each.material, none) != each.cost
        ),
        visits_now=len(visits_in(after.scope.work)) - (len(visits_in(base.scope.work)) if base else 0),
        visits_alone=len(visits_in(alone.scope.work)),
        setups=tuple(sorted(name for name, _visit in merged)),
        raised=alone.price.of.raised - alone.price.of.computed,
    )


def _on_others(step: Step, areas: Collection[str]) -> Step:
    return replace(step, areas=tuple(name for name in step.areas if name not in areas))


def _areas_in(work: Iterable[Step]) -> set[str]:
    return {name for step in work for name in step.areas}


def _areas_of_both(scope: Scope, other: Scope) -> tuple[Area, ...]:
    mine = {area.name: area for area in scope.areas}
    for area in other.areas:
        if mine.setdefault(area.name, area) != area:
            raise ChangeFault(
                f"“{area.name}” was measured anew since it was agreed. Take it out, or leave it as it is."
            )
    return tuple(mine.values())


def _same_work(one: Step, other: Step) -> bool:
    """Whether two steps are one and the same work on different areas."""
    apart = not set(one.areas) & set(other.areas)
    return apart and _goes_by_surface(one) and replace(one, areas=()) == replace(other, areas=())


def _goes_by_surface(step: Step) -> bool:
    """Whether hours and materials follow from the areas alone."""
    labour = step.labour
    by_rate = labour is None or (labour.hours is None and labour.length is None and labour.count is None)
    return by_rate and all(isinstance(use.use, _BY_SURFACE) for use in step.materials)
