"""Statements and reminders in the browser's eyes."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from quoting.models import Firm, Invoice, Message
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.statements import issue_statement
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
    page = f"/people/{bill.job.property.customer_id}/statements/"
    address = f"/people/{bill.job.property.customer_id}/statement.pdf"
    assert f'href="{page}"' in office.get("/money/owed/").text
    assert f'href="{address}"' in office.get(page).text
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


def test_a_statement_is_issued_once_whatever_is_clicked_twice_and_stands_in_the_list(office, bill):
    page = f"/people/{bill.job.property.customer_id}/statements/"
    once = office.get(page).context["form"].initial["once"]
    for _click in range(2):
        told = office.post(page, {"to": "wexley@example.com", "once": once}, follow=True)
    assert "Statement S-0001 is issued and kept. It waits to be mailed to wexley@example.com." in told.text
    assert [(row["paper"].number, row["total"]) for row in told.context["rows"]] == [("S-0001", "166.46")]
    assert (office.get("/papers/S-0001.pdf").content[:5], Message.objects.count()) == (b"%PDF-", 1)
    assert office.get("/papers/S-0001/").url == page


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_statements_costs_the_same_however_many_there_are(office, bill, count, django_assert_num_queries):
    for place in range(count):
        issue_statement(
            customer=bill.job.property.customer, by=bill.drafted_by, once=str(place), press=lambda f, t: b"%PDF-1.7"
        )
    # session, person, customer, firm; entries, bills, bills with their places, entries beside the bills, certificates;
    # statements and their mails
    with django_assert_num_queries(10):
        office.get(f"/people/{bill.job.property.customer_id}/statements/")


def test_interest_is_looked_at_with_its_rule_and_billed_by_a_press(office, bill):
    page = f"/bills/{bill}/interest/"
    assert (office.get(page).url, page in office.get(f"/bills/{bill}/").text) == (f"/bills/{bill}/", False)
    Firm.objects.update(late_rule="simple", late_rate=Decimal("0.18"))
    assert page in office.get(f"/bills/{bill}/").text
    shown = office.get(page)
    # 166.46 × 0.18 × 10 ÷ 365 = 0.8209
    assert "Bill 0.82 of interest" in shown.text
    assert "sum × rate × days ÷ 365" in shown.text
    told = office.post(page, {"total": "0.82", "to": ""}, follow=True)
    assert "is issued over the interest" in told.text
    assert Invoice.objects.get(kind="interest").amount == Decimal("0.82")
    assert page not in office.get(f"/bills/{bill}/").text


def test_the_crew_sees_neither_statements_nor_interest(client, bill):
    client.force_login(CrewFactory())
    pages = (f"/people/{bill.job.property.customer_id}/statements/", f"/bills/{bill}/interest/")
    assert [client.get(page).status_code for page in pages] == [403, 403]
