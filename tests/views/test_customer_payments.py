"""The page of a payment over all bills of a customer, and the pages of its parts."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from quoting.models import Job, Payment
from quoting.services.invoices import draft_invoice, issue_invoice
from tests.factories import CustomerFactory
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db
TYPED = {"on": "2026-06-05", "amount": "200.00", "method": "check", "once": "0" * 32, "spread": "oldest"}


def billed(number: str, **place: object) -> Job:
    """A folder whose deposit of 166.46 is billed."""
    job = accepted_job(number=number, **place)
    row = draft_invoice(job=job, by=job.opened_by)
    issue_invoice(invoice=row, version=row.version, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    return job


@pytest.fixture
def job() -> Job:
    job = billed("0501")
    billed("0502", by=job.opened_by, property__customer=job.property.customer, property__street="2 Mill Lane")
    return job


@pytest.fixture
def office(client: Client, job: Job) -> Client:
    client.force_login(job.opened_by)
    return client


@pytest.fixture
def address(job: Job) -> str:
    return reverse("customer-payment", args=[job.property.customer_id])


def test_it_asks_for_all_that_is_due_and_names_the_place_of_each_bill(office, address):
    form = office.get(address).context["form"]
    assert form.initial["amount"] == Decimal("332.92")
    labels = [field.label for field in form.on_bills]
    assert [label.split(", ")[1:] for label in labels] == [
        ["18 Alder Row", "due 166.46"],
        ["2 Mill Lane", "due 166.46"],
    ]


def test_it_is_entered_once_and_each_part_leads_to_the_others(office, address):
    answers = {office.post(address, TYPED).url for _ in range(2)}
    first, second = Payment.objects.order_by("pk")
    assert answers == {reverse("payment", args=["0501", first.pk])}
    page = office.get(reverse("payment", args=["0502", second.pk])).content.decode()
    assert "Part of one payment of 200.00" in page
    assert answers.pop() in page


def test_the_receipt_of_one_part_is_that_of_all(office, address):
    office.post(address, TYPED)
    first, second = Payment.objects.order_by("pk")
    office.post(reverse("payment-receipt", args=["0502", second.pk]))
    pages = [office.get(reverse("payment", args=[row.job.number, row.pk])) for row in (first, second)]
    assert len({page.context["receipt"].paper.number for page in pages}) == 1


def test_it_bounces_whole_and_says_over_how_much_it_asks(office, address):
    office.post(address, TYPED)
    second = Payment.objects.order_by("pk").last()
    ask = reverse("payment-bounced", args=["0502", second.pk])
    assert "Reverse the payment of 200.00?" in office.get(ask).content.decode()
    office.post(ask, {"on": "2026-06-06", "once": "1" * 32})
    assert sorted(Payment.objects.filter(kind="bounced").values_list("amount", flat=True)) == [3354, 16646]


def test_more_than_came_in_is_refused_beside_the_sum(office, address, job):
    number = job.papers.get(kind="invoice").number
    page = office.post(address, TYPED | {"amount": "10.00", "spread": "chosen", f"on_{number}": "11.00"})
    assert (page.status_code, Payment.objects.count()) == (422, 0)
    assert page.context["form"].errors.keys() == {"amount"}


def test_where_nothing_is_due_it_says_where_to_go(office):
    who = CustomerFactory(name="Nobody Owes")
    page = office.get(reverse("customer-payment", args=[who.pk])).content.decode()
    assert "Nothing is due from Nobody Owes." in page


def test_statements_lead_to_it(office, address, job):
    assert address in office.get(reverse("statements", args=[job.property.customer_id])).content.decode()
