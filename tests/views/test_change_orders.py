"""Change orders on pages: drafted in a minute, kept by one of two, issued once, read and answered by the homeowner."""

import re

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from quoting.models import ChangeOrder, Edition, Job, Message, Paper
from tests.factories import AreaFactory, CrewFactory
from tests.sample_change import agreed_job, drafted, ines, issued, with_walk, yes
from tests.views.sent import sent_from
from tests.views.test_homeowner import at, token_path

pytestmark = pytest.mark.django_db(transaction=True)
State = ChangeOrder.State


@pytest.fixture
def job() -> Job:
    return agreed_job()


@pytest.fixture
def office(client: Client, job: Job) -> Client:
    client.force_login(ines())
    return client


def page_of(name: str, row: ChangeOrder, *more: int) -> str:
    return reverse(name, args=[row.job.number, row.pk, *more])


def system(key: str = "clean-sand-seal") -> str:
    return str(Edition.objects.get(state="published").systems.get(key=key).pk)


def walk(job: Job) -> str:
    return str(job.areas.get(name="Front walk").pk)


def test_in_a_minute(office, job):
    asked = {"areas": [walk(job)], "system": system(), "reason": "asked", "count": "3"}
    page = office.post(reverse("change-add", args=["0417"]), asked, follow=True)
    row = ChangeOrder.objects.get()
    assert (row.title, row.state, row.added.get().system.key) == ("Front walk too", "drafted", "clean-sand-seal")
    assert [
        word for word in ("335.00", "650.00", "315.00", "2,383.67", "Masonry cleaner") if word not in page.text
    ] == []


def test_the_area_that_is_not_agreed_is_ticked_first(office, job):
    assert sent_from(office.get(reverse("change-add", args=["0417"])))["areas"] == walk(job)


def test_a_system_without_an_area_is_asked_about(office, job):
    page = office.post(reverse("change-add", args=["0417"]), {"system": system(), "reason": "asked"})
    assert (page.status_code, "Choose at least one area" in page.text) == (422, True)
    assert not ChangeOrder.objects.exists()


def test_what_comes_off_a_sum_and_days_are_kept(office, job):
    row = drafted(job, "Less")
    sheet = page_of("change", row)
    told = sent_from(office.get(sheet)) | {
        "out_areas": ["Steps"],
        "amount": "-20",
        "amount_for": "Rebate",
        "days": "-1",
    }
    assert office.post(sheet, told).status_code == 302
    row.refresh_from_db()
    assert (row.out_areas, row.amount, row.days, row.version) == (["Steps"], -20, -1, 2)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"amount": "1e3"}, "id_amount_error"),
        ({"amount": "12.345"}, "two places"),
        ({"amount": "12"}, "Say what the sum is for"),
        ({"days": "4000"}, "id_days_error"),
    ],
)
def test_what_can_not_be_read_is_said_beside_it(office, job, typed, said):
    row = drafted(job)
    sheet = page_of("change", row)
    page = office.post(sheet, sent_from(office.get(sheet)) | typed)
    assert (page.status_code, said in page.text) == (422, True)


def test_two_hands(office, job):
    row = drafted(job)
    sheet = page_of("change", row)
    told = sent_from(office.get(sheet))
    office.post(sheet, told | {"title": "Theirs"})
    page = office.post(sheet, told | {"title": "Mine"})
    row.refresh_from_db()
    assert (page.status_code, row.title, "Theirs" in page.text, "Mine" in page.text) == (409, "Theirs", True, True)


def test_it_is_issued_once_and_mailed(office, job):
    row = with_walk(drafted(job))
    told = sent_from(office.get(page_of("change-issue", row)))
    assert told["to"] == "priya.wexley@example.com"
    for _click in range(2):
        page = office.post(page_of("change-issue", row), told, follow=True)
    assert "0417-C1" in page.text
    mail = Message.objects.get(kind="change-order")
    assert ("343.23 USD" in mail.text, mail.with_link, Paper.objects.filter(kind="change-order").count()) == (
        True,
        True,
        1,
    )


def test_the_paper_leads_to_its_page_and_downloads(office, job):
    paper = issued(with_walk(drafted(job)))
    row = ChangeOrder.objects.get()
    assert office.get(reverse("paper", args=[paper.number])).url == page_of("change", row)
    assert office.get(reverse("paper-pdf", args=[paper.number])).content == bytes(paper.pdf)
    assert office.get(page_of("change-preview", row)).status_code == 302


def test_it_is_previewed_as_a_draft(office, job):
    page = office.get(page_of("change-preview", with_walk(drafted(job))))
    assert (page["Content-Type"], Paper.objects.filter(kind="change-order").exists()) == ("application/pdf", False)


