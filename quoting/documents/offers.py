"""An offer that was worked out: what a proposal prints, before a word of it is written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from quoting.core.offers import OfferFault, offer_total
from quoting.core.payments import Payment
from quoting.core.scope import Scope
from quoting.core.workings import Workings
from quoting.models import Area, Option

MOST_CHOSEN = 6
"""Add-ons of which every choice is looked at: 64 choices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A scope with its workings, and the visits on which something is done."""

    scope: Scope
    workings: Workings
    visits: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedAddOn:
    """An add-on beside its option: worked out together with it, and alone where it can stand alone."""

    option: Option
    together: Worked
    alone: Worked | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedOption:
    """An option, its add-ons, and how its total is paid (empty without payment terms)."""

    option: Option
    alone: Worked
    add_ons: tuple[OfferedAddOn, ...]
    payments: tuple[Payment, ...]

    @property
    def totals(self) -> tuple[Decimal, ...]:
        """What each choice of its add-ons comes to with tax: every choice, or, with more than six add-ons, none, each
        by itself, and all. A choice that can't be totalled is left out.
        """
        prices = [add_on.together.workings.price for add_on in self.add_ons]
        counts = range(len(prices) + 1) if len(prices) <= MOST_CHOSEN else (0, 1, len(prices))
        found = []
        for chosen in (each for count in counts for each in combinations(prices, count)):
            try:
                found.append(offer_total(self.alone.workings.price, chosen).total)
            except OfferFault:
                continue
        return tuple(dict.fromkeys(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """All that a proposal offers, in the order in which it is printed."""

    options: tuple[OfferedOption, ...]

    @property
    def advised(self) -> OfferedOption:
        """The advised option; the first where none is advised."""
        return next((each for each in self.options if each.option.advised), self.options[0])

    @property
    def areas(self) -> list[Area]:
        """Every area that an option or an add-on is done on, in the folder's order."""
        return areas_of(option for each in self.options for option in [each.option, *(a.option for a in each.add_ons)])


def areas_of(options: Iterable[Option]) -> list[Area]:
    """The areas of these options, in the folder's order. Expects options loaded with everything."""
    found = {area.pk: area for option in options for group in option.groups.all() for area in group.areas.all()}
    return sorted(found.values(), key=lambda area: (area.position, area.pk))
