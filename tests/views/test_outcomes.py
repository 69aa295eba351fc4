"""The list of proposals, the figures, and the reasons."""

import pytest
from pytest_django.asserts import assertContains, assertNotContains

from quoting.models import Proposal
from quoting.views import outcomes
from tests.factories import CrewFactory, FirmFactory, IssuedProposalFactory, JobFactory, OwnerFactory, ProposalFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(client):
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def numbers(page) -> list[str]:
    return [proposal.job.number for proposal in page.context["proposals"]]


def test_proposals_stand_the_newest_first_with_drafts(ines):
    issued = IssuedProposalFactory()
    draft = ProposalFactory()
    page = ines.get("/proposals/")
    assert numbers(page) == [draft.job.number, issued.job.number]
    assertContains(page, f'href="/folders/{draft.job.number}/proposal/"')
    assertContains(page, f'href="/papers/{issued.paper.number}/"')


def test_a_state_narrows_the_list(ines):
    IssuedProposalFactory()
    lost = IssuedProposalFactory(state="declined", lost_reason="price")
    page = ines.get("/proposals/?state=declined")
    assert numbers(page) == [lost.job.number]
    assertContains(page, "the price")
    assert len(numbers(ines.get("/proposals/?state=nonsense"))) == 2


@pytest.mark.parametrize("words", ["alder", "Wexley 18", "0417", "0417-a", "larkmere"])
def test_a_search_looks_at_numbers_places_and_names(ines, words):
    IssuedProposalFactory(job__number="0417", paper__number="0417-A")
    other = JobFactory(
        number="0500", property__street="9 Mill Street", property__town="Upton", property__customer__name="X"
    )
    IssuedProposalFactory(job=other)
    assert numbers(ines.get("/proposals/", {"q": words})) == ["0417"]


def test_nothing_found_says_where_it_looked(ines):
    assertContains(ines.get("/proposals/", {"q": "zz\0z"}), "No proposal fits.")


def test_leaves_turn_by_key(ines, monkeypatch):
    monkeypatch.setattr(outcomes, "LEAF", 2)
    made = [IssuedProposalFactory().job.number for _ in range(5)][::-1]
    first = ines.get("/proposals/?state=issued")
    second = ines.get("/proposals/" + first.context["older_url"])
    third = ines.get("/proposals/" + second.context["older_url"])
    assert [numbers(page) for page in (first, second, third)] == [made[:2], made[2:4], made[4:]]
    assert "state=issued" in first.context["older_url"]
    assert numbers(ines.get("/proposals/" + third.context["newer_url"])) == made[2:4]
    assert (first.context["newer_url"], third.context["older_url"]) == ("", "")


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_asks_as_often_whatever_it_holds(ines, rows, django_assert_num_queries):
    for _ in range(rows):
        IssuedProposalFactory()
    with django_assert_num_queries(4):  # session, user, proposals, firm
        ines.get("/proposals/")


def test_figures_of_nothing_say_what_will_be_counted(ines):
    assertContains(ines.get("/proposals/figures/"), "Nothing to count yet")


def test_figures_are_drawn_and_in_a_table(ines):
    for state, reason in (("accepted", ""), ("declined", "price"), ("declined", ""), ("expired", "price")):
        IssuedProposalFactory(state=state, lost_reason=reason)
    page = ines.get("/proposals/figures/?span=all")
    # 1 won of 4 decided: 25 %
    assertContains(page, "25\u00a0%")
    assertContains(page, "Jun\u00a02026: 1 of 4.")
    assert page.context["reasons"] == [("the price", 2), ("nobody said", 1)]
    assertContains(page, "<script", count=page.content.decode().count("<script src="))


def test_a_yes_taken_back_is_named_in_the_figures(ines):
    IssuedProposalFactory(state="accepted")
    IssuedProposalFactory(state="taken back")
    page = ines.get("/proposals/figures/?span=all")
    assertContains(page, "1 lost (1 taken back by the customer)")
    assert page.context["reasons"] == [("a yes taken back, nobody said why", 1)]


def test_a_yes_taken_back_is_a_state_of_its_own_in_the_lists(ines):
    job = IssuedProposalFactory(state="taken back", paper__number="0417-A").job
    for address in ("/proposals/?state=taken+back", "/folders/?state=taken+back", "/people/?state=taken+back"):
        page = ines.get(address)
        assertContains(page, '<span class="state ended">taken back</span>')
        assertContains(page, '<option value="taken back" selected>taken back by the customer</option>')
    assertContains(ines.get(f"/folders/{job.number}/"), '<span class="state ended">taken back</span>')


@pytest.mark.parametrize("span", ["12", "24", "all", "nonsense"])
def test_every_span_can_be_shown(ines, span):
    IssuedProposalFactory()
    assert ines.get("/proposals/figures/", {"span": span}).status_code == 200


@pytest.mark.parametrize("rows", [1, 3])
def test_the_figures_ask_as_often_whatever_they_count(ines, rows, django_assert_num_queries):
    for _ in range(rows):
        IssuedProposalFactory(state="declined")
    with django_assert_num_queries(7):  # session, user, proposals, mails, events, noes, firm
        ines.get("/proposals/figures/?span=all")


def test_a_no_on_the_telephone_is_asked_for_its_reason(ines):
    proposal = IssuedProposalFactory(paper__number="0417-A")
    assertContains(ines.get("/papers/0417-A/lost/"), "Note that they declined")
    ines.post("/papers/0417-A/lost/", {"version": 1, "reason": "other-firm", "words": "Rang on Friday."})
    proposal.refresh_from_db()
    assert (proposal.state, proposal.lost_reason, proposal.lost_words) == ("declined", "other-firm", "Rang on Friday.")
    assertContains(ines.get("/papers/0417-A/"), "Lost: chose another firm. Rang on Friday.")


def test_without_a_reason_nothing_is_noted(ines):
    IssuedProposalFactory(paper__number="0417-A")
    assert ines.post("/papers/0417-A/lost/", {"version": 1}).status_code == 422
    assert Proposal.objects.get().state == "issued"


def test_the_second_of_two_is_told(ines):
    IssuedProposalFactory(paper__number="0417-A", version=2)
    page = ines.post("/papers/0417-A/lost/", {"version": 1, "reason": "price"}, follow=True)
    assertContains(page, "Its state changed meanwhile.")


def test_what_was_accepted_is_not_lost(ines):
    IssuedProposalFactory(paper__number="0417-A", state="accepted")
    assertContains(ines.get("/papers/0417-A/lost/", follow=True), "0417-A is accepted, so there is no reason to note.")


@pytest.mark.parametrize("path", ["/proposals/", "/proposals/figures/", "/papers/0417-A/lost/"])
def test_the_crew_sees_none_of_it(client, path):
    IssuedProposalFactory(paper__number="0417-A")
    client.force_login(CrewFactory())
    assert client.get(path).status_code == 403
    assertNotContains(client.get("/folders/"), "Proposals")
