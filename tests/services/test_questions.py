"""Questions: kept once, told to the firm, answered once."""

import pytest

from quoting.models import Message, Question
from quoting.services.questions import AnsweredAlready, answer_question, ask_question
from tests.factories import FirmFactory, OwnerFactory, PaperFactory, QuestionFactory
from tests.sample_answer import link_to

pytestmark = pytest.mark.django_db


def test_a_question_is_kept_and_told_to_the_firm():
    FirmFactory(email="office@ferrow.example.com")
    paper = PaperFactory()
    question = ask_question(link=link_to(paper), asked="Does the grit show?")
    notice = Message.objects.get()
    assert (question.job, question.paper, notice.to, notice.kind) == (
        paper.job,
        paper,
        "office@ferrow.example.com",
        "notice",
    )
    assert "Does the grit show?" in notice.text


def test_the_same_words_twice_are_one_question():
    link = link_to(PaperFactory())
    assert ask_question(link=link, asked="When?") == ask_question(link=link, asked="When?")
    assert Question.objects.count() == 1


def test_an_answer_stands_and_goes_out_by_mail():
    ines = OwnerFactory()
    question = answer_question(question=QuestionFactory(), answer="Yes, a little.", by=ines)
    mail = Message.objects.get()
    assert (question.answer, question.answered_by, mail.kind, mail.with_link) == (
        "Yes, a little.",
        ines,
        "answer",
        True,
    )
    assert "Yes, a little." in mail.text


def test_a_second_answer_overwrites_nothing():
    question = QuestionFactory()
    answer_question(question=question, answer="Yes.", by=OwnerFactory())
    with pytest.raises(AnsweredAlready) as already:
        answer_question(question=question, answer="No.", by=OwnerFactory())
    assert (already.value.question.answer, Message.objects.count()) == ("Yes.", 1)
