"""The pages of the hand-over: the office's, and the homeowner's with the sign-off."""

from __future__ import annotations

import re

import pytest
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains, assertRedirects

from quoting.models import HandOver, Message, Paper, PrivateLink, SlabRecord
from quoting.services.hand_over import begin_hand_over, issue_hand_over
from quoting.services.links import make_link
from quoting.services.photos import add_photo
from tests.factories import CrewFactory, OwnerFactory
from tests.sample_contract import accepted_job
from tests.views.test_photos import jpeg

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/hand-over/"


@pytest.fixture
def row(client) -> HandOver:
    """A draft, and its owner signed in."""
    owner = OwnerFactory()
    client.force_login(owner)
    return begin_hand_over(job=accepted_job(by=owner), by=owner)


@pytest.fixture
def paper(row) -> Paper:
    """The sheet of that draft, issued."""
    return issue_hand_over(row=row, version=row.version, by=row.begun_by)


def typed(**more: object) -> dict[str, object]:
    return {
        "version": 1, "finished_on": "2026-06-10", "walk_hours": 24, "furniture_hours": 48, "park_hours": 72,
        "walked": ["dry", "colour"], "note": "", "care": "Keep it clean.", "seal_0": "acrylic", "before_0": "",
        "exposures_0": ["pool"], "seal_1": "paver", "before_1": "1",
    } | more  # fmt: skip


def test_the_hand_over_is_begun_from_its_page(client):
    owner = OwnerFactory()
    client.force_login(owner)
    accepted_job(by=owner)
    assertContains(client.get(PAGE), "Begin the hand-over")
    assertRedirects(client.post(f"{PAGE}begin/"), PAGE)
    assert HandOver.objects.count() == 1


def test_a_folder_without_an_agreement_says_so(client):
    owner = OwnerFactory()
    client.force_login(owner)
    job = accepted_job(by=owner)
    job.papers.get().proposal.__class__.objects.update(state="withdrawn")
    assertContains(client.post(f"{PAGE}begin/", follow=True), "Nothing is agreed in folder 0417 yet.")


def test_what_is_typed_is_kept(client, row):
    assertRedirects(client.post(PAGE, typed()), PAGE)
    row.refresh_from_db()
    assert row.walked == ["dry", "colour"]
    assert row.slabs == [
        {"area": "Pool deck", "seal": "acrylic", "exposures": ["pool"], "coats_before": None},
        {"area": "Front walk", "seal": "paver", "exposures": [], "coats_before": 1},
    ]


def test_a_coat_cannot_lie_ahead(client, row):
    answer = client.post(PAGE, typed(finished_on="2999-01-01"))
    assertContains(answer, "That day has not come yet.", status_code=422)
    assertContains(answer, 'value="2999-01-01"', status_code=422)


def test_two_hands_are_shown_both(client, row):
    client.post(PAGE, typed())
    answer = client.post(PAGE, typed(care="Other words."))
    assertContains(answer, "Other words.", status_code=409)


def test_the_sheet_is_seen_as_a_draft_and_issued(client, row):
    assert client.get(f"{PAGE}preview.pdf").content.startswith(b"%PDF")
    answer = client.post(f"{PAGE}issue/", {"version": 1}, follow=True)
    assertContains(answer, "H-0001 is issued.")
    assert SlabRecord.objects.count() == 2
    assertRedirects(client.get("/papers/H-0001/"), PAGE)
    assert client.get("/papers/H-0001.pdf").content.startswith(b"%PDF")


def test_a_second_click_finds_the_same_sheet(client, row, paper):
    assertContains(client.post(f"{PAGE}issue/", {"version": 1}, follow=True), "H-0001 is issued already.")
    assert Paper.objects.filter(kind="hand-over").count() == 1


def test_the_folder_shows_what_lies_on_the_slab(client, row, paper):
    assertContains(client.get("/folders/0417/"), "Sheet H-0001, not signed yet")


def test_it_is_mailed(client, row, paper):
    page = client.get(f"{PAGE}send/")
    first = page.context["form"].initial
    assertRedirects(client.post(f"{PAGE}send/", first | {"to": "priya@example.com"}), PAGE)
    assert Message.objects.get(kind="hand-over").paper_id == paper.pk


def test_a_signed_sheet_is_noted(client, row, paper):
    client.post(f"{PAGE}signed/", {"name": "Priya Wexley", "on": timezone.localdate().isoformat()})
    assertContains(client.get(PAGE), "Signed by Priya Wexley")


def test_the_crew_does_not_come_here(client, row, paper):
    client.force_login(CrewFactory())
    for page in (PAGE, f"{PAGE}send/", f"{PAGE}signed/", f"{PAGE}preview.pdf"):
        assert client.get(page).status_code == 403


def test_the_homeowner_reads_and_signs(client, row, paper):
    _link, address = make_link(paper, row.begun_by)
    client.logout()
    page = client.get("/p/" + address.partition("/p/")[2])
    assertRedirects(page, "/your/H-0001/")
    assertContains(client.get("/your/H-0001/"), "Sign the hand-over")
    assertContains(client.post("/your/H-0001/sign-off/", {"name": "Priya Wexley"}), "This field", status_code=422)
    answer = client.post("/your/H-0001/sign-off/", {"name": "Priya Wexley", "seen": "on"}, follow=True)
    assertContains(answer, "on the private page. Thank you.")
    assertNotContains(answer, "Sign the hand-over")
    assert HandOver.objects.get().signed_name == "Priya Wexley"


def test_the_homeowner_sees_before_beside_after(client, row):
    for of, colour in (("before", "green"), ("after", "red")):
        add_photo(job=row.job, by=row.begun_by, content=jpeg(colour), of=of)
    sheet = issue_hand_over(row=row, version=row.version, by=row.begun_by)
    _link, address = make_link(sheet, row.begun_by)
    client.logout()
    client.get("/p/" + address.partition("/p/")[2])
    page = client.get("/your/H-0001/").content.decode()
    assert "Before and after" in page
    pictures = re.findall(r'<img src="(/your/H-0001/[^"]+)" alt="([^"]+)"', page)
    assert [alt for _src, alt in pictures] == [
        "the whole property before the work",
        "the whole property after the work",
    ]
    assert [client.get(src)["Content-Type"] for src, _alt in pictures] == ["image/jpeg", "image/jpeg"]


def test_a_sheet_without_photographs_says_nothing_of_them(client, row, paper):
    _link, address = make_link(paper, row.begun_by)
    client.get("/p/" + address.partition("/p/")[2])
    assertNotContains(client.get("/your/H-0001/"), "Before and after")


def test_nobody_signs_without_the_link(client, row, paper):
    client.logout()
    assert client.post("/your/H-0001/sign-off/", {"name": "x", "seen": "on"}).status_code == 404
    assert PrivateLink.objects.count() == 0
