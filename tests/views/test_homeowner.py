"""The homeowner's pages: a link becomes a cookie for one paper, GET changes nothing, and two steps lead to a yes."""

import base64
import io
import re

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from quoting.models import Acceptance, Answer, Attempts, Event, Paper, PrivateLink, Proposal, Question
from quoting.services.accounts import LIMITS
from quoting.services.findings import keep_findings
from quoting.services.issue import issue_proposal
from quoting.services.links import make_link, revoke_link
from tests.factories import OwnerFactory, PaperFactory
from tests.sample_answer import issued_paper, revised
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def paper() -> Paper:
    return issued_paper()


@pytest.fixture
def phone(paper: Paper) -> Client:
    """A browser that came by the private link."""
    client = Client()
    client.get(token_path(paper))
    return client


def token_path(paper: Paper) -> str:
    _, address = make_link(paper, None)
    return address.partition("8000")[2] or address.partition("//")[2].partition("/")[1] + address.split("/", 3)[3]


def at(name: str, paper: Paper) -> str:
    return reverse(name, args=[paper.number])


def everything() -> tuple[object, ...]:
    """What a GET must leave as it is."""
    return (
        list(PrivateLink.objects.order_by("pk").values_list("opened_at", "reviewed_at", "revoked_at")),
        list(Proposal.objects.order_by("pk").values_list("state", "version")),
        Event.objects.count(),
        Question.objects.count(),
        Acceptance.objects.count(),
        Answer.objects.count(),
        Attempts.objects.count(),
    )


def choice(paper: Paper, **more: object) -> dict[str, object]:
    return {"o": 2, "x": [1], "pdf": paper.pdf_sha256, **more}


def step_one(phone: Client, paper: Paper) -> str:
    """Through the first step; the address of the second."""
    phone.post(at("your-review", paper), choice(paper))
    return phone.post(at("your-consent", paper), choice(paper, agree="on", pages=paper.pages))["Location"]


def sign(phone: Client, paper: Paper, **more: object):
    page = phone.get(step_one(phone, paper))
    review = re.search(r'name="review" value="([^"]+)"', page.content.decode())[1]
    return phone.post(
        at("your-sign", paper), {"review": review, "pdf": paper.pdf_sha256, "name": "Priya Wexley", **more}
    )


def test_what_a_test_tells_is_read_at_once_and_what_was_only_noted_is_folded():
    ines = OwnerFactory()
    draft = ready_draft(ines)
    deck = draft.job.areas.get(name="Pool deck")
    keep_findings(job=draft.job, by=ines, kind="tape", areas=[deck], answers={"result": "clean"})
    keep_findings(job=draft.job, by=ines, kind="film", areas=[deck], answers={"look": "worn"})
    paper = issue_proposal(proposal=draft, version=draft.version, by=ines)
    client = Client()
    client.get(token_path(paper))
    open_table, folded = client.get(at("your-paper", paper)).content.decode().split("What else we noted", 1)
    assert 'Tape takes nothing off<small class="note-under">What is on the slab holds.</small>' in open_table
    assert "The film is dull, or worn through in lanes" not in open_table
    assert "The film is dull, or worn through in lanes" in folded


