"""Working out an offer: each option alone and with each of its add-ons, and each add-on alone where it can be."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.exemptions import without_taxes
from quoting.core.payments import Payment
from quoting.core.work_out import work_out
from quoting.documents.offers import Offer, OfferedAddOn, OfferedOption, Worked, areas_of
from quoting.models import Firm, Option, Proposal
from quoting.services.scope import OptionIncomplete, scope_of, visits_of

MOST_OPTIONS = 4

Paid = Callable[[Decimal], tuple[Payment, ...]]
"""How a total is paid."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """An option that a draft offers, with those of its add-ons that go with it."""

    option: Option
    add_ons: tuple[Option, ...]


def chosen_of(proposal: Proposal) -> list[Chosen]:
    """What the draft offers, in its order, loaded with everything. An add-on whose option is not offered falls out."""
    places = {row.option_id: row.position for row in proposal.offered.all()}
    rows = Option.objects.with_everything().filter(pk__in=places)
    options = sorted(rows, key=lambda option: (places[option.pk], option.pk))
    return [
        Chosen(each, tuple(one for one in options if one.with_option_id == each.pk))
        for each in options
        if each.kind == Option.Kind.OPTION
    ]


def work_out_offer(firm: Firm, chosen: Sequence[Chosen], paid: Paid, exempt: Collection[str] = ()) -> Offer:
    """The offer with all its figures, without the taxes that are named as exempt.

    Raises OptionIncomplete for the first option that can't be worked out.
    """
    return Offer(options=tuple(_work_out(firm, each, paid, exempt) for each in chosen))


def worked(firm: Firm, option: Option, add_ons: Iterable[Option] = (), exempt: Collection[str] = ()) -> Worked:
    """An option worked out together with these add-ons. Raises OptionIncomplete."""
    add_ons = tuple(add_ons)
    scope = without_taxes(scope_of(firm, option, add_ons), exempt)
    return Worked(scope=scope, workings=work_out(scope), visits=visits_of(option, add_ons))


def stands_alone(option: Option, add_on: Option) -> bool:
    """Whether an add-on can be done by itself later: its areas are all its own.

    What goes onto an area of its option, such as grit in the last coat, can't come without that coat.
    """
    own = areas_of([add_on])
    return bool(own) and not set(own) & set(areas_of([option]))


def gaps_of(firm: Firm, chosen: Chosen) -> Iterator[tuple[Option, OptionIncomplete]]:
    """The option and those of its add-ons that can't be worked out, with what they lack."""
    try:
        worked(firm, chosen.option)
    except OptionIncomplete as incomplete:
        yield chosen.option, incomplete
        return
    for add_on in chosen.add_ons:
        try:
            worked(firm, chosen.option, [add_on])
        except OptionIncomplete as incomplete:
            yield add_on, incomplete


def _work_out(firm: Firm, chosen: Chosen, paid: Paid, exempt: Collection[str]) -> OfferedOption:
    option = chosen.option
    alone = worked(firm, option, exempt=exempt)
    return OfferedOption(
        option=option,
        alone=alone,
        add_ons=tuple(
            OfferedAddOn(
                option=add_on,
                together=worked(firm, option, [add_on], exempt),
                alone=worked(firm, add_on, exempt=exempt) if stands_alone(option, add_on) else None,
            )
            for add_on in chosen.add_ons
        ),
        payments=paid(alone.workings.price.of.total),
    )
