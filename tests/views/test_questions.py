"""The office's side: answering questions, private links, the evidence of a yes."""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.asserts import assertContains, assertNotContains

from quoting.models import PrivateLink, Question
from quoting.services.questions import answer_question
from tests.factories import (
    CrewFactory,
    FirmFactory,
    IssuedProposalFactory,
    MessageFactory,
    OwnerFactory,
    PaperFactory,
    QuestionFactory,
    UserFactory,
)
from tests.reading_pdf import text_of
from tests.sample_answer import accept, issued_paper, link_to

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> Client:
    FirmFactory()
    client = Client()
    client.force_login(UserFactory())
    return client


def test_a_question_is_answered_once(office):
    question = QuestionFactory()
    address = reverse("question-answer", args=[question.job.number, question.pk])
    office.post(address, {"answer": "Yes."})
    page = office.post(address, {"answer": "No."}, follow=True).content.decode()
    assert Question.objects.get().answer == "Yes."
    assert "was answered meanwhile" in page


def test_a_question_of_another_folder_is_not_found(office):
    question, other = QuestionFactory(), PaperFactory()
    assert office.get(reverse("question-answer", args=[other.job.number, question.pk])).status_code == 404


def test_the_folder_leads_to_its_questions_and_counts_those_unanswered(office):
    first = QuestionFactory(asked="Is the brown darker when it is wet?")
    answered = QuestionFactory(paper=first.paper, asked="And the steps?")
    answer_question(question=answered, answer="The same.", by=OwnerFactory())
    page = office.get(reverse("folder", args=[first.job.number]))
    assertContains(page, '<a href="#questions">Questions (1)</a>')
    assertContains(page, reverse("questions", args=[first.job.number]))
    assertContains(page, reverse("question-answer", args=[first.job.number, first.pk]))
    assertNotContains(page, reverse("question-answer", args=[first.job.number, answered.pk]))


def test_a_folder_where_all_is_answered_says_so(office):
    question = QuestionFactory()
    answer_question(question=question, answer="Yes.", by=OwnerFactory())
    assertContains(office.get(reverse("folder", args=[question.job.number])), "asked, and answered.")


def test_the_desk_counts_them_also_where_another_thing_comes_first(office):
    question = QuestionFactory(paper=IssuedProposalFactory().paper)
    QuestionFactory(paper=question.paper)
    MessageFactory(paper=question.paper, state="refused", fault="550 no such mailbox")
    page = office.get("/")
    assertContains(page, "Mend and send again")
    assertContains(page, f'<a href="{reverse("questions", args=[question.job.number])}">2\u00a0questions unanswered')
    assertContains(page, "<dt>Questions</dt><dd>2 <small>unanswered</small></dd>")


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_number_of_queries(office, django_assert_num_queries, count):
    paper = PaperFactory()
    for question in QuestionFactory.create_batch(count, paper=paper):
        answer_question(question=question, answer="Yes.", by=OwnerFactory())
    with django_assert_num_queries(5):  # session, person, folder, questions, firm
        office.get(reverse("questions", args=[paper.job.number]))


@pytest.mark.parametrize("name", ["paper-links", "paper-evidence"])
def test_the_crew_sees_none_of_it(name):
    FirmFactory()
    client = Client()
    client.force_login(CrewFactory())
    assert client.get(reverse(name, args=[PaperFactory().number])).status_code == 403


def test_a_link_is_shown_once_and_can_be_taken_back(office):
    paper = PaperFactory()
    made = office.post(reverse("paper-link-make", args=[paper.number]))
    link = PrivateLink.objects.get()
    assert "/p/" in made.content.decode()
    assert made["Cache-Control"] == "no-store"
    office.post(reverse("paper-link-revoke", args=[paper.number, link.pk]))
    assert "taken back" in office.get(reverse("paper-links", args=[paper.number])).content.decode()


@pytest.mark.django_db(transaction=True)
def test_the_evidence_says_all_that_is_kept():
    got = accept(link_to(issued_paper()))
    office = Client()
    office.force_login(UserFactory())
    pdf = office.get(reverse("paper-evidence", args=["0417-A"])).content
    words = "".join(text_of(pdf).split())  # a long fingerprint is broken where the column ends
    assert all(said in words for said in (got.seal, got.salt, got.pdf_sha256, "PriyaWexley", "192.0.2.7", "2,040.44"))
    assert office.get(reverse("paper", args=["0417-A"])).content.decode().count("Evidence of the yes") == 1
