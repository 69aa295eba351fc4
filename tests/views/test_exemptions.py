"""The page on which tax is taken off a contract, and where it is offered."""

from __future__ import annotations

import pytest
from django.test import Client

from quoting.models import Certificate, Exemption, Firm, Job, TaxRule
from quoting.services.exemptions import exempt_contract
from quoting.services.invoices import draft_invoice
from tests.factories import CrewFactory
from tests.sample_contract import accepted_job
from tests.services.test_exemptions import certificate

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/money/exemption/"


@pytest.fixture
def job() -> Job:
    return accepted_job()


@pytest.fixture
def office(client: Client, job: Job) -> Client:
    client.force_login(job.opened_by)
    return client


@pytest.fixture
def held(job: Job) -> Certificate:
    return certificate(job.property.customer, job.opened_by)


def test_tax_is_taken_off_by_a_press_once(office, held):
    shown = office.get(PAGE)
    assert "Exempt organisation, certificate 12-7" in shown.text
    assert shown.context["rows"][0]["taxes"] == [("State", "\u22126.91"), ("City", "\u22128.94")]
    told = office.post(PAGE, {"certificate": str(held.pk)}, follow=True)
    assert "The tax is taken off: exempt organisation, certificate 12-7." in told.text
    assert (office.post(PAGE, {"certificate": str(held.pk)}).status_code, Exemption.objects.count()) == (422, 1)


@pytest.mark.parametrize("page", ["/folders/0417/money/", "/folders/0417/money/bill/"])
def test_it_is_offered_where_the_job_is_billed_until_it_is_confirmed(office, job, held, page):
    draft_invoice(job=job, by=job.opened_by)
    assert PAGE in office.get(page).text
    exempt_contract(job=job, certificate=held, by=job.opened_by)
    assert PAGE not in office.get(page).text


def test_without_a_certificate_that_holds_the_page_says_so(office):
    assert "No certificate of this customer holds today" in office.get(PAGE).text


def test_the_money_page_tells_of_the_tax_that_was_taken_off(office, job, held):
    exempt_contract(job=job, certificate=held, by=job.opened_by)
    figures = {row["words"]: row["figure"] for row in office.get("/folders/0417/money/").context["figures"]}
    assert (figures["Changed"], figures["Contract sum now"]) == ("\u221215.85", "650.00")


def test_the_form_of_a_certificate_offers_the_taxes_that_are_charged(office, job):
    page = f"/people/{job.property.customer_id}/certificates/"
    assert "Takes off" not in office.get(page).text
    TaxRule.objects.create(firm=Firm.objects.get(), name="State", rate="0.06")
    assert "Takes off" in office.get(page).text


def test_a_certificate_that_was_used_is_not_taken_away(office, job, held):
    exempt_contract(job=job, certificate=held, by=job.opened_by)
    page = f"/people/{job.property.customer_id}/certificates/{held.pk}/remove/"
    assert "its file is the proof" in office.post(page, follow=True).text


def test_the_crew_takes_no_tax_off(client, job):
    client.force_login(CrewFactory())
    assert client.get(PAGE).status_code in (403, 404)
