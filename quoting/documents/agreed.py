"""What a choice on an issued paper comes to: reckoned again from its frozen scopes, never from what a form says."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any

from quoting.core.offers import OfferFault, OfferTotal, offer_total
from quoting.core.payments import Payment, TermsFault
from quoting.core.region_rules import RuleFault
from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.core.workings import PriceFigure
from quoting.core.workings_file import workings_data
from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json
from quoting.documents.proposal_rules import last_day_by, payments_by
from quoting.models import Paper, PaperScope


class NotOffered(Exception):
    """The option or the extra is not on the paper, or the extra doesn't go with that option."""

    def __init__(self) -> None:
        super().__init__("This choice is not on the proposal. Choose again from what is offered.")


class DoesNotAddUp(Exception):
    """Working the frozen scopes out again gives other figures than the paper, so nothing may be accepted on it."""

    def __init__(self, number: str) -> None:
        super().__init__(f"The figures of {number} could not be checked. Nothing was accepted; please ring us.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """An extra as the paper numbers it, from 1, with its words from the facts."""

    number: int
    scope: PaperScope
    facts: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """An option as the paper numbers it, from 1, with the extras that go with it."""

    place: int
    scope: PaperScope
    facts: Mapping[str, Any]
    extras: tuple[Extra, ...]

    @property
    def name(self) -> str:
        return self.scope.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """One choice with its sums; `lines` are the option's and each extra's price before tax."""

    paper: str
    currency: str
    option: int
    add_ons: tuple[int, ...]
    lines: tuple[tuple[str, Decimal], ...]
    taxes: tuple[tuple[str, Decimal], ...]
    price: Decimal
    total: Decimal
    payments: tuple[Payment, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The option's name, then those of the extras."""
        return tuple(name for name, _price in self.lines)

    @property
    def deposit(self) -> Decimal:
        """The first of several payments; nothing where all is paid at once, or no terms stand on the paper."""
        return self.payments[0].amount if len(self.payments) > 1 else Decimal(0)

    @property
    def figures(self) -> Facts:
        """The same as plain texts, to be kept."""
        return {
            "currency": self.currency,
            "option": str(self.option),
            "add_ons": [str(number) for number in self.add_ons],
            "lines": [{"name": name, "price": f"{price:f}"} for name, price in self.lines],
            "price": f"{self.price:f}",
            "taxes": [{"name": name, "amount": f"{amount:f}"} for name, amount in self.taxes],
            "total": f"{self.total:f}",
            "payments": [
                {"name": each.name, "trigger": each.trigger, "amount": f"{each.amount:f}"} for each in self.payments
            ],
        }


class Offered:
    """An issued paper as what can be chosen on it. Reads its scopes once."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.facts: Facts = json.loads(paper.facts)
        self.choices = _choices(self.facts, list(PaperScope.objects.filter(paper=paper).order_by("position")))

    @property
    def usual(self) -> int:
        """The option that is shown first: the advised one."""
        shown = str(self.facts.get("shown", "1"))
        return int(shown) if shown.isascii() and shown.isdigit() else 1

    def choice(self, option: int) -> Choice:
        """Raises NotOffered."""
        for each in self.choices:
            if each.place == option:
                return each
        raise NotOffered

    def agree(self, option: int, add_ons: Iterable[int]) -> Agreed:
        """The sums of this choice. Raises NotOffered, or DoesNotAddUp."""
        choice, ticked = self.choice(option), sorted(set(add_ons))
        extras = [each for each in choice.extras if each.number in ticked]
        if len(extras) != len(ticked):
            raise NotOffered
        alone = self.figure(choice.scope)
        try:
            total = offer_total(alone, [self.figure(each.scope) for each in extras])
            payments = payments_by(self.facts, total.total)
        except (OfferFault, TermsFault, RuleFault) as fault:
            raise DoesNotAddUp(self.paper.number) from fault
        return self._agreed(choice, extras, alone, total, payments)

    def areas(self, agreed: Agreed) -> list[Mapping[str, Any]]:
        """The facts of the areas that this choice is done on, as they were measured."""
        choice = self.choice(agreed.option)
        rows = [choice.scope, *(each.scope for each in choice.extras if each.number in agreed.add_ons)]
        names = {area.name for row in rows for area in read_scope(row.scope).areas}
        return [area for area in self.facts.get("measured", []) if area["name"] in names]

    def cancel_until(self, total: Decimal, signed_on: date) -> tuple[date, str] | None:
        """The last day on which a yes of that day may be cancelled, and the rule's words; None where none is on."""
        try:
            return last_day_by(self.facts, total, signed_on)
        except RuleFault as fault:
            raise DoesNotAddUp(self.paper.number) from fault

    def _agreed(
        self,
        choice: Choice,
        extras: list[Extra],
        alone: PriceFigure,
        total: OfferTotal,
        payments: tuple[Payment, ...],
    ) -> Agreed:
        names = [choice.name, *(each.scope.name for each in extras)]
        return Agreed(
            paper=self.paper.number,
            currency=alone.currency,
            option=choice.place,
            add_ons=tuple(each.number for each in extras),
            lines=tuple((name, line.price) for name, line in zip(names, total.lines, strict=True)),
            taxes=total.taxes,
            price=total.price,
            total=total.total,
            payments=payments,
        )

    def figure(self, row: PaperScope) -> PriceFigure:
        """The price of a frozen scope, worked out again and held against the workings that were kept with it."""
        try:
            price, workings = _worked_out(row.scope)
        except ScopeFaults as faults:
            raise DoesNotAddUp(self.paper.number) from faults
        if workings != row.workings:
            raise DoesNotAddUp(self.paper.number)
        return price


@lru_cache(maxsize=64)
def _worked_out(scope: str) -> tuple[PriceFigure, str]:
    """The price and the workings of a scope file; kept for a while, since the same text always gives the same."""
    workings = work_out(read_scope(scope))
    return workings.price, canonical_json(workings_data(workings))


def _choices(facts: Facts, rows: list[PaperScope]) -> tuple[Choice, ...]:
    """The options with their extras: each pairwise scope follows the option that it extends, as it was issued."""
    groups: list[tuple[PaperScope, list[tuple[int, PaperScope]]]] = []
    count = 0
    for row in rows:
        if row.role == "option":
            groups.append((row, []))
        elif row.role == "together" and groups:
            count += 1
            groups[-1][1].append((count, row))
    told, extras = facts.get("options", []), facts.get("extras", [])
    return tuple(
        Choice(
            place=place,
            scope=row,
            facts=told[place - 1] if place <= len(told) else {},
            extras=tuple(
                Extra(number=number, scope=extra, facts=extras[number - 1] if number <= len(extras) else {})
                for number, extra in found
            ),
        )
        for place, (row, found) in enumerate(groups, start=1)
    )
