"""The firm's page of how bills are paid."""

from decimal import Decimal

import pytest
from django.urls import reverse

from quoting.models import Firm
from tests.factories import FirmFactory, OwnerFactory, UserFactory

pytestmark = pytest.mark.django_db

TYPED = {
    "pay_days": "10",
    "pay_to": "Ferrow & Daughter\nLarkmere Bank, account 00-4417",
    "pay_link": "https://pay.ferrow.example.com/",
    "late_rule": "simple",
    "late_rate": "6.5",
    "late_year_days": "360",
}


@pytest.fixture
def owner(client):
    FirmFactory(name="Ferrow & Daughter")
    client.force_login(OwnerFactory())
    return client


def test_interest_is_off_by_default(owner):
    assert (Firm().late_rule, Firm().late_rate) == ("off", 0)
    assert "no interest" in owner.get(reverse("firm")).text


def test_how_bills_are_paid_is_kept(owner):
    version = Firm.objects.get().version
    answer = owner.post(reverse("firm-bills"), TYPED | {"version": version})
    firm = Firm.objects.get()
    assert (answer.status_code, firm.pay_days, firm.pay_link, firm.late_rule, firm.late_rate, firm.late_year_days) == (
        302, 10, "https://pay.ferrow.example.com/", "simple", Decimal("0.065"), 360,
    )  # fmt: skip


def test_interest_without_a_rate_is_asked_about(owner):
    answer = owner.post(reverse("firm-bills"), TYPED | {"late_rate": "", "version": 1})
    assert (answer.status_code, "Interest needs a rate" in answer.text) == (422, True)


def test_the_office_reads_and_does_not_change(owner):
    owner.force_login(UserFactory())
    assert owner.get(reverse("firm-bills")).status_code == 403