def test_it_is_sent_again_and_taken_back(office, job):
    issued(with_walk(drafted(job)))
    row = ChangeOrder.objects.get()
    office.post(page_of("change-send", row), sent_from(office.get(page_of("change-send", row))))
    assert Message.objects.filter(kind="change-order").count() == 1
    told = sent_from(office.get(page_of("change-withdraw", row)))
    office.post(page_of("change-withdraw", row), told | {"because": "Wrong area"})
    row.refresh_from_db()
    assert (row.state, row.withdrawn_because) == (State.WITHDRAWN, "Wrong area")


def test_work_is_added_taken_off_and_the_draft_thrown_away(office, job):
    row = drafted(job)
    told = sent_from(office.get(page_of("change-work", row))) | {"areas": [walk(job)], "system": system()}
    office.post(page_of("change-work", row), told)
    work = row.added.get()
    row.refresh_from_db()
    office.post(page_of("change-work-remove", row, work.pk), {"version": row.version})
    assert not row.added.exists()
    office.post(page_of("change-discard", row), sent_from(office.get(page_of("change-discard", row))))
    assert not ChangeOrder.objects.exists()


def test_the_folder_shows_what_is_agreed(office, job):
    yes(issued(with_walk(drafted(job))))
    page = office.get(reverse("folder", args=["0417"])).text
    words = ("Contract sum", "2,040.44", "343.23", "2,383.67", "0417-C1", "Change something", "Days of work")
    assert [word for word in words if word not in page] == []


@pytest.mark.parametrize("count", [1, 3])
def test_the_sheet_costs_the_same_whatever_is_added(office, job, count, django_assert_num_queries):
    row = drafted(job)
    for place in range(count):
        AreaFactory(job=job, name=f"Pad {place}", position=9 + place)
        row = with_walk(row, areas=("Front walk",))
    office.get(page_of("change", row))
    # session, person, change order, edition of today, firm; the yes and its scopes, changes accepted, for the contract
    # and for the work; the edition, its charges a visit; work added with areas and parts; systems, steps, tasks,
    # materials, packs, coverages; tax rules, charges; work shown with its areas; what is billed; taxes taken off
    with django_assert_num_queries(37):
        office.get(page_of("change", row))


class TestTheHomeowner:
    """By the private link, in two steps."""

    def step_one(self, phone: Client, paper: Paper) -> HttpResponse:
        told = {"o": 1, "pdf": paper.pdf_sha256}
        review = phone.post(at("your-review", paper), told)
        page = phone.get(review["Location"]).text
        assert [word for word in ("2,383.67", "343.23", "Front walk too") if word not in page] == []
        there = phone.post(at("your-consent", paper), told | {"agree": "on", "pages": paper.pages})["Location"]
        return phone.get(there)

    def test_reads_why_and_says_yes(self, job):
        paper = issued(with_walk(drafted(job, "Front walk too")))
        phone = Client()
        page = phone.get(token_path(paper), follow=True).text
        words = ("A change to what we agreed", "335.00", "650.00", "Contract sum after it", "2,383.67", "Take care")
        assert [word for word in words if word not in page] == []
        signing = self.step_one(phone, paper).text
        told = {"review": re.search(r'name="review" value="([^"]+)"', signing)[1], "pdf": paper.pdf_sha256}
        done = phone.post(at("your-sign", paper), told | {"name": "Priya Wexley"}, follow=True).text
        assert ("What was agreed" in done, ChangeOrder.objects.get().state) == (True, State.ACCEPTED)

    def test_says_no(self, job):
        paper = issued(with_walk(drafted(job)))
        phone = Client()
        phone.get(token_path(paper))
        phone.post(at("your-decline", paper), {"reason": "price", "words": ""})
        page = phone.get(at("your-paper", paper)).text
        assert ("You said no" in page, ChangeOrder.objects.get().state) == (True, State.DECLINED)

    def test_reads_that_it_has_changed(self, job):
        paper, other = issued(with_walk(drafted(job))), issued(drafted(job, "Rain", days=1))
        yes(other)
        phone = Client()
        page = phone.get(token_path(paper), follow=True).text
        assert "This has changed, read it again" in page
        assert "What we agreed has changed since" in page


class TestTheCrew:
    """Packs of what is accepted, and no money."""

    @pytest.fixture
    def crew(self, client: Client, job: Job) -> Client:
        client.force_login(CrewFactory())
        return client

    def test_reads_the_packs_of_an_accepted_one_without_prices(self, crew, job):
        yes(issued(with_walk(drafted(job))))
        page = crew.get(page_of("change-load", ChangeOrder.objects.get()))
        assert (page.status_code, re.findall(r"\d\.\d\d", page.text)) == (200, [])
        assert "Packs before and after" in page.text

    def test_reads_nothing_of_one_that_is_not_accepted(self, crew, job):
        issued(with_walk(drafted(job)))
        row = ChangeOrder.objects.get()
        pages = (
            "change-load",
            "change",
            "change-issue",
            "change-preview",
            "change-send",
            "change-withdraw",
            "change-work",
        )
        assert {crew.get(page_of(name, row)).status_code for name in pages} == {403}
