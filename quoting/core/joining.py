"""Joining scopes: one option together with several add-ons, from the frozen scopes of the option with each of them.

For quantities: what to load, to mix and to do when several add-ons are ticked. Each pairwise scope holds all of the
option, and the add-on's own areas, steps, materials and charges after it; the joined scope holds the option once and
what each adds, so that packs and visits are shared. What was agreed is what `offers.py` adds up from the frozen prices:
the price of a joined scope is not that.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from quoting.core.scope import Area, Charge, Material, Scope, Step

LONGEST_TITLE = 200
"""Characters, as the scope file allows."""

_FOR_VISITS = re.compile(r"(.+), ([0-9]{1,3}) visits")


class JoinFault(ValueError):
    """These scopes don't extend the same option; the sentence says in what they differ."""


def join(alone: Scope, together: Sequence[Scope]) -> Scope:
    """The option's scope with what each of these scopes adds to it. With one it is that one; with none, the option's.

    Raises JoinFault unless each of them extends the option: the same currency, units, crew and pricing; the option's
    areas, materials and charges among its own; and its steps first.
    """
    for each in together:
        _need_extension(alone, each)
    if len(together) < 2:
        return together[0] if together else alone
    visits = _visits(alone.work) | {visit for each in together for visit in _visits(each.work)}
    return replace(
        alone,
        title=_title(alone, together),
        areas=_areas(alone, together),
        materials=_materials(alone, together),
        work=(*alone.work, *(step for each in together for step in each.work[len(alone.work) :])),
        charges=_charges(alone, together, len(visits)),
    )


def _need_extension(alone: Scope, each: Scope) -> None:
    for name in ("currency", "units", "crew", "pricing"):
        if getattr(alone, name) != getattr(each, name):
            raise JoinFault(f"“{each.title}” differs from “{alone.title}” in its {name}.")
    if each.work[: len(alone.work)] != alone.work:
        raise JoinFault(f"“{each.title}” does not begin with the steps of “{alone.title}”.")
    for name in ("areas", "materials"):
        theirs = getattr(each, name)
        if lost := [one.name for one in getattr(alone, name) if one not in theirs]:
            raise JoinFault(f"“{each.title}” lacks “{lost[0]}”, or has it otherwise.")
    grown = each.charges[: len(alone.charges)]
    if len(grown) < len(alone.charges) or any(
        not _same_charge(mine, theirs, alone, each) for mine, theirs in zip(alone.charges, grown, strict=True)
    ):
        raise JoinFault(f"“{each.title}” does not begin with the charges of “{alone.title}”.")


def _visits(work: Sequence[Step]) -> set[int]:
    return {step.visit for step in work if step.visit is not None}


def _title(alone: Scope, together: Sequence[Scope]) -> str:
    extras = [each.title.removeprefix(alone.title).removeprefix(" + ") for each in together]
    return " + ".join([alone.title, *extras])[:LONGEST_TITLE]


def _areas(alone: Scope, together: Sequence[Scope]) -> tuple[Area, ...]:
    """The option's areas in their order, each new one after the area that it follows in its own scope."""
    joined = list(alone.areas)
    own = {area.name for area in alone.areas}
    for each in together:
        after = 0
        for area in each.areas:
            known = next((i for i, one in enumerate(joined) if one.name == area.name), None)
            if known is not None:
                if joined[known] != area:
                    raise JoinFault(f"“{area.name}” is measured in two ways.")
                after = known + 1
                continue
            while after < len(joined) and joined[after].name not in own:
                after += 1
            joined.insert(after, area)
            after += 1
    return tuple(joined)


def _materials(alone: Scope, together: Sequence[Scope]) -> tuple[Material, ...]:
    joined = {material.key: material for material in alone.materials}
    for each in together:
        for material in each.materials:
            if joined.setdefault(material.key, material) != material:
                raise JoinFault(f"“{material.name}” has two sets of packs and prices.")
    return tuple(joined.values())


def _charges(alone: Scope, together: Sequence[Scope], visits: int) -> tuple[Charge, ...]:
    """The option's charges, those a visit for all visits of the joined work; then those of the add-ons, equal ones
    once.
    """
    count = len(alone.charges)
    joined = [
        _for_visits(mine, [(each.charges[i], each) for each in together], visits)
        for i, mine in enumerate(alone.charges)
    ]
    own: list[Charge] = []
    for each in together:
        for charge in each.charges[count:]:
            extra = _for_visits(charge, [(charge, each)], visits)
            if extra not in own:
                own.append(extra)
    return (*joined, *own)


def _for_visits(charge: Charge, found: Sequence[tuple[Charge, Scope]], visits: int) -> Charge:
    """The charge for so many visits where it is charged a visit, which its name says in a scope with several."""
    for each, scope in found:
        match = _FOR_VISITS.fullmatch(each.name)
        many = len(_visits(scope.work))
        if match and int(match[2]) == many and _varies(charge, found):
            name = f"{match[1]}, {visits} visits"
            return replace(each, name=name, amount=each.times(visits, many))
    return charge


def _varies(charge: Charge, found: Sequence[tuple[Charge, Scope]]) -> bool:
    """Whether a charge goes with the visits: an add-on's own does by its name, an option's where a scope shows it."""
    return found[0][0] is charge or any(each != charge for each, _scope in found)


def _same_charge(mine: Charge, theirs: Charge, alone: Scope, each: Scope) -> bool:
    """The same, or the same a visit, for the visits of either scope."""
    if mine == theirs:
        return True
    few, many = len(_visits(alone.work)), len(_visits(each.work))
    if not few or not many:
        return False
    same_name = _stem(mine.name) == _stem(theirs.name)
    if mine.amount is None or theirs.amount is None:
        return False
    same_rate = mine.amount * Decimal(many) == theirs.amount * Decimal(few)
    return same_name and mine.category == theirs.category and same_rate


def _stem(name: str) -> str:
    match = _FOR_VISITS.fullmatch(name)
    return match[1] if match else name
