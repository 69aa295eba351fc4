"""What an extra costs: bought now, together with its option, and later, alone."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.workings import Workings
from quoting.documents.offers import areas_of
from quoting.documents.proposal_work import visit_of
from quoting.models import Firm, Option, OptionStep
from quoting.services.offers import stands_alone
from quoting.services.scope import OptionIncomplete, visits_of, workings_of
from quoting.services.scope_work import Gap

LAST_VISIT = "done on the last visit of its option"
"""Why a step of an extra is on another visit than the book says."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """An add-on beside its option, worked out: sums before tax. `gaps` says what is missing where nothing is known."""

    add_on: Option
    option: Workings | None
    together: Workings | None
    alone: Workings | None
    gaps: tuple[Gap, ...] = ()

    @property
    def cost(self) -> Decimal | None:
        """What it adds to the cost of the option: packs and visits that the option needs anyway cost nothing more."""
        return self._added("cost")

    @property
    def now(self) -> Decimal | None:
        """What it adds to the price of the option: the true difference, rounding and minimum included."""
        return self._added("price")

    @property
    def later(self) -> Decimal | None:
        """Its price when it is done alone, some other time; None for what can't come without its option."""
        return self.alone.price.of.price if self.alone else None

    def _added(self, name: str) -> Decimal | None:
        if self.option is None or self.together is None:
            return None
        with_it: Decimal = getattr(self.together.price.of, name)
        without: Decimal = getattr(self.option.price.of, name)
        return with_it - without


def fit_visits(extra: Option, *, anew: bool = False) -> bool:
    """Bring what an extra does to an area of its option forward to the option's last visit, where the book has it on a
    later one: grit goes into the last coat, and nobody comes again for it. `anew` leaves alone what somebody put on a
    visit since. Whether anything was moved. Within the caller's transaction.
    """
    option = Option.objects.with_everything().get(add_ons=extra)
    last, shared = max(visits_of(option), default=0), set(areas_of([option]))
    moved = []
    for group in extra.groups.prefetch_related("areas", "steps__step") if last else ():
        for step in group.steps.all() if shared & set(group.areas.all()) else ():
            before = step.visit
            if anew and step.visit is not None and step.reason != LAST_VISIT:
                continue
            if step.reason == LAST_VISIT:  # it was fitted to the option that it was copied from
                step.visit, step.reason = None, ""
            if visit_of(step) > last:
                step.visit, step.reason = last, step.reason or LAST_VISIT
            if step.visit != before:
                moved.append(step)
    OptionStep.objects.bulk_update(moved, ["visit", "reason"])
    return bool(moved)


def refit_extras(option: Option) -> None:
    """Fit the extras of an option anew after its visits may have changed. A visit that somebody chose stays.

    An extra that is moved gets its next version, so that a sheet of it that is open elsewhere takes the new visits.
    Within the caller's transaction.
    """
    for extra in Option.objects.filter(with_option=option.with_option_id or option.pk):
        if fit_visits(extra, anew=True):
            extra.claim(extra.version)


def price_extra(firm: Firm, option: Option, add_on: Option, workings: Workings | None) -> Extra:
    """The extra beside its option, whose workings are given, or None where it is incomplete itself."""
    together = alone = None
    gaps: tuple[Gap, ...] = ()
    try:
        by_itself = workings_of(firm, add_on)
        alone = by_itself if stands_alone(option, add_on) else None
        if workings is not None:
            together = workings_of(firm, option, [add_on])
    except OptionIncomplete as incomplete:
        gaps = incomplete.gaps
    return Extra(add_on=add_on, option=workings, together=together, alone=alone, gaps=gaps)
