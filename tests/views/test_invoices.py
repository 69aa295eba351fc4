"""The pages of a bill: its draft, issuing it once, its page, taking it back, mailing it, and the homeowner's page."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from quoting.models import Firm, Invoice, Message, Paper
from quoting.services.books import balances_of
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.links import make_link
from quoting.services.payments import enter_payment
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db(transaction=True)
D = Decimal


@pytest.fixture
def job():
    return accepted_job()


@pytest.fixture
def office(client, job):
    client.force_login(job.opened_by)
    return client


@pytest.fixture
def bill(job):
    draft = draft_invoice(job=job, by=job.opened_by)
    return issue_invoice(invoice=draft, version=1, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7").invoice


def typed(draft: Invoice, **more: str) -> dict[str, str]:
    told = {"kind": draft.kind, "amount": f"{draft.amount}", "event": draft.event, "version": str(draft.version)}
    first = {f"initial-{name}": told[name] for name in ("kind", "amount", "event")}
    return (
        told
        | first
        | {"done": "", "due_on": f"{draft.due_on}", "words": "", "initial-due_on": f"{draft.due_on}"}
        | more
    )


def test_the_next_bill_is_drafted_changed_and_issued(office, job):
    assert office.post(reverse("bill-begin", args=["0417"])).url == reverse("bill-draft", args=["0417"])
    draft = Invoice.objects.get()
    office.post(reverse("bill-draft", args=["0417"]), typed(draft, amount="100.00"))
    draft.refresh_from_db()
    assert draft.amount == D("100.00")
    asked = office.get(reverse("bill-issue", args=["0417"]))
    assert "Issue the bill over 100.00?" in asked.text
    sent = {"draft": draft.pk, "version": draft.version, "to": "priya@example.com"}
    answer = office.post(reverse("bill-issue", args=["0417"]), sent)
    paper = Paper.objects.get(kind="invoice")
    assert (answer.url, Message.objects.get().to) == (reverse("bill", args=[paper.number]), "priya@example.com")
    again = office.post(reverse("bill-issue", args=["0417"]), sent, follow=True)
    assert (f"{paper.number} is issued already" in again.text, Paper.objects.filter(kind="invoice").count()) == (
        True,
        1,
    )


def test_a_sum_that_can_not_be_billed_is_said_beside_the_field(office, job):
    draft = draft_invoice(job=job, by=job.opened_by)
    page = office.post(reverse("bill-draft", args=["0417"]), typed(draft, amount="500.00"))
    assert (page.status_code, "The deposit agreed is 166.46" in page.text) == (422, True)


def test_two_who_change_a_draft_see_what_differs(office, job):
    draft = draft_invoice(job=job, by=job.opened_by)
    first = typed(draft, amount="120.00")
    keep_invoice(invoice=draft, version=1, amount=D("110.00"))
    page = office.post(reverse("bill-draft", args=["0417"]), first)
    assert (page.status_code, Invoice.objects.get().amount) == (409, D("110.00"))
    assert "110.00" in page.text


def test_a_draft_is_thrown_away_after_it_was_asked(office, job):
    draft = draft_invoice(job=job, by=job.opened_by)
    assert "Throw this draft away?" in office.get(reverse("bill-discard", args=["0417"])).text
    office.post(reverse("bill-discard", args=["0417"]), {"version": draft.version})
    assert Invoice.objects.count() == 0


def test_a_get_changes_nothing(office, job, bill):
    before = (Invoice.objects.count(), Paper.objects.count(), Message.objects.count())
    for name in ("bill", "bill-credit"):
        assert office.get(reverse(name, args=[str(bill)])).status_code == 200
    assert office.get(reverse("bill-begin", args=["0417"])).status_code == 405
    assert (Invoice.objects.count(), Paper.objects.count(), Message.objects.count()) == before


def test_a_part_is_taken_back_from_its_page(office, bill):
    page = reverse("bill-credit", args=[str(bill)])
    told = {"amount": "66.46", "left": "166.46", "reason": "The steps were left out.", "to": ""}
    answer = office.post(page, told)
    note = Paper.objects.get(kind="credit-note")
    assert answer.url == reverse("bill", args=[note.number])
    again = office.post(page, told, follow=True)
    assert "was credited meanwhile" in again.text
    assert Paper.objects.filter(kind="credit-note").count() == 1


def test_more_than_is_left_is_not_taken_back(office, bill):
    told = {"amount": "166.47", "left": "166.46", "reason": "x", "to": ""}
    page = office.post(reverse("bill-credit", args=[str(bill)]), told)
    assert (page.status_code, "Only 166.46 of it is not credited yet" in page.text) == (422, True)


def test_a_bill_is_mailed_once_a_click(office, bill):
    told = {"to": "priya@example.com", "once": "0" * 32}
    for _ in range(2):
        office.post(reverse("bill-send", args=[str(bill)]), told)
    assert Message.objects.count() == 1


def test_a_paper_about_money_leads_to_its_page(office, bill):
    assert office.get(reverse("paper", args=[str(bill)])).url == reverse("bill", args=[str(bill)])


def test_the_homeowner_s_page_says_what_is_due_and_how_to_pay(client, job):
    Firm.objects.update(pay_to="Larkmere Bank\nAccount 00-4417", pay_link="https://pay.ferrow.example.com/")
    draft = draft_invoice(job=job, by=job.opened_by)
    paper = issue_invoice(invoice=draft, version=1, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    _link, address = make_link(paper, None)
    page = client.get(address[address.index("/p/") :], follow=True)
    assert page.redirect_chain[-1][0] == reverse("your-paper", args=[paper.number])
    for said in ("166.46 USD is due", "Account 00-4417", "https://pay.ferrow.example.com/", paper.number, 'class="qr"'):
        assert said in page.text
    assert page["Cache-Control"] == "no-store"
    enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("166.46"), by=job.opened_by, once="a")
    assert "Nothing is due on it" in client.get(reverse("your-paper", args=[paper.number])).text
    assert client.get(reverse("your-pdf", args=[paper.number])).content == b"%PDF-1.7"


def test_without_the_link_nobody_reads_a_bill(client, bill):
    assert client.get(reverse("your-paper", args=[str(bill)])).status_code == 404


def test_the_page_of_a_bill_says_what_is_paid_on_it(office, job, bill):
    enter_payment(job=job, on=date(2026, 6, 5), method="check", amount=D("100.00"), by=job.opened_by, once="a")
    page = office.get(reverse("bill", args=[str(bill)]))
    assert (page.context["paid"], page.context["due"], page.context["state"]) == (D("100.00"), D("66.46"), "issued")
    assert balances_of(job).due.amount == 6646
