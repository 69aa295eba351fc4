import json
from datetime import date
from decimal import Decimal

import pytest
from moneyed import Money

from quoting.core.payments import Payment
from quoting.models import ChangedMeanwhile, Event, Firm, Paper
from quoting.services import firm as acts
from tests.factories import FirmFactory, JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db

STATE_TAX = acts.TaxLine(
    name="State tax", rate=Decimal("0.06"), on="materials", as_of=date(2026, 5, 1), source="leaflet"
)


def issue_a_paper() -> Paper:
    """The least that an issued paper is."""
    job = JobFactory()
    return Paper.objects.create(
        kind="proposal", number="0001-A", job=job, revision=1, issued_at=job.opened_at, issued_by=job.opened_by,
        facts="{}", facts_sha256="0" * 64, pdf=b"%PDF", pdf_sha256="0" * 64, pages=1,
    )  # fmt: skip


def told(kind: str) -> list[dict]:
    return [json.loads(data) for data in Event.objects.filter(kind=kind).values_list("data", flat=True)]


def test_before_it_is_set_up_the_firm_says_so():
    with pytest.raises(acts.FirmNotSetUp, match="The owner fills in its name and address first"):
        acts.current_firm()


def test_setting_up_brings_four_expectations_and_two_payments():
    firm = acts.set_up_firm(by=OwnerFactory(), name="Ferrow & Daughter")
    assert acts.current_firm() == firm
    assert len(firm.expectations.splitlines()) == 4
    assert [(term.name, term.share) for term in firm.payment_terms.all()] == [
        ("Deposit", Decimal("0.30")),
        ("Balance", Decimal("0.70")),
    ]
    assert firm.notice == ""


def test_setting_up_twice_overwrites_nothing():
    owner = OwnerFactory()
    acts.set_up_firm(by=owner, name="Ferrow & Daughter")
    acts.set_up_firm(by=owner, name="Somebody else")
    assert list(Firm.objects.values_list("name", flat=True)) == ["Ferrow & Daughter"]


def test_the_trail_tells_which_pricing_rules_changed():
    firm = FirmFactory()
    acts.keep_pricing(by=OwnerFactory(), version=firm.version, profit=Decimal("0.35"), hourly_cost=Decimal("42.00"))
    firm.refresh_from_db()
    assert (firm.profit, firm.hourly_cost) == (Decimal("0.35"), Money("42.00", "USD"))
    assert told("pricing rules changed") == [{"changed": {"hourly_cost": ["39", "42"], "profit": ["0.3", "0.35"]}}]


def test_keeping_the_same_rules_tells_nothing():
    firm = FirmFactory()
    acts.keep_pricing(by=OwnerFactory(), version=firm.version, hourly_cost=Decimal("39.00"))
    assert told("pricing rules changed") == []


def test_the_trail_tells_the_taxes_before_and_now():
    firm = FirmFactory()
    owner = OwnerFactory()
    acts.keep_tax_rules(by=owner, version=1, rules=[STATE_TAX])
    acts.keep_tax_rules(by=owner, version=2, rules=[STATE_TAX])
    assert [(rule.name, rule.rate, rule.source) for rule in firm.tax_rules.all()] == [
        ("State tax", Decimal("0.06"), "leaflet")
    ]
    state = {"name": "State tax", "rate": "0.06", "on": "materials", "state": "on"}
    assert told("tax rules changed") == [{"before": [], "now": [state]}]


def test_a_second_hand_overwrites_nothing():
    firm = FirmFactory()
    acts.keep_firm(version=1, tagline="first")
    with pytest.raises(ChangedMeanwhile):
        acts.keep_firm(version=1, tagline="second")
    with pytest.raises(ChangedMeanwhile):
        acts.keep_payment_terms(version=1, terms=[])
    firm.refresh_from_db()
    assert (firm.tagline, firm.version) == ("first", 2)


def test_another_currency_takes_the_firms_own_sums_along():
    FirmFactory()
    acts.keep_firm(version=1, currency="CAD")
    firm = acts.current_firm()
    assert (firm.currency, firm.hourly_cost, firm.minimum) == ("CAD", Money("39.00", "CAD"), Money(0, "CAD"))


def test_once_something_was_issued_the_currency_stays():
    FirmFactory()
    issue_a_paper()
    with pytest.raises(acts.CurrencyFixed, match="so the currency stays USD"):
        acts.keep_firm(version=1, currency="CAD", name="Other")
    firm = acts.current_firm()
    assert (firm.currency, firm.name, firm.version) == ("USD", "Ferrow & Daughter", 1)


def test_the_last_payment_takes_what_is_left():
    terms = [
        acts.TermLine(name=name, trigger="then", share=Decimal(share))
        for name, share in (("Deposit", "0.3333"), ("Colour", "0.3333"), ("Balance", "0.3334"))
    ]
    # 1,000.01 × 0.3333 = 333.303333 → 333.30, twice; 1,000.01 − 666.60 = 333.41
    assert acts.payments_of(terms, Decimal("1000.01"), "USD") == (
        Payment(name="Deposit", amount=Decimal("333.30")),
        Payment(name="Colour", amount=Decimal("333.30")),
        Payment(name="Balance", amount=Decimal("333.41")),
    )
