"""The draft's page, its preview, and issuing from the browser."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from quoting.models import Area, Option, Paper, Proposal, User
from tests.factories import CrewFactory, OwnerFactory
from tests.reading_pdf import text_of
from tests.sample_offer import offer_option, ready_draft

pytestmark = pytest.mark.django_db

PAGE = "/folders/0417/proposal/"


@pytest.fixture
def ines() -> User:
    return OwnerFactory(email="ines@example.com")


@pytest.fixture
def draft(ines) -> Proposal:
    return ready_draft(ines)


@pytest.fixture
def office(client: Client, ines: User, draft: Proposal) -> Client:
    client.force_login(ines)
    return client


def pk_of(name: str) -> int:
    return Option.objects.get(name=name).pk


def typed(draft: Proposal, **more: object) -> dict[str, object]:
    """The draft's form as it comes from the page: both options, both extras."""
    data = {
        "version": draft.version,
        "title": draft.title,
        "in_short": draft.in_short,
        "valid_until": draft.valid_until.isoformat(),
        f"option_{pk_of('Wash and reseal')}": "1",
        f"option_{pk_of('Recolour and seal')}": "2",
        f"option_{pk_of('Grit in the last coat')}": "on",
        f"option_{pk_of('Front walk')}": "on",
    }
    return {name: value for name, value in (data | more).items() if value is not None}


def test_a_draft_is_begun_by_a_post_only(office, draft):
    draft.delete()
    assert "Nothing is being drafted" in office.get(PAGE).content.decode()
    assert Proposal.objects.count() == 0
    assert office.post(f"{PAGE}begin/")["Location"] == PAGE
    assert Proposal.objects.get().state == "drafted"


def test_the_page_shows_what_is_offered_and_what_it_costs(office):
    page = office.get(PAGE).content.decode()
    assert all(words in page for words in ("Wash and reseal", "Front walk", "Issue 0417-A", "See the paper as a draft"))


def test_the_page_leads_to_what_is_missing(office):
    area = Area.objects.get(name="Steps")
    area.parts.all().delete()
    page = office.get(PAGE).content.decode()
    assert "Two things are missing" in page
    assert "Issue 0417-A" not in page


def test_what_is_typed_is_kept_in_the_order_chosen(office, draft):
    first, second = f"option_{pk_of('Recolour and seal')}", f"option_{pk_of('Wash and reseal')}"
    answer = office.post(PAGE, typed(draft, title="for their deck", **{first: "1", second: "2"}))
    draft.refresh_from_db()
    assert (answer.status_code, answer["Location"], draft.title) == (302, PAGE, "for their deck")
    assert [row.option.name for row in draft.offered.all()][:2] == ["Recolour and seal", "Wash and reseal"]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"valid_until": "2020-01-01"}, "That day is past."),
        ({"valid_until": "soon"}, "Enter a valid date."),
        ({"valid_until": "2999-01-01"}, "more than a year away"),
    ],
)
def test_a_wrong_day_is_said_beside_it_and_what_was_typed_is_kept(office, draft, more, sentence):
    answer = office.post(PAGE, typed(draft, title="for their deck", **more))
    page = answer.content.decode()
    assert (answer.status_code, sentence in page, "for their deck" in page) == (422, True, True)


def test_two_options_can_not_have_one_place(office, draft):
    answer = office.post(PAGE, typed(draft, **{f"option_{pk_of('Recolour and seal')}": "1"}))
    assert "“Wash and reseal” has this place already." in answer.content.decode()


def test_an_extra_without_its_option_is_asked_about(office, draft):
    answer = office.post(PAGE, typed(draft, **{f"option_{pk_of('Recolour and seal')}": ""}))
    assert "It goes with an option that is not offered." in answer.content.decode()


def test_a_draft_offers_at_least_one_option(office, draft):
    nothing = {name: None for name in typed(draft) if name.startswith("option_")}
    assert "Offer at least one option." in office.post(PAGE, typed(draft, **nothing)).content.decode()


def test_the_second_of_two_hands_sees_both_versions(office, draft):
    office.post(PAGE, typed(draft, title="theirs"))
    answer = office.post(PAGE, typed(draft, title="mine", **{"initial-title": draft.title}))
    draft.refresh_from_db()
    page = answer.content.decode()
    assert (answer.status_code, draft.title) == (409, "theirs")
    assert "theirs" in page
    assert "mine" in page


