"""How a total is paid: deposit, progress, balance. The parts always add up; the last takes the remainder."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.core.rounding import floor_money, round_money


class TermsFault(ValueError):
    """The terms can't be kept; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cap:
    """The most that a part may be: the lesser of a fraction of the total and a sum, or (`greater`) the greater of them.

    One of the two may be left out. A cap is rounded down to the currency, since half up could put it over what a law
    allows.
    """

    fraction: Decimal | None = None
    amount: Decimal | None = None
    greater: bool = False

    def of(self, total: Decimal, currency: str) -> Decimal:
        """The cap on a part of this total."""
        sums = [each for each in (self._share(total), self.amount) if each is not None]
        if not sums:
            raise TermsFault("A cap needs a fraction of the total, or a sum.")
        return floor_money(max(sums) if self.greater else min(sums), currency)

    def _share(self, total: Decimal) -> Decimal | None:
        return None if self.fraction is None else total * self.fraction


THIRD = Decimal(1) / Decimal(3)
"""A third, to 28 digits; the floor of a cap first rounds to 20, so that a third of 999.00 is 333.00."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One part of the payments: a `fraction` of the total, or an `amount`; neither for the last, which takes the
    rest. `trigger` says what makes it due: on acceptance, when the colour is on, at hand-over.
    """

    name: str
    trigger: str = ""
    fraction: Decimal | None = None
    amount: Decimal | None = None
    caps: tuple[Cap, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """One part of a total, and whether a cap made it less than the term asks for."""

    name: str
    amount: Decimal
    capped: bool = False
    trigger: str = ""


def split_payments(total: Decimal, terms: Sequence[Term], currency: str) -> tuple[Payment, ...]:
    """The total by these terms: each part half up to the currency, no more than its caps or than is left; the last the
    rest. What a cap takes off a part is asked for with the next one.

    The payments always add up to the total, which is not negative. Raises TermsFault for no terms, for a negative
    total, for a part with both or neither of fraction and amount, and for a last part that has one or a cap.
    """
    if not terms:
        raise TermsFault("There must be at least one payment.")
    if total < 0:
        raise TermsFault("A total that is paid must not be negative.")
    *parts, last = terms
    if last.fraction is not None or last.amount is not None or last.caps:
        raise TermsFault(f"“{last.name}” comes last and takes what is left: it has no fraction, amount or cap.")
    left = total = round_money(total, currency)
    carried = Decimal(0)
    payments = []
    for term in parts:
        asked = _asked(term, total, currency) + carried
        amount = min(asked, *(cap.of(total, currency) for cap in term.caps)) if term.caps else asked
        carried = asked - amount
        payments.append(Payment(name=term.name, amount=min(amount, left), capped=amount < asked, trigger=term.trigger))
        left -= payments[-1].amount
    return (*payments, Payment(name=last.name, amount=left, trigger=last.trigger))


def with_caps(terms: Sequence[Term], caps: Sequence[Cap]) -> tuple[Term, ...]:
    """The terms with these caps on the first part, the deposit, where it is not the only one."""
    if len(terms) < 2:
        return tuple(terms)
    first, *rest = terms
    return (replace(first, caps=(*first.caps, *caps)), *rest)


def _asked(term: Term, total: Decimal, currency: str) -> Decimal:
    if (term.fraction is None) == (term.amount is None):
        raise TermsFault(f"“{term.name}” must be either a fraction of the total or an amount.")
    asked = term.amount if term.fraction is None else total * term.fraction
    if asked is None or asked < 0:
        raise TermsFault(f"“{term.name}” must not be negative.")
    return round_money(asked, currency)
