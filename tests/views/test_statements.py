"""Statements and reminders in the browser's eyes."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from quoting.models import Invoice, Message
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from tests.factories import CrewFactory
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def bill() -> Invoice:
    job = accepted_job(property__customer__email="wexley@example.com")
    draft = draft_invoice(job=job, by=job.opened_by)
    draft = keep_invoice(invoice=draft, version=draft.version, due_on=timezone.localdate() - timedelta(days=10))
    issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)
    return Invoice.objects.with_paper().get()


@pytest.fixture
def office(client: Client, bill: Invoice) -> Client:
    client.force_login(bill.drafted_by)
    return client


def test_the_statement_is_downloaded_from_what_is_owed(office, bill):
    address = f"/people/{bill.job.property.customer_id}/statement.pdf"
    assert f'href="{address}"' in office.get("/money/owed/").text
    answer = office.get(address)
    assert (answer["Content-Type"], answer["Cache-Control"], answer.content[:5]) == (
        "application/pdf", "private, no-store", b"%PDF-",
    )  # fmt: skip


def test_an_overdue_bill_leads_to_a_reminder(office, bill):
    assert f'href="/bills/{bill}/remind/"' in office.get(f"/bills/{bill}/").text
    page = office.get(f"/bills/{bill}/remind/").text
    assert ("wexley@example.com" in page, "Nothing is sent by itself." in page) == (True, True)
    assert Message.objects.count() == 0


def test_sending_the_reminder_puts_one_mail_into_the_outbox(office, bill):
    form = office.get(f"/bills/{bill}/remind/").context["form"]
    typed = {name: form[name].value() for name in ("to", "subject", "words", "once")}
    for _click in range(2):
        assert office.post(f"/bills/{bill}/remind/", typed).status_code == 302
    assert list(Message.objects.values_list("kind", "to")) == [("reminder", "wexley@example.com")]


def test_a_reminder_without_the_link_is_refused(office, bill):
    form = office.get(f"/bills/{bill}/remind/").context["form"]
    typed = {name: form[name].value() for name in ("to", "subject", "once")} | {"words": "Pay."}
    assert office.post(f"/bills/{bill}/remind/", typed).status_code == 422
    assert Message.objects.count() == 0


def test_the_crew_is_shown_neither(client, bill):
    client.force_login(CrewFactory())
    addresses = (f"/bills/{bill}/remind/", f"/people/{bill.job.property.customer_id}/statement.pdf")
    assert [client.get(address).status_code for address in addresses] == [403, 403]
