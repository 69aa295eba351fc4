"""Conditions as data, read over what is known of a slab: true, false, or not known (None).

A fact may be found in several places of one area, so each name has a set of values; None in it stands for a place where
it was not found out, and a name without any value was not looked at. A condition is known only as far as its facts are:
taking a value away may turn a truth or a falsehood into “not known”, never into its opposite.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

Value = str | Decimal | None
"""A word, a number, or None: not found out."""

Facts = Mapping[str, frozenset[Value]]
"""The values of each fact by its name: `tape` for how a test reads, `crack.width` for one answer of it."""

_NOTHING: frozenset[Value] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Is:
    """Somewhere the fact is one of these words."""

    name: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """Somewhere the number is more than this, or with `or_equal` as much."""

    name: str
    number: Decimal
    or_equal: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """The two numbers differ by more than this. Each is taken from one place."""

    name: str
    other: str
    by: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Nothing is known of the fact. Never within Not: there, less knowledge would take a truth away."""

    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Always:
    """Holds for every slab."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Not:
    """The opposite."""

    of: "Condition"


@dataclass(frozen=True, slots=True, kw_only=True)
class All:
    """Each of these."""

    of: "tuple[Condition, ...]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Either:
    """At least one of these."""

    of: "tuple[Condition, ...]"


Condition = Is | Over | Apart | Missing | Always | Not | All | Either


def is_(name: str, *words: str) -> Is:
    """Is, as a rule writes it."""
    return Is(name=name, words=words)


def not_(of: Condition) -> Not:
    """Not, as a rule writes it."""
    return Not(of=of)


def all_(*of: Condition) -> All:
    """All, as a rule writes it."""
    return All(of=of)


def either(*of: Condition) -> Either:
    """Either, as a rule writes it."""
    return Either(of=of)


def missing(name: str) -> Missing:
    """Missing, as a rule writes it."""
    return Missing(name=name)


def truth(condition: Condition, facts: Facts) -> bool | None:
    """Whether the condition holds; None where the facts don't say."""
    match condition:
        case Always():
            return True
        case Missing(name=name):
            return all(value is None for value in facts.get(name, _NOTHING))
        case Is(name=name, words=words):
            return _somewhere([None if value is None else value in words for value in facts.get(name, _NOTHING)])
        case Over(name=name, number=number, or_equal=or_equal):
            return _somewhere([_over(value, number, or_equal) for value in facts.get(name, _NOTHING)])
        case Apart(name=name, other=other, by=by):
            ones, others = (facts.get(each, _NOTHING) for each in (name, other))
            return _somewhere([_apart(one, two, by) for one in ones for two in others])
        case Not(of=inner):
            found = truth(inner, facts)
            return None if found is None else not found
        case All(of=parts):
            return _all([truth(part, facts) for part in parts])
        case Either(of=parts):
            return _either([truth(part, facts) for part in parts])


def names_in(condition: Condition) -> frozenset[str]:
    """The names of all facts that the condition asks for."""
    match condition:
        case Always():
            return frozenset()
        case Apart(name=name, other=other):
            return frozenset({name, other})
        case Is(name=name) | Over(name=name) | Missing(name=name):
            return frozenset({name})
        case Not(of=inner):
            return names_in(inner)
        case All(of=parts) | Either(of=parts):
            return frozenset().union(*(names_in(part) for part in parts))


def _somewhere(found: list[bool | None]) -> bool | None:
    """True in one place is true; no place at all, or one that is not known, leaves it open."""
    return _either(found) if found else None


def _either(found: list[bool | None]) -> bool | None:
    if True in found:
        return True
    return None if None in found else False


def _all(found: list[bool | None]) -> bool | None:
    if False in found:
        return False
    return None if None in found else True


def _over(value: Value, number: Decimal, or_equal: bool) -> bool | None:
    if not isinstance(value, Decimal):
        return None
    return value > number or (or_equal and value == number)


def _apart(one: Value, two: Value, by: Decimal) -> bool | None:
    if not isinstance(one, Decimal) or not isinstance(two, Decimal):
        return None
    return abs(one - two) > by
