"""Questions from the homeowner's page, and the firm's answers."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from quoting.documents.letters import first_words
from quoting.models import Message, Paper, PrivateLink, Question, User, lock_row
from quoting.services.outbox import write_message
from quoting.services.replies import tell_firm
from quoting.services.trail import record


class AnsweredAlready(Exception):
    """Somebody else of the firm answered this question meanwhile."""

    def __init__(self, question: Question) -> None:
        self.question = question
        super().__init__("This question was answered meanwhile. Nothing of yours was sent; read the answer below.")


def ask_question(*, link: PrivateLink, asked: str) -> Question:
    """Keep a question and tell the firm; the same words once more, before they are answered, are the same question."""
    paper = Paper.objects.select_related("job__property__customer").defer("pdf", "facts").get(pk=link.paper_id)
    with transaction.atomic():
        lock_row(PrivateLink, link.pk)
        if found := Question.objects.filter(paper=paper, asked=asked, answered_at=None).first():
            return found
        question = Question.objects.create(job=paper.job, paper=paper, asked=asked, asked_at=timezone.now())
        tell_firm(paper, "asked", asked)
        record("question asked", job=paper.job, paper=paper)
    return question


def answer_question(*, question: Question, answer: str, by: User) -> Question:
    """Answer once: it stands on the homeowner's page and goes out by mail. Raises AnsweredAlready."""
    with transaction.atomic():
        kept = lock_row(Question, question.pk)
        if kept.answered_at is not None:
            raise AnsweredAlready(kept)
        kept.answer, kept.answered_at, kept.answered_by = answer, timezone.now(), by
        kept.save(update_fields=["answer", "answered_at", "answered_by"])
        place = kept.job.property
        if place.customer.email:
            subject, words = first_words(
                "answer",
                paper_name=kept.paper.get_kind_display(),
                number=kept.paper.number,
                place=place.street,
                customer=place.customer.name,
                asked=kept.asked,
                answer=answer,
                writer=by.name,
            )
            write_message(
                kind=Message.Kind.ANSWER, to=place.customer.email, subject=subject, words=words, paper=kept.paper,
                by=by, with_link=True,
            )  # fmt: skip
        record("question answered", job=kept.job, paper=kept.paper, actor=by)
    return kept
