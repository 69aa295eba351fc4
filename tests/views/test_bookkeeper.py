"""The bookkeeper's page and files, and a bill for machines, in the browser's eyes."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from quoting.documents.ubl import ubl_of
from quoting.models import Firm, Paper
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.payments import enter_payment
from tests.factories import CrewFactory
from tests.open_rules import broken_rules
from tests.sample_bill import agreed, bill_facts
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def bill() -> Paper:
    job = accepted_job(property__region="Ohio")
    Firm.objects.update(registration="Ohio vendor 55-0101")
    draft = draft_invoice(job=job, by=job.opened_by)
    return issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)


@pytest.fixture
def office(client: Client, bill: Paper) -> Client:
    client.force_login(bill.issued_by)
    return client


def test_the_page_shows_this_month_first(office, bill):
    page = office.get("/money/bookkeeper/").text
    words = (bill.number, "Ohio, City", "Ohio, State", "exempt", "166.46")
    assert [word for word in words if word not in page] == []


def test_another_period_is_empty(office, bill):
    page = office.get("/money/bookkeeper/?since=2020-01-01&until=2020-12-31").text
    assert ("Nothing was billed on these days." in page, bill.number in page) == (True, False)


def test_days_that_end_before_they_begin_are_refused(office):
    answer = office.get("/money/bookkeeper/?since=2026-02-01&until=2026-01-01")
    assert (answer.status_code, "The last day is before the first." in answer.text) == (422, True)


@pytest.mark.parametrize("what", ["tax", "sales", "payments", "deposits"])
def test_each_table_is_a_file(office, what):
    day = timezone.localdate()
    answer = office.get(f"/money/bookkeeper/{what}.csv?since={day}&until={day}")
    assert (answer.status_code, answer["Content-Type"], answer["X-Content-Type-Options"], answer["Cache-Control"]) == (
        200, "text/csv; charset=utf-8", "nosniff", "private, no-store",
    )  # fmt: skip


@pytest.mark.parametrize("address", ["wages.csv?since=2026-01-01&until=2026-01-31", "tax.csv", "tax.csv?since=x"])
def test_a_file_that_is_none_is_not_found(office, address):
    assert office.get(f"/money/bookkeeper/{address}").status_code == 404


def test_an_issued_bill_is_valid_by_the_published_rules(office, bill):
    answer = office.get(f"/bills/{bill.number}.xml")
    assert broken_rules(answer.content) == []
    assert (answer["Content-Type"], answer["Content-Disposition"], answer["X-Content-Type-Options"]) == (
        "application/xml; charset=utf-8", f'attachment; filename="invoice-{bill.number}.xml"', "nosniff",
    )  # fmt: skip


def test_it_stays_the_same_when_the_firm_changes_its_name(office, bill):
    first = office.get(f"/bills/{bill.number}.xml").content
    Firm.objects.update(name="Another", registration="")
    assert office.get(f"/bills/{bill.number}.xml").content == first
    assert first != ubl_of(bill_facts(agreed([("Deck", "1.00")], [])))


def test_a_firm_without_a_registration_is_told_on_the_bills_page(office, bill):
    Firm.objects.update(registration="", licence="")
    job = bill.job
    draft = draft_invoice(job=job, by=job.opened_by)
    paper = issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)
    answer = office.get(f"/bills/{paper.number}.xml", follow=True)
    assert "neither registration nor licence" in answer.text


@pytest.mark.parametrize("address", ["/money/bookkeeper/", "/money/bookkeeper/tax.csv", "/bills/2026-001.xml"])
def test_the_crew_is_shown_none_of_it(client, bill, address):
    client.force_login(CrewFactory())
    assert client.get(address).status_code == 403


def test_the_number_of_queries_does_not_grow(office, bill, django_assert_num_queries):
    enter_payment(
        job=bill.job, on=timezone.localdate(), method="check", amount=Decimal("166.46"), by=bill.issued_by, once="one"
    )
    for bills in (1, 3):
        while Paper.objects.filter(kind="invoice").count() < bills:
            draft = draft_invoice(job=bill.job, by=bill.issued_by)
            issue_invoice(invoice=draft, version=draft.version, by=bill.issued_by)
        with django_assert_num_queries(8):
            office.get("/money/bookkeeper/")