class TestTheDoor:
    def test_the_link_becomes_a_cookie_for_this_papers_addresses_only(self, paper):
        response = Client().get(token_path(paper))
        cookie = response.cookies["your-paper"]
        assert (response.status_code, response["Location"]) == (302, "/your/0417-A/")
        assert (cookie["path"], cookie["httponly"], cookie["samesite"]) == ("/your/0417-A/", True, "Lax")

    def test_neither_it_nor_the_page_is_kept_by_caches_or_told_to_others(self, paper, phone):
        for response in (Client().get(token_path(paper)), phone.get(at("your-paper", paper))):
            assert (response["Cache-Control"], response["Referrer-Policy"]) == ("no-store", "same-origin")

    def test_wrong_expired_and_revoked_links_get_the_same_page(self, paper):
        expired, revoked = token_path(paper), token_path(paper)
        links = list(PrivateLink.objects.order_by("pk"))
        PrivateLink.objects.filter(pk=links[0].pk).update(expires_at=timezone.now())
        revoke_link(links[1])
        pages = [Client().get(path) for path in ("/p/wrong/", expired, revoked)]
        assert [page.status_code for page in pages] == [404, 404, 404]
        assert pages[0].content == pages[1].content == pages[2].content

    def test_guesses_are_counted_and_refused_beyond_the_limit(self, paper):
        client = Client()
        for _ in range(LIMITS["link"]):
            assert client.get("/p/guess/").status_code == 404
        assert client.get(token_path(paper)).status_code == 429

    def test_a_link_that_opens_is_not_counted(self, paper):
        before = everything()
        path = token_path(paper)
        after = everything()
        Client().get(path)
        assert everything() == after
        assert before[-1] == after[-1] == 0

    def test_without_the_cookie_there_is_nothing(self, paper):
        for name in ("your-paper", "your-review", "your-sign", "your-decline", "your-cancel", "your-pdf"):
            assert Client().get(at(name, paper)).status_code == 404

    def test_the_cookie_of_one_paper_opens_no_other(self, paper, phone):
        other = PaperFactory()
        phone.cookies["your-paper"]["path"] = "/"
        assert phone.get(at("your-paper", other)).status_code == 404

    def test_a_link_that_was_taken_back_shuts_an_open_page(self, paper, phone):
        PrivateLink.objects.update(revoked_at=timezone.now())
        assert phone.get(at("your-paper", paper)).status_code == 404

    def test_a_cookie_of_ones_own_making_opens_nothing(self, paper):
        client = Client()
        client.cookies["your-paper"] = str(PrivateLink.objects.count() + 1)
        assert client.get(at("your-paper", paper)).status_code == 404


def test_get_changes_nothing(paper, phone):
    second = step_one(phone, paper)
    before = everything()
    for name in ("your-paper", "your-decline", "your-cancel", "your-pdf"):
        phone.get(at(name, paper))
    for address in (f"{at('your-review', paper)}?o=2&x=1", f"{at('your-paper', paper)}?o=1", second):
        assert phone.get(address).status_code == 200
    assert everything() == before


def test_opened_is_told_by_the_page_itself(paper, phone):
    page = phone.get(at("your-paper", paper)).content.decode()
    assert 'hx-post="/your/0417-A/opened/" hx-trigger="load"' in page
    assert phone.post(at("your-paper-opened", paper)).status_code == 204
    assert PrivateLink.objects.get().opened_at is not None


def test_every_act_needs_the_forms_token(paper):
    strict = Client(enforce_csrf_checks=True)
    strict.get(token_path(paper))
    for name in ("your-paper-opened", "your-review", "your-consent", "your-sign", "your-question", "your-decline"):
        assert strict.post(at(name, paper), choice(paper)).status_code == 403


