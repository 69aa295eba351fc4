"""The homeowner's page against haste and mischief: the back button, two browsers, old pages, other people's steps."""

import re

import pytest
from django.test import Client

from quoting.models import Acceptance, Answer, Paper, PrivateLink, Proposal
from quoting.services.links import revoke_link
from tests.sample_answer import issued_paper, revised
from tests.views.test_homeowner import at, choice, sign, step_one, token_path

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def paper() -> Paper:
    return issued_paper()


def browser(paper: Paper) -> Client:
    """Another telephone or computer, with a link of its own."""
    client = Client()
    client.get(token_path(paper))
    return client


def review_of(client: Client, paper: Paper) -> str:
    """What the second step carries, after the first was made here."""
    page = client.get(step_one(client, paper)).content.decode()
    return re.search(r'name="review" value="([^"]+)"', page)[1]


def yes(client: Client, paper: Paper, review: str, name: str = "Priya Wexley"):
    return client.post(at("your-sign", paper), {"review": review, "pdf": paper.pdf_sha256, "name": name})


def shown(client: Client, paper: Paper) -> str:
    return client.get(at("your-paper", paper)).content.decode()


def test_the_back_button_after_a_yes_leads_to_what_was_agreed(paper):
    phone = browser(paper)
    second = step_one(phone, paper)
    sign(phone, paper)
    for page in (second, f"{at('your-review', paper)}?o=2&x=1"):
        assert phone.get(page)["Location"] == at("your-paper", paper)
        assert phone.get(page)["Cache-Control"] == "no-store"  # so that going back asks the server
    assert "What was agreed" in shown(phone, paper)


def test_old_pages_after_a_yes_change_nothing(paper):
    phone = browser(paper)
    review = review_of(phone, paper)
    yes(phone, paper, review)
    before = Acceptance.objects.values().get()
    phone.post(at("your-review", paper), choice(paper))
    phone.post(at("your-consent", paper), choice(paper, agree="on", pages=paper.pages))
    phone.post(at("your-decline", paper), {"reason": "price", "words": ""})
    yes(phone, paper, review, name="Somebody Else")
    assert (Acceptance.objects.values().get(), Answer.objects.count()) == (before, 0)
    assert Proposal.objects.get().state == "accepted"


def test_two_browsers_that_both_sign_have_one_receipt(paper):
    kitchen, office = browser(paper), browser(paper)
    first, second = review_of(kitchen, paper), review_of(office, paper)
    yes(kitchen, paper, first)
    yes(office, paper, second, name="Tom Wexley")
    assert Acceptance.objects.get().typed_name == "Priya Wexley"
    assert "signed Priya Wexley" in shown(office, paper)


def test_a_no_in_one_browser_stops_the_yes_in_the_other(paper):
    kitchen, office = browser(paper), browser(paper)
    review = review_of(office, paper)
    kitchen.post(at("your-decline", paper), {"reason": "price", "words": ""})
    answer = yes(office, paper, review)
    assert answer["Location"] == at("your-paper", paper)
    page = shown(office, paper)
    assert "0417-A is declined. Nothing was changed." in page
    assert "You said no" in page
    assert not Acceptance.objects.exists()


def test_a_no_that_is_clicked_twice_is_one(paper):
    phone = browser(paper)
    for _ in range(2):
        phone.post(at("your-decline", paper), {"reason": "price", "words": ""})
    assert Answer.objects.count() == 1


def test_the_first_step_of_another_browser_is_not_a_second_step_here(paper):
    kitchen, office = browser(paper), browser(paper)
    review = review_of(kitchen, paper)
    yes(office, paper, review)
    assert "Look it over once more before you sign. Nothing was accepted yet." in shown(office, paper)
    assert not Acceptance.objects.exists()


@pytest.mark.parametrize("change", [lambda text: text[:-2] + "xx", lambda text: "", lambda text: text[::-1]])
def test_a_first_step_that_was_tampered_with_is_none(paper, change):
    phone = browser(paper)
    yes(phone, paper, change(review_of(phone, paper)))
    assert not Acceptance.objects.exists()


def test_a_revision_issued_between_reading_and_signing_stops_every_step(paper):
    phone = browser(paper)
    review = review_of(phone, paper)
    revised(paper)
    for act in (
        lambda: phone.post(at("your-review", paper), choice(paper)),
        lambda: phone.post(at("your-consent", paper), choice(paper, agree="on", pages=paper.pages)),
        lambda: yes(phone, paper, review),
        lambda: phone.post(at("your-decline", paper), {"reason": "price", "words": ""}),
    ):
        assert act()["Location"] == at("your-paper", paper)
        assert "This has changed, read it again" in shown(phone, paper)
    assert (Acceptance.objects.count(), Answer.objects.count()) == (0, 0)


def test_a_link_taken_back_while_the_page_is_open_takes_no_answer(paper):
    phone = browser(paper)
    review = review_of(phone, paper)
    revoke_link(PrivateLink.objects.get())
    for answer in (
        yes(phone, paper, review),
        phone.post(at("your-decline", paper), {"reason": "price", "words": ""}),
        phone.post(at("your-question", paper), {"asked": "Still there?"}),
    ):
        assert answer.status_code == 404
    assert (Acceptance.objects.count(), Answer.objects.count()) == (0, 0)


def test_a_yes_taken_back_twice_is_taken_back_once_and_cannot_be_given_again():
    paper = issued_paper(cooling_off=True)
    phone = browser(paper)
    review = review_of(phone, paper)
    yes(phone, paper, review)
    for _ in range(2):
        phone.post(at("your-cancel", paper))
    yes(phone, paper, review)
    assert (Answer.objects.count(), Proposal.objects.get().state) == (1, "taken back")
    page = shown(phone, paper)
    assert "You took your yes back" in page
    assert '<span class="state ended">taken back</span>' in page


def test_the_total_is_said_to_who_cannot_see_it_and_only_when_it_changed(paper):
    phone = browser(paper)
    assert '<p class="vh" id="sum-said" role="status"></p>' in shown(phone, paper)
    part = phone.get(f"{at('your-paper', paper)}?o=2&x=1", headers={"hx-request": "true"}).content.decode()
    # 1,995.00 and tax 45.44
    assert (
        '<p id="sum-said" hx-swap-oob="innerHTML">$2,040.44 for Recolour and seal, Grit in the last coat, with tax.'
        in part
    )


def test_the_state_is_in_words_that_a_homeowner_knows(paper):
    assert "waits for your answer</span>" in shown(browser(paper), paper)
