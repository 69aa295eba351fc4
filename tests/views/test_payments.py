"""The pages of a payment: entering it, giving it back, that it bounced, its receipt."""

from decimal import Decimal

import pytest
from django.urls import reverse

from quoting.forms.payments import card_number
from quoting.models import Payment
from quoting.services.books import balances_of
from quoting.services.invoices import draft_invoice, issue_invoice
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db
D = Decimal
TYPED = {
    "on": "2026-06-05",
    "amount": "200.00",
    "method": "check",
    "reference": "No. 1042",
    "once": "0" * 32,
    "spread": "oldest",
}


@pytest.fixture
def job():
    job = accepted_job()
    draft = draft_invoice(job=job, by=job.opened_by)
    issue_invoice(invoice=draft, version=1, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    return job


@pytest.fixture
def office(client, job):
    client.force_login(job.opened_by)
    return client


def enter(office, **more):
    return office.post(reverse("payment-enter", args=["0417"]), TYPED | more)


def test_a_payment_is_entered_once_and_leads_to_its_page(office, job):
    answers = {enter(office).url for _ in range(2)}
    row = Payment.objects.get()
    assert answers == {reverse("payment", args=["0417", row.pk])}
    page = office.get(answers.pop())
    assert (page.context["left"], [sum_ for _bill, sum_ in page.context["on_bills"]]) == (D("33.54"), [D("166.46")])


def test_what_is_due_is_typed_in_already(office):
    assert 'value="166.46"' in office.get(reverse("payment-enter", args=["0417"])).text


def test_a_payment_is_put_on_bills_as_typed(office, job):
    number = balances_of(job).invoices[0].number
    enter(office, spread="chosen", **{f"on_{number}": "50.00"})
    assert balances_of(job).invoice(number).due == 11646


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"on": "2099-01-01"}, "That day has not come yet"),
        ({"amount": "0"}, "more than 0"),
        ({"amount": "1e3"}, "amount"),
        ({"reference": "4111 1111 1111 1111"}, "looks like the number of a card"),
    ],
)
def test_what_can_not_be_is_said(office, more, sentence):
    page = enter(office, **more)
    assert (page.status_code, sentence in page.text, Payment.objects.count()) == (422, True, 0)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("4111 1111 1111 1111", True),  # the test number that card schemes publish
        ("5500-0000-0000-0004", True),
        ("4111 1111 1111 1112", False),  # its last digit is wrong
        ("No. 1042 of 2026-06-05", False),
    ],
)
def test_numbers_of_cards_are_known_by_their_check_digit(text, found):
    assert card_number(text) is found


def test_it_is_given_back_once_from_its_page(office, job):
    enter(office)
    row = Payment.objects.get()
    page = reverse("payment-refund", args=["0417", row.pk])
    told = {
        "on": "2026-06-06",
        "amount": "33.54",
        "method": "check",
        "reference": "",
        "reason": "Paid over.",
        "once": "1" * 32,
    }
    answers = [office.post(page, told) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert (Payment.objects.filter(kind="refund").count(), balances_of(job).credit.amount) == (1, 0)
    refused = office.post(page, told | {"once": "2" * 32})
    assert refused.status_code == 422


def test_it_bounced_is_asked_once(office, job):
    enter(office)
    row = Payment.objects.get()
    page = reverse("payment-bounced", args=["0417", row.pk])
    assert "Reverse the payment of 200.00?" in office.get(page).text
    office.post(page, {"on": "2026-06-08", "reason": "No funds.", "once": "3" * 32})
    assert (balances_of(job).due.amount, Payment.objects.filter(kind="bounced").count()) == (16646, 1)


def test_another_folder_s_payment_is_not_found(office, job):
    enter(office)
    accepted_job(number="0500", by=job.opened_by)
    assert office.get(reverse("payment", args=["0500", Payment.objects.get().pk])).status_code == 404
