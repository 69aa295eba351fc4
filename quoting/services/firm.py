"""Acts on the one firm: setting it up, its brand, its rules for tax and price, its payment terms and its words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from moneyed import Money

from quoting.core.payments import Payment, Term, split_payments
from quoting.core.tax_places import Located
from quoting.models import Firm, Paper, PaymentTerm, TaxRule, User, lock_row
from quoting.services.starting_words import STARTING_WORDS
from quoting.services.trail import record

THE_FIRM = 1
"""The key of the single row."""

MONEY_FIELDS = ("hourly_cost", "minimum", "round_to")
PRICING_FIELDS = ("crew_size", "hourly_cost", "overhead", "profit_kind", "profit", "minimum", "round_to")

STARTING_TERMS = (
    ("Deposit", "on acceptance", Decimal("0.30")),
    ("Balance", "at hand-over", Decimal("0.70")),
)
"""What a new firm's proposals ask for until it writes its own. Common practice, no published source."""


class FirmNotSetUp(Exception):
    """Nothing can be priced or printed before the firm has a name."""

    def __init__(self) -> None:
        super().__init__("The firm is not set up yet. The owner fills in its name and address first, on the page Firm.")


class CurrencyFixed(Exception):
    """Papers were issued in the firm's currency."""

    def __init__(self, currency: str) -> None:
        super().__init__(f"Papers have been issued in {currency}, so the currency stays {currency}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxLine:
    """One tax as it goes on proposals, everywhere or at its places; `rate` is a fraction."""

    name: str
    rate: Decimal
    on: str
    region: str = ""
    places: str = ""
    as_of: date | None = None
    source: str = ""
    active: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class TermLine:
    """One stretch of the payments; `share` is a fraction of the total, `done` of the work that is done by then."""

    name: str
    trigger: str
    share: Decimal
    done: Decimal | None = None


def current_firm() -> Firm:
    """The firm, its logo left in the database until it is asked for. Raises FirmNotSetUp."""
    firm = Firm.objects.defer("logo").first()
    if firm is None:
        raise FirmNotSetUp
    return firm


def anything_issued() -> bool:
    """Whether a paper was issued, after which the firm's currency stays as it is."""
    return Paper.objects.exists()


def set_up_firm(*, by: User, **facts: Any) -> Firm:
    """Make the firm's row with starting words and payment terms; when it is there already, nothing is overwritten."""
    with transaction.atomic():
        firm, made = Firm.objects.get_or_create(pk=THE_FIRM, defaults=STARTING_WORDS | facts)
        if made:
            for position, (name, trigger, share) in enumerate(STARTING_TERMS):
                PaymentTerm.objects.create(firm=firm, position=position, name=name, trigger=trigger, share=share)
            record("firm set up", actor=by)
    return firm


def keep_firm(*, version: int, **facts: Any) -> Firm:
    """Keep what the firm is called, how its papers look and what they say.

    Raises ChangedMeanwhile when `version` is no longer the current one, and CurrencyFixed.
    """
    with transaction.atomic():
        firm = _claimed(version)
        currency = facts.get("currency", firm.currency)
        fields = list(facts)
        if currency != firm.currency:
            if anything_issued():
                raise CurrencyFixed(firm.currency)
            for name in MONEY_FIELDS:
                setattr(firm, name, Money(getattr(firm, name).amount, currency))
            fields += [*MONEY_FIELDS, *(f"{name}_currency" for name in MONEY_FIELDS)]
        _write(firm, facts, fields)
    return firm


def keep_pricing(*, by: User, version: int, **rules: Any) -> Firm:
    """Keep the pricing rules, and tell the trail which figures changed. Raises ChangedMeanwhile."""
    with transaction.atomic():
        firm = _claimed(version)
        before = _told_pricing(firm)
        amounts = {
            name: Money(value, firm.currency) if name in MONEY_FIELDS else value for name, value in rules.items()
        }
        _write(firm, amounts, list(amounts))
        changed = {name: [before[name], now] for name, now in _told_pricing(firm).items() if now != before[name]}
        if changed:
            record("pricing rules changed", actor=by, data={"changed": changed})
    return firm


def keep_tax_rules(*, by: User, version: int, rules: Sequence[TaxLine]) -> None:
    """Put these tax rules, in this order, in the place of those that were. Raises ChangedMeanwhile."""
    with transaction.atomic():
        firm = _claimed(version)
        before = [_told_tax(row) for row in firm.tax_rules.all()]
        firm.tax_rules.all().delete()
        TaxRule.objects.bulk_create(
            TaxRule(firm=firm, position=position, **asdict(rule)) for position, rule in enumerate(rules)
        )
        now = [_told_tax(rule) for rule in rules]
        if now != before:
            record("tax rules changed", actor=by, data={"before": before, "now": now})


def taxes_at(firm: Firm, place: Located) -> list[TaxRule]:
    """The taxes that the firm charges for work at this place, in its order; those of which the address does not say
    enough to tell are not among them."""
    return [rule for rule in firm.tax_rules.all() if rule.active and rule.holds_at(place)]


def keep_payment_terms(*, version: int, terms: Sequence[TermLine]) -> None:
    """Put these payment terms, in this order, in the place of those that were. Raises ChangedMeanwhile."""
    with transaction.atomic():
        firm = _claimed(version)
        firm.payment_terms.all().delete()
        PaymentTerm.objects.bulk_create(
            PaymentTerm(firm=firm, position=position, **asdict(term)) for position, term in enumerate(terms)
        )


def core_terms(terms: Iterable[PaymentTerm | TermLine]) -> tuple[Term, ...]:
    """Payment terms as the core splits a total by them: the last takes what is left."""
    *parts, last = [Term(name=term.name, fraction=term.share) for term in terms]
    return (*parts, Term(name=last.name))


def payments_of(terms: Sequence[PaymentTerm | TermLine], total: Decimal, currency: str) -> tuple[Payment, ...]:
    """What each stretch of the payments comes to on this total. Raises TermsFault for no terms."""
    return split_payments(total, core_terms(terms) if terms else (), currency)


def _claimed(version: int) -> Firm:
    firm = lock_row(Firm, THE_FIRM)
    firm.claim(version)
    return firm


def _write(firm: Firm, facts: Mapping[str, Any], fields: Iterable[str]) -> None:
    for name, value in facts.items():
        setattr(firm, name, value)
    firm.save(update_fields=list(fields))


def _told_pricing(firm: Firm) -> dict[str, str]:
    """The pricing rules as the trail tells them: plain digits."""
    told = {}
    for name in PRICING_FIELDS:
        value = getattr(firm, name)
        told[name] = _digits(value.amount if isinstance(value, Money) else value)
    return told


def _told_tax(rule: TaxRule | TaxLine) -> dict[str, str]:
    state = "on" if rule.active else "off"
    told = {"name": rule.name, "rate": _digits(rule.rate), "on": rule.on, "state": state}
    return told | {name: said for name in ("region", "places") if (said := getattr(rule, name))}


def _digits(value: object) -> str:
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)
