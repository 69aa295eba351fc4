"""Dated rules of a state or of the federal government, held against an offer. The arithmetic only, never advice.

A firm switches on the rules that its adviser has checked. A rule's figures are texts, as its row keeps them; which it
has depends on its kind:

- deposit-cap: `fraction` (“0.10” or “1/3”), `amount`, `of` (“lesser” or “greater” where there are two),
  `special_order` (“yes”: what was ordered specially counts as an amount), `over` (only above this total). Rounded down.
- progress: none. No payment after the deposit runs ahead of the value of the work done when it is due.
- cancellation: `days`, `calendar` (“sales”, “office” or “every”), `from_home` and `from_elsewhere` (totals from which
  it holds), `older_age` and `older_days` (a longer period for a buyer of that age), `form` (the firm's own words of the
  form by which it is cancelled; no figure, and nothing is worked out from it).
- written-form: `over` (only above) or `from` (at or above this total), `needs` (words for what has to be on the paper,
  parted by commas).
- notice: `over` or `from`, as above; the notice itself is the rule's text.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from quoting.core.business_days import Calendar, cancel_until
from quoting.core.payments import THIRD, Cap, Payment
from quoting.core.units import format_number, parse_number

FRACTIONS = {"1/3": THIRD}


class RuleKind(StrEnum):
    """What a rule is about."""

    DEPOSIT_CAP = "deposit-cap"
    CANCELLATION = "cancellation"
    NOTICE = "notice"
    WRITTEN_FORM = "written-form"
    PROGRESS = "progress"


class RuleFault(ValueError):
    """A rule's figures can't be used; the sentence names the rule."""

    def __init__(self, key: str, sentence: str) -> None:
        super().__init__(f"Rule “{key}”: {sentence}")


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionRule:
    """One rule. `as_of` is the day, or the first day of the year, of the text that it was read in; None: not known."""

    key: str
    region: str
    kind: RuleKind
    name: str
    figures: Mapping[str, str]
    source: str
    as_of: date | None = None
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferTerms:
    """What the rules ask of an offer. Facts that only people know are stated, or None: not stated.

    `payments` begin with the deposit and end with the balance; `done_by` gives the value of the work done when each is
    due, None where it isn't said. `special_order` is the cost of goods ordered specially. `has` names what is on the
    paper in the words of the rules' `needs`, `notices` the keys of the notices that are on it. `buyer_age` is the age
    that the buyer stated. `signed_on` and `begins_on` are known late.
    """

    total: Decimal
    currency: str
    payments: tuple[Payment, ...] = ()
    done_by: tuple[Decimal | None, ...] = ()
    special_order: Decimal = Decimal(0)
    at_home: bool | None = None
    buyer_age: int | None = None
    written: bool = True
    has: frozenset[str] = frozenset()
    notices: frozenset[str] = frozenset()
    signed_on: date | None = None
    begins_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What one rule says of the offer: kept or not, in a sentence that names the rule, its source and its date."""

    rule: RegionRule
    ok: bool
    sentence: str

    @property
    def key(self) -> str:
        """The rule's key."""
        return self.rule.key

    @property
    def source(self) -> str:
        """Where the rule stands, and as of when."""
        dated = f"as of {told(self.rule.as_of)}" if self.rule.as_of else "from a copy without a date"
        return f"{self.rule.source}, {dated}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """How long an offer may be cancelled after it is signed, by one rule."""

    rule: RegionRule
    days: int
    calendar: Calendar

    def until(self, signed_on: date) -> date:
        """The day at whose midnight it ends."""
        return cancel_until(signed_on, self.days, self.calendar)

    @property
    def words(self) -> str:
        """Such as “3 business days”."""
        return f"{self.days} {self.calendar.words}"


def check_offer(rules: Iterable[RegionRule], terms: OfferTerms) -> tuple[Verdict, ...]:
    """What each rule says of the offer; a rule that does not reach it is left out. Raises RuleFault."""
    verdicts = []
    for rule in rules:
        said = _CHECKS[rule.kind](rule, terms)
        if said is not None:
            ok, sentence = said
            verdicts.append(Verdict(rule=rule, ok=ok, sentence=f"{rule.name}: {sentence}"))
    return tuple(verdicts)


def deposit_caps(rules: Iterable[RegionRule], terms: OfferTerms) -> tuple[Cap, ...]:
    """The caps on the deposit of this offer, to split its total by. Raises RuleFault."""
    caps = [_cap(rule, terms) for rule in rules if rule.kind is RuleKind.DEPOSIT_CAP]
    return tuple(cap for cap in caps if cap is not None)


def cancel_periods(rules: Iterable[RegionRule], terms: OfferTerms) -> tuple[Period, ...]:
    """The periods in which this offer may be cancelled, by each rule that reaches it. Raises RuleFault."""
    periods = [_period(rule, terms) for rule in rules if rule.kind is RuleKind.CANCELLATION]
    return tuple(period for period in periods if period is not None)


def last_day_to_cancel(rules: Iterable[RegionRule], terms: OfferTerms, signed_on: date) -> date | None:
    """The last day, by the rule that gives the most time; None where no rule reaches the offer. Raises RuleFault."""
    return max((period.until(signed_on) for period in cancel_periods(rules, terms)), default=None)


def told(day: date) -> str:
    """A date as sentences say it: 5 August 2025."""
    return f"{day.day} {day:%B %Y}"


def _number(rule: RegionRule, name: str) -> Decimal | None:
    text = rule.figures.get(name, "").strip()
    if not text:
        return None
    try:
        number = FRACTIONS.get(text) or parse_number(text)
    except ValueError as fault:
        raise RuleFault(rule.key, f"{name}: {fault}") from fault
    if number < 0:
        raise RuleFault(rule.key, f"{name} must not be negative.")
    return number


def _whole(rule: RegionRule, name: str) -> int | None:
    number = _number(rule, name)
    if number is not None and number != int(number):
        raise RuleFault(rule.key, f"{name} must be a whole number.")
    return None if number is None else int(number)


def _reaches(rule: RegionRule, total: Decimal) -> bool:
    over, least = _number(rule, "over"), _number(rule, "from")
    return (over is None or total > over) and (least is None or total >= least)


def _cap(rule: RegionRule, terms: OfferTerms) -> Cap | None:
    if not _reaches(rule, terms.total):
        return None
    fraction, amount = _number(rule, "fraction"), _number(rule, "amount")
    if rule.figures.get("special_order") == "yes":
        amount = (amount or Decimal(0)) + terms.special_order
    of = rule.figures.get("of", "")
    if fraction is None and amount is None:
        raise RuleFault(rule.key, "a cap needs a fraction, an amount, or both.")
    if of not in ("", "lesser", "greater") or (not of and fraction is not None and amount is not None):
        raise RuleFault(rule.key, "with a fraction and an amount, say “lesser” or “greater”.")
    return Cap(fraction=fraction, amount=amount, greater=of == "greater")


def _check_deposit(rule: RegionRule, terms: OfferTerms) -> tuple[bool, str] | None:
    cap = _cap(rule, terms)
    if cap is None or len(terms.payments) < 2:
        return None
    most, deposit = cap.of(terms.total, terms.currency), terms.payments[0].amount
    if deposit > most:
        return False, f"the deposit of {_money(deposit)} is more than the {_money(most)} allowed."
    return True, f"the deposit of {_money(deposit)} is within the {_money(most)} allowed."


def _check_progress(rule: RegionRule, terms: OfferTerms) -> tuple[bool, str] | None:
    if len(terms.payments) < 2:
        return None
    paid = terms.payments[0].amount
    for i, payment in enumerate(terms.payments[1:], start=1):
        paid += payment.amount
        done = terms.done_by[i] if i < len(terms.done_by) else None
        if done is None:
            return False, f"say how much of the work is done when “{payment.name}” is due."
        if paid > done:
            return False, (
                f"with “{payment.name}”, {_money(paid)} are paid, and work for {_money(done)} is done by then."
            )
    return True, "no payment runs ahead of the work."


def _period(rule: RegionRule, terms: OfferTerms) -> Period | None:
    least = [_number(rule, name) for name in _places(terms.at_home)]
    known = [each for each in least if each is not None]
    if known and terms.total < min(known):
        return None
    if not known and any(rule.figures.get(name) for name in ("from_home", "from_elsewhere")):
        return None  # it holds for the other kind of place only
    days, older_days, older_age = (_whole(rule, name) for name in ("days", "older_days", "older_age"))
    if days is None:
        raise RuleFault(rule.key, "a period needs its days.")
    # An age that nobody stated may be that of the longer period.
    if older_days and (terms.buyer_age is None or older_age is None or terms.buyer_age >= older_age):
        days = max(days, older_days)
    try:
        return Period(rule=rule, days=days, calendar=Calendar(rule.figures.get("calendar", "sales")))
    except ValueError as fault:
        raise RuleFault(rule.key, "its calendar is “sales”, “office” or “every”.") from fault


def _places(at_home: bool | None) -> tuple[str, ...]:
    """The thresholds to go by; where it was signed is not stated, either may hold."""
    if at_home is None:
        return ("from_home", "from_elsewhere")
    return ("from_home",) if at_home else ("from_elsewhere",)


def _check_cancellation(rule: RegionRule, terms: OfferTerms) -> tuple[bool, str] | None:
    period = _period(rule, terms)
    if period is None:
        return None
    if rule.key not in terms.notices:
        return False, f"it may be cancelled for {period.words}, and the notice that says so is not on the paper."
    if terms.signed_on is None:
        return True, f"it may be cancelled for {period.words} after it is signed."
    until = period.until(terms.signed_on)
    if terms.begins_on is not None and terms.begins_on <= until:
        return (
            False,
            f"it may be cancelled until midnight of {told(until)}, and work begins on {told(terms.begins_on)}.",
        )
    return True, f"it may be cancelled until midnight of {told(until)}."


def _check_form(rule: RegionRule, terms: OfferTerms) -> tuple[bool, str] | None:
    if not _reaches(rule, terms.total):
        return None
    if not terms.written:
        return False, f"a contract of {_money(terms.total)} must be in writing."
    needs = [each.strip() for each in rule.figures.get("needs", "").split(",") if each.strip()]
    if lacking := [each for each in needs if each not in terms.has]:
        return False, f"the paper lacks {', '.join(lacking)}."
    return True, "the paper has what the written form asks for."


def _check_notice(rule: RegionRule, terms: OfferTerms) -> tuple[bool, str] | None:
    if not _reaches(rule, terms.total):
        return None
    if rule.key not in terms.notices:
        return False, "the notice is not on the paper."
    return True, "the notice is on the paper."


def _money(amount: Decimal) -> str:
    return format_number(amount, max(0, -int(amount.as_tuple().exponent)))


_CHECKS: Mapping[RuleKind, Callable[[RegionRule, OfferTerms], tuple[bool, str] | None]] = {
    RuleKind.DEPOSIT_CAP: _check_deposit,
    RuleKind.PROGRESS: _check_progress,
    RuleKind.CANCELLATION: _check_cancellation,
    RuleKind.WRITTEN_FORM: _check_form,
    RuleKind.NOTICE: _check_notice,
}
