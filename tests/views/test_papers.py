"""Issued papers in the browser: their page, their bytes, the list of a folder."""

import pytest
from django.test import Client

from quoting.models import Paper, Proposal, User
from quoting.services.issue import issue_proposal
from quoting.services.proposals import revise
from tests.factories import CrewFactory, OwnerFactory
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db

WHY = {"because": "They want the drive in it too."}


@pytest.fixture
def ines() -> User:
    return OwnerFactory(email="ines@example.com")


@pytest.fixture
def paper(ines) -> Paper:
    draft = ready_draft(ines)
    return issue_proposal(proposal=draft, version=draft.version, by=ines)


@pytest.fixture
def office(client: Client, ines: User, paper: Paper) -> Client:
    client.force_login(ines)
    return client


def test_the_page_shows_state_contents_and_fingerprint(office, paper):
    page = office.get("/papers/0417-A/").content.decode()
    words = ("issued", "18 Alder Row", "Recolour and seal", "Front walk", "657.18", paper.pdf_sha256)
    assert [word for word in words if word not in page] == []


def test_the_page_leads_to_earlier_and_later_revisions(office, paper, ines):
    again = revise(proposal=paper.proposal, by=ines)
    issue_proposal(proposal=again, version=again.version, by=ines)
    assert 'href="/papers/0417-B/"' in office.get("/papers/0417-A/").content.decode()
    assert 'href="/papers/0417-A/"' in office.get("/papers/0417-B/").content.decode()


def test_the_bytes_are_those_that_were_issued(office, paper):
    answer = office.get("/papers/0417-A.pdf")
    assert answer.content == bytes(Paper.objects.get(pk=paper.pk).pdf)


def test_the_bytes_are_kept_by_no_cache_and_run_nothing(office):
    answer = office.get("/papers/0417-A.pdf")
    names = (
        "Content-Type",
        "Content-Disposition",
        "X-Content-Type-Options",
        "Cache-Control",
        "Content-Security-Policy",
    )
    assert [answer[name] for name in names] == [
        "application/pdf",
        'attachment; filename="proposal-0417-A.pdf"',
        "nosniff",
        "private, no-store",
        "sandbox; default-src 'none'",
    ]


@pytest.mark.parametrize("path", ["papers/0417-B/", "papers/0417-B.pdf", "papers/9999-A/", "papers/0417-AAAA/"])
def test_a_paper_that_was_never_issued_is_not_found(office, path):
    assert office.get(f"/{path}").status_code == 404


@pytest.mark.parametrize(
    "path", ["papers/0417-A/", "papers/0417-A.pdf", "papers/0417-A/withdraw/", "folders/0417/papers/"]
)
def test_the_crew_gets_no_paper_in_any_form(client, paper, path):
    client.force_login(CrewFactory())
    assert client.get(f"/{path}").status_code == 403


@pytest.mark.parametrize("path", ["papers/0417-A/", "papers/0417-A.pdf", "folders/0417/papers/"])
def test_a_stranger_is_led_to_the_door(client, paper, path):
    assert client.get(f"/{path}")["Location"].startswith("/sign-in/")


def test_a_revision_is_begun_by_a_post_only(office):
    assert office.get("/papers/0417-A/revise/").status_code == 405
    assert office.post("/papers/0417-A/revise/")["Location"] == "/folders/0417/proposal/"
    assert Proposal.objects.being_drafted().count() == 1


def test_withdrawing_is_asked_once(office, paper):
    assert "Take the proposal back?" in office.get("/papers/0417-A/withdraw/").content.decode()
    assert Proposal.objects.get(paper=paper).state == "issued"


def test_withdrawing_asks_why(office, paper):
    version = Proposal.objects.get(paper=paper).version
    assert office.post("/papers/0417-A/withdraw/", {"version": version}).status_code == 422
    assert Proposal.objects.get(paper=paper).state == "issued"


def test_a_withdrawn_proposal_says_so(office, paper):
    version = Proposal.objects.get(paper=paper).version
    assert office.post("/papers/0417-A/withdraw/", WHY | {"version": version})["Location"] == "/papers/0417-A/"
    page = office.get("/papers/0417-A/").content.decode()
    assert "withdrawn" in page
    assert WHY["because"] in page


def test_withdrawing_twice_is_told(office, paper):
    version = Proposal.objects.get(paper=paper).version
    office.post("/papers/0417-A/withdraw/", WHY | {"version": version})
    answer = office.post("/papers/0417-A/withdraw/", WHY | {"version": version + 1}, follow=True)
    assert "0417-A is withdrawn, so there is nothing to withdraw." in answer.content.decode()


def test_the_list_holds_every_paper_of_the_folder(office, paper, ines, django_assert_num_queries):
    office.get("/folders/0417/papers/")
    with django_assert_num_queries(QUERIES):
        office.get("/folders/0417/papers/")
    for _ in range(2):
        again = revise(proposal=paper.proposal, by=ines)
        issue_proposal(proposal=again, version=again.version, by=ines)
    with django_assert_num_queries(QUERIES):
        page = office.get("/folders/0417/papers/").content.decode()
    assert [f'href="/papers/0417-{letter}/"' in page for letter in "ABC"] == [True] * 3


QUERIES = 5