class TestTheOffer:
    def test_it_shows_the_advised_option_with_its_sum(self, paper, phone):
        page = phone.get(at("your-paper", paper)).content.decode()
        assert "Two ways to do it" in page
        assert "<b>$1,973.52</b>" in page

    def test_a_link_at_the_top_leads_to_the_offers(self, paper, phone):
        page = phone.get(at("your-paper", paper)).content.decode()
        assert page.index('href="#ways">The offers</a>') < page.index('id="ways"')

    def test_an_extra_that_is_less_with_tax_says_why(self):
        facts = {"name": "Chairs", "now": "60.00", "taxed": "59.91", "less": "tax is on a part of the whole price"}
        choice = {"extras": [{"number": 1, "facts": facts}]}
        page = render_to_string("homeowner/_extras.html", {"choice": choice, "facts": {}, "ticked": []})
        assert "With tax it comes to 59.91, less than before tax, as tax is on a part of the whole price." in page

    def test_the_sum_follows_the_ticks_without_the_script(self, paper, phone):
        answer = phone.post(at("your-review", paper), choice(paper, again="yes"))
        assert answer["Location"] == "/your/0417-A/?o=2&x=1"
        # 1,995.00 with 45.44 of tax, as the frozen scope of option and grit together has it.
        assert "<b>$2,040.44</b>" in phone.get(answer["Location"]).content.decode()
        assert PrivateLink.objects.get().reviewed_at is None

    def test_with_the_script_only_what_depends_on_the_ticks_is_sent(self, paper, phone):
        page = phone.get(f"{at('your-paper', paper)}?o=2&x=1&x=2", headers={"HX-Request": "true"}).content.decode()
        assert page.strip().startswith('<section id="extras"')
        assert "<b>$2,388.77</b>" in page
        assert "<html" not in page

    def test_extras_of_another_option_fall_out(self, paper, phone):
        page = phone.get(f"{at('your-paper', paper)}?o=1&x=1").content.decode()
        assert "<b>$998.87</b>" in page
        assert "No extra goes with Wash and reseal." in page

    @pytest.mark.parametrize("query", ["o=9", "o=2&x=7", "o=x", "x=1", "o=2&x=" + "1" * 400])
    def test_a_choice_that_is_not_offered_shows_the_advised_option(self, paper, phone, query):
        page = phone.get(f"{at('your-paper', paper)}?{query}")
        assert (page.status_code, "<b>$1,973.52</b>" in page.content.decode()) == (200, True)

    def test_no_cost_margin_or_markup_is_on_it(self, paper, phone):
        page = phone.get(at("your-paper", paper)).content.decode().lower()
        assert not any(word in page for word in ("overhead", "margin</", "markup", "direct cost"))

    @pytest.mark.parametrize("asked", [1, 3])
    def test_it_takes_the_same_number_of_queries_whatever_was_asked(
        self, paper, phone, django_assert_num_queries, asked
    ):
        for place in range(asked):
            Question.objects.create(job=paper.job, paper=paper, asked=f"{place}?", asked_at=timezone.now())
        with django_assert_num_queries(4):  # the link with its paper, the scopes, the questions, the firm
            phone.get(at("your-paper", paper))

    def test_the_paper_is_the_one_that_was_issued(self, paper, phone):
        assert phone.get(at("your-pdf", paper)).content == bytes(Paper.objects.get().pdf)

    def test_a_photograph_that_is_not_on_the_paper_is_not_shown(self, paper, phone):
        assert phone.get(reverse("your-photo", args=[paper.number, "0" * 64])).status_code == 404


class TestTwoSteps:
    def test_the_first_is_noted_and_can_be_read_again(self, paper, phone):
        answer = phone.post(at("your-review", paper), choice(paper))
        page = phone.get(answer["Location"]).content.decode()
        assert answer["Location"] == "/your/0417-A/review/?o=2&x=1"
        assert "2,040.44 USD" in page
        assert PrivateLink.objects.get().reviewed_at is not None

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"pages": 5}, "Tick this to sign here."),
            ({"agree": "on"}, "Open the paper and write here how many pages it has."),
            ({"agree": "on", "pages": 99}, "The paper has another number of pages."),
            ({"agree": "on", "pages": "five"}, "Write a whole number, such as 6."),
        ],
    )
    def test_consent_is_given_by_who_opened_the_paper(self, paper, phone, more, sentence):
        page = phone.post(at("your-consent", paper), choice(paper, **more))
        assert (page.status_code, sentence in page.content.decode()) == (422, True)

    def test_the_second_has_the_words_that_are_signed(self, paper, phone):
        page = phone.get(step_one(phone, paper)).content.decode()
        assert "I accept proposal 0417-A" in page
        assert "for 2,040.44 USD in all" in page

    def test_a_yes_shows_what_was_agreed(self, paper, phone):
        answer = sign(phone, paper)
        page = phone.get(answer["Location"]).content.decode()
        assert "What was agreed" in page
        assert "signed Priya Wexley" in page

    def test_who_signs_and_from_where_is_kept(self, paper, phone):
        sign(phone, paper)
        got = Acceptance.objects.get()
        assert (got.typed_name, got.address) == ("Priya Wexley", "127.0.0.1")

    def test_the_address_that_a_stranger_claims_is_kept_only_behind_a_web_server_of_ours(self, paper, phone, settings):
        settings.BEHIND_PROXY = True
        phone.defaults["HTTP_X_FORWARDED_FOR"] = "198.51.100.1, 192.0.2.9"
        sign(phone, paper)
        assert Acceptance.objects.get().address == "192.0.2.9"

    def test_a_drawn_signature_is_written_anew(self, paper, phone):
        file = io.BytesIO()
        Image.new("RGB", (60, 20)).save(file, "PNG")
        sign(phone, paper, signature="data:image/png;base64," + base64.b64encode(file.getvalue()).decode())
        assert bytes(Acceptance.objects.get().signature).startswith(b"\x89PNG")

    @pytest.mark.parametrize("drawn", ["data:image/png;base64,%%%", "data:image/svg+xml;base64,PHN2Zz4=", "hello"])
    def test_a_signature_that_is_none_is_refused_and_nothing_accepted(self, paper, phone, drawn):
        page = sign(phone, paper, signature=drawn)
        assert (page.status_code, Acceptance.objects.count()) == (422, 0)
        assert "can’t be read" in page.content.decode()

    @pytest.mark.parametrize("name", ["", "   ", "...", "12"])
    def test_a_name_has_letters(self, paper, phone, name):
        assert (sign(phone, paper, name=name).status_code, Acceptance.objects.count()) == (422, 0)

    def test_twice_clicked_is_one_yes(self, paper, phone):
        page = phone.get(step_one(phone, paper)).content.decode()
        review = re.search(r'name="review" value="([^"]+)"', page)[1]
        form = {"review": review, "pdf": paper.pdf_sha256, "name": "Priya Wexley"}
        answers = [phone.post(at("your-sign", paper), form)["Location"] for _ in range(2)]
        assert (answers, Acceptance.objects.count()) == (["/your/0417-A/"] * 2, 1)

    def test_a_form_with_another_hash_is_read_again(self, paper, phone):
        answer = sign(phone, paper, pdf="0" * 64)
        page = phone.get(answer["Location"]).content.decode()
        assert "This has changed since you read it." in page
        assert Acceptance.objects.count() == 0

    def test_sums_in_the_form_count_for_nothing(self, paper, phone):
        sign(phone, paper, total="1.00", price="1.00", deposit="0.00")
        assert str(Acceptance.objects.get().total.amount) == "2040.44"


