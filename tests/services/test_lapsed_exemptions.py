"""A contract that stays untaxed though its certificate has run out is spoken of."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from customers.models import Property
from quoting.models import Certificate, Job
from quoting.services.certificates import add_certificate
from quoting.services.exemptions import exempt_contract
from quoting.services.invoices import draft_invoice
from quoting.services.lapsed_exemptions import lapsed_words
from tests.factories import OwnerFactory
from tests.sample_change import agreed_job, drafted
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"
LAST = date(2099, 12, 31)
LATER = date(2100, 1, 2)


def certificate(job: Job, **facts: Any) -> Certificate:
    usual = {
        "content": PDF, "kind": "organisation", "number": "12-7", "region": "", "valid_from": date(2020, 1, 1),
        "valid_until": LAST,
    }  # fmt: skip
    return add_certificate(customer=job.property.customer, by=job.opened_by, **(usual | facts))


@pytest.fixture
def job() -> Job:
    """Without State and City, by a certificate that holds until the end of 2099."""
    job = accepted_job()
    exempt_contract(job=job, certificate=certificate(job), by=job.opened_by)
    return job


def test_while_it_holds_nothing_is_said(job):
    assert (lapsed_words(job), lapsed_words(job, LAST)) == ([], [])


def test_the_day_after_its_last_it_is_said_which_and_since_when(job):
    assert lapsed_words(job, LATER) == [
        "State and City not charged, by exempt organisation, certificate 12-7, "
        "which ran out on 31\u00a0December\u00a02099. "
        "What is changed or billed from now on stays without it. "
        "Ask for a new certificate, or your adviser what is due."
    ]


def test_another_that_holds_then_and_covers_the_tax_speaks_for_it(job):
    certificate(job, number="13-1", taxes=["State"], valid_until=None)
    assert [words[:8] for words in lapsed_words(job, LATER)] == ["City not"]


def test_a_contract_with_its_taxes_has_nothing_to_say():
    job = accepted_job(number="0502")
    certificate(job, valid_until=date(2020, 2, 1))
    assert lapsed_words(job) == []


def test_where_the_place_has_moved_that_is_said(job):
    Certificate.objects.update(region="Ohio")
    Property.objects.update(region="Kentucky")
    assert "which does not hold for work at this place" in lapsed_words(Job.objects.with_place().get())[0]


def ran_out() -> None:
    Certificate.objects.update(valid_until=timezone.localdate() - timedelta(days=1))


def test_the_draft_of_a_bill_and_its_issuing_say_so(job):
    draft_invoice(job=job, by=job.opened_by)
    ran_out()
    office = Client()
    office.force_login(job.opened_by)
    for page in ("money/bill/", "money/bill/issue/"):
        assert "which ran out on" in office.get(f"/folders/{job.number}/{page}").content.decode(), page


def test_a_change_says_so_before_it_is_issued():
    job = agreed_job()
    exempt_contract(job=job, certificate=certificate(job), by=job.opened_by)
    row = drafted(job, amount="10.00", amount_for="A second wash")
    ran_out()
    office = Client()
    office.force_login(OwnerFactory())
    for page in ("", "issue/"):
        assert "which ran out on" in office.get(f"/folders/0417/changes/{row.pk}/{page}").content.decode(), page
