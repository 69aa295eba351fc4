"""Money's pages: all bills, what is owed, a job's money on one page; for owner and office only."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from quoting.models import Invoice, Job, User
from quoting.services.credit_notes import credit_invoice
from quoting.services.invoices import draft_invoice, issue_invoice, keep_invoice
from quoting.services.payments import enter_payment
from tests.factories import CrewFactory, FirmFactory, JobFactory, OwnerFactory
from tests.sample_contract import accepted_job

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def by() -> User:
    FirmFactory()
    return OwnerFactory()


@pytest.fixture
def office(client, by):
    client.force_login(by)
    return client


def billed(job: Job, by: User, *, late: int = 0) -> Invoice:
    """The next bill of a job, due so many days ago."""
    draft = draft_invoice(job=job, by=by)
    draft = keep_invoice(invoice=draft, version=1, due_on=timezone.localdate() - timedelta(days=late))
    return issue_invoice(invoice=draft, version=2, by=by, press=lambda facts, at: b"%PDF-1.7").invoice


def paid(job: Job, by: User, amount: str, once: str = "a") -> None:
    enter_payment(job=job, on=timezone.localdate(), method="check", amount=D(amount), by=by, once=once)


def states(page) -> list[str]:
    return [row.state for row in page.context["rows"]]


def test_without_bills_the_page_says_what_to_do(office):
    assert "A bill is drafted in a folder" in office.get(reverse("money")).text


def test_each_bill_stands_with_its_state(office, by):
    job = accepted_job(by=by)
    billed(job, by, late=3)
    paid(job, by, "166.46")
    billed(job, by, late=3)
    draft_invoice(job=job, by=by)
    page = office.get(reverse("money"))
    assert states(page) == ["drafted", "overdue", "paid"]
    assert (page.context["owed"], page.context["late"]) == (D("332.93"), D("332.93"))


@pytest.mark.parametrize(
    ("state", "found"),
    [
        ("open", ["overdue"]),
        ("overdue", ["overdue"]),
        ("paid", ["paid"]),
        ("drafted", ["drafted"]),
        ("credit", ["issued"]),
    ],
)
def test_bills_are_filtered_by_state(office, by, state, found):
    job = accepted_job(by=by)
    first = billed(job, by, late=3)
    paid(job, by, "166.46")
    second = billed(job, by, late=3)
    told = {"reason": "A slip.", "by": by, "press": lambda facts, at: b"%PDF-1.7"}
    credit_invoice(invoice=second, amount=D("1.00"), left=D("332.93"), **told)
    draft_invoice(job=job, by=by)
    assert first.kind == "deposit"
    assert states(office.get(reverse("money"), {"state": state})) == found


def test_bills_are_searched_and_paged_by_key(office, by, monkeypatch):
    monkeypatch.setattr("quoting.views.books.LEAF", 2)
    numbers = [str(billed(accepted_job(number=f"05{n:02}", by=by), by)) for n in range(3)]
    first = office.get(reverse("money"))
    assert [str(row.invoice) for row in first.context["rows"]] == [numbers[2], numbers[1]]
    older = office.get(reverse("money") + first.context["older_url"])
    assert [str(row.invoice) for row in older.context["rows"]] == [numbers[0]]
    newer = office.get(reverse("money") + older.context["newer_url"])
    assert [str(row.invoice) for row in newer.context["rows"]] == [numbers[2], numbers[1]]
    assert len(office.get(reverse("money"), {"q": "0501"}).context["rows"]) == 1


def test_what_is_owed_is_aged_by_customer_and_in_all(office, by):
    billed(accepted_job(number="0501", by=by), by, late=0)
    billed(accepted_job(number="0502", by=by), by, late=45)
    page = office.get(reverse("money-owed"))
    assert (page.context["cells"], page.context["total"]) == (["166.46", "", "166.46", "", ""], "332.92")
    assert "31 to 60 days: 166.46" in page.context["drawn"]["wide"].desc


def test_a_job_s_money_is_on_one_page_and_opens(office, by):
    job = accepted_job(by=by)
    billed(job, by)
    paid(job, by, "200.00")
    page = office.get(reverse("job-money", args=["0417"]))
    assert [(row["words"], row["figure"]) for row in page.context["figures"]] == [
        ("Agreed", "665.85"),
        ("Changed", "0.00"),
        ("Contract sum now", "665.85"),
        ("Billed", "166.46"),
        ("Paid", "200.00"),
        ("Due", "0.00"),
        ("Deposits held", "166.46"),
        ("Credit", "33.54"),
        ("Cost estimated", "290.55"),
    ]
    for row in page.context["figures"]:
        assert row["words"] == "Changed" or row["lines"][-1][:2] == ("=", row["figure"])


def test_a_job_without_a_contract_says_what_is_missing(office, by):
    JobFactory(number="0999")
    assert "Nothing is agreed here yet" in office.get(reverse("job-money", args=["0999"])).text


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_six_queries_whatever_is_in_it(office, by, count, django_assert_num_queries):
    for n in range(count):
        billed(accepted_job(number=f"05{n:02}", by=by), by)
    # session, person, the books, what bills are due, the leaf, firm
    with django_assert_num_queries(6):
        office.get(reverse("money"))


def test_the_folder_says_what_was_billed(office, by):
    job = accepted_job(by=by)
    assert "Nothing billed." in office.get(reverse("folder", args=["0417"])).text
    billed(job, by)
    paid(job, by, "100.00")
    told = office.get(reverse("folder", args=["0417"])).context["billed"]
    assert (told["billed"], told["paid"], told["due"], told["held"]) == ("166.46", "100.00", "66.46", "100.00")


def test_the_crew_sees_no_money(client, by):
    job = accepted_job(by=by)
    bill = billed(job, by)
    client.force_login(CrewFactory())
    of_job = [reverse(name, args=["0417"]) for name in ("job-money", "bill-draft", "payment-enter")]
    of_bill = [reverse(name, args=[str(bill)]) for name in ("bill", "paper-pdf")]
    pages = [reverse("money"), reverse("money-owed"), *of_job, *of_bill]
    assert {client.get(page).status_code for page in pages} == {403}
    assert "166.46" not in client.get(reverse("folder", args=["0417"])).text
