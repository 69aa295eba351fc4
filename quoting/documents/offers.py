"""An offer that was worked out: what a proposal prints, before a word of it is written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from quoting.core.payments import Payment
from quoting.core.scope import Scope
from quoting.core.workings import Workings
from quoting.models import Area, Option


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