def test_the_preview_is_a_pdf_that_no_cache_keeps(office):
    answer = office.get(f"{PAGE}preview.pdf")
    assert (answer["Content-Type"], answer["Cache-Control"], answer["X-Content-Type-Options"]) == (
        "application/pdf",
        "private, no-store",
        "nosniff",
    )
    assert answer["Content-Disposition"] == 'attachment; filename="draft-0417-A.pdf"'
    assert "This is a draft to look at." in text_of(answer.content)


def test_a_preview_of_what_lacks_something_leads_to_the_list(office):
    Area.objects.get(name="Steps").parts.all().delete()
    assert office.get(f"{PAGE}preview.pdf")["Location"] == f"{PAGE}#before"


def test_throwing_away_is_asked_once_with_its_consequence(office, draft):
    assert "/folders/0417/proposal/discard/" in office.get(PAGE).content.decode()
    page = office.get(f"{PAGE}discard/").content.decode()
    assert "the options themselves stay in the folder" in page
    assert Proposal.objects.count() == 1
    answer = office.post(f"{PAGE}discard/", {"version": draft.version})
    assert (answer["Location"], Proposal.objects.count()) == ("/folders/0417/", 0)
    assert "The draft of the proposal was thrown away." in office.get("/folders/0417/").content.decode()


def test_a_second_click_on_throwing_away_does_nothing(office, draft):
    for _ in range(2):
        assert office.post(f"{PAGE}discard/", {"version": draft.version}).status_code == 302
    assert Proposal.objects.count() == 0


@pytest.mark.parametrize("version", ["", "x", "99"])
def test_an_old_page_throws_nothing_away(office, draft, version):
    assert office.post(f"{PAGE}discard/", {"version": version})["Location"] == PAGE
    assert Proposal.objects.count() == 1


def test_issuing_is_asked_once_with_its_consequence(office):
    page = office.get(f"{PAGE}issue/").content.decode()
    assert "frozen and never change" in page
    assert Paper.objects.count() == 0


def test_issuing_leads_to_the_paper(office, draft):
    assert office.post(f"{PAGE}issue/", {"version": draft.version})["Location"] == "/papers/0417-A/"
    assert Paper.objects.get().number == "0417-A"


def test_a_double_click_leads_to_the_same_paper(office, draft):
    where = [office.post(f"{PAGE}issue/", {"version": draft.version})["Location"] for _ in range(2)]
    assert (where, Paper.objects.count()) == (["/papers/0417-A/"] * 2, 1)


def test_an_old_page_does_not_issue_a_newer_draft(office, draft):
    Proposal.objects.filter(pk=draft.pk).update(version=5)
    answer = office.post(f"{PAGE}issue/", {"version": draft.version})
    assert (answer["Location"], Paper.objects.count()) == (PAGE, 0)


@pytest.mark.parametrize("version", ["", "x", "9" * 40])
def test_a_version_that_is_none_issues_nothing(office, version):
    assert office.post(f"{PAGE}issue/", {"version": version})["Location"] == PAGE
    assert Paper.objects.count() == 0


@pytest.mark.parametrize("path", ["", "preview.pdf", "issue/", "discard/"])
def test_the_crew_gets_none_of_it(client, draft, path):
    client.force_login(CrewFactory())
    assert client.get(f"{PAGE}{path}").status_code == 403


def test_a_day_within_a_year_is_taken(office, draft):
    until = timezone.localdate() + timedelta(days=300)
    assert office.post(PAGE, typed(draft, valid_until=until.isoformat())).status_code == 302


def test_the_page_costs_the_same_number_of_queries_with_more_extras(office, draft, ines, django_assert_num_queries):
    office.get(PAGE)
    with django_assert_num_queries(QUERIES):
        office.get(PAGE)
    offer_option(
        draft.job,
        ines,
        "grit-last-coat",
        ["Pool deck"],
        with_option=Option.objects.get(name="Wash and reseal"),
        name="Grit 2",
    )
    with django_assert_num_queries(QUERIES):
        office.get(PAGE)


QUERIES = 37