class TestWhatBecameOfIt:
    def test_a_newer_revision_says_read_it_again_and_leads_there(self, paper, phone):
        revised(paper)
        page = phone.get(at("your-paper", paper)).content.decode()
        assert "This has changed, read it again" in page
        onward = phone.post(at("your-newer", paper))["Location"]
        assert phone.get("/" + onward.split("/", 3)[3])["Location"] == "/your/0417-B/"

    @pytest.mark.parametrize(
        ("state", "words"),
        [
            ("withdrawn", "This offer was withdrawn"),
            ("expired", "This offer has run out"),
            ("declined", "You said no"),
        ],
    )
    def test_each_end_has_its_page(self, paper, phone, state, words):
        Proposal.objects.update(state=state)
        assert words in phone.get(at("your-paper", paper)).content.decode()

    def test_no_reason_of_an_ended_offer_lets_it_be_signed(self, paper, phone):
        second = step_one(phone, paper)
        Proposal.objects.update(state="withdrawn")
        assert phone.get(second).status_code == 302
        assert phone.get(f"{at('your-review', paper)}?o=2").status_code == 302

    def test_a_no_with_its_reason(self, paper, phone):
        answer = phone.post(at("your-decline", paper), {"reason": "later", "words": "Next spring."})
        assert "You said no" in phone.get(answer["Location"]).content.decode()
        assert Answer.objects.get().words == "Next spring."

    def test_never_answered_is_no_reason_of_theirs(self, paper, phone):
        assert phone.post(at("your-decline", paper), {"reason": "no-answer"}).status_code == 422

    def test_a_yes_is_taken_back_within_its_period(self):
        paper = issued_paper(cooling_off=True)
        phone = Client()
        phone.get(token_path(paper))
        sign(phone, paper)
        assert "Cancel what was agreed" in phone.get(at("your-paper", paper)).content.decode()
        answer = phone.post(at("your-cancel", paper))
        assert "You took your yes back" in phone.get(answer["Location"]).content.decode()


class TestAsking:
    def test_a_question_stands_on_the_page(self, paper, phone):
        phone.post(at("your-question", paper), {"asked": "Does <b>grit</b> show?"})
        page = phone.get(at("your-paper", paper)).content.decode()
        assert "Does &lt;b&gt;grit&lt;/b&gt; show?" in page

    def test_an_empty_one_is_not_sent(self, paper, phone):
        assert phone.post(at("your-question", paper), {"asked": " "}).status_code == 422

    def test_beyond_the_limit_none_is_kept(self, paper, phone):
        answers = [
            phone.post(at("your-question", paper), {"asked": f"{place}?"}).status_code
            for place in range(LIMITS["question"] + 1)
        ]
        assert (answers[-1], Question.objects.count()) == (429, LIMITS["question"])
