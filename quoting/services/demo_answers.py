"""What homeowners did with the demo's offers: the mail that one came with, questions on it, and a yes."""

from __future__ import annotations

from quoting.documents.change_orders import offered_on
from quoting.documents.freeze import sha256_of
from quoting.models import Acceptance, Message, Paper, PrivateLink, Question
from quoting.services.acceptance import Review, accept_offer, consent_given, open_paper, review_offer
from quoting.services.demo_scene import Scene
from quoting.services.letters import draft_letter, send_letter
from quoting.services.links import make_link
from quoting.services.questions import answer_question, ask_question


def send(scene: Scene) -> None:
    """Send the proposal, in the words that stand in the letter first."""
    paper, kind = scene.paper(), Message.Kind.PROPOSAL
    if Message.objects.filter(paper=paper, kind=kind).exists():
        return
    letter = draft_letter(kind=kind, paper=paper, by=scene.owner)
    send_letter(
        kind=kind,
        paper=paper,
        to=letter.to,
        subject=letter.subject,
        words=letter.words,
        by=scene.owner,
        once=f"demo{paper.number}",
    )


def open_link(scene: Scene) -> None:
    """The homeowner opens the page."""
    paper = scene.paper()
    if not PrivateLink.objects.filter(paper=paper).exclude(opened_at=None).exists():
        open_paper(link=make_link(paper, None)[0])


def ask(scene: Scene) -> None:
    """A question on the proposal, and its answer where there is one."""
    paper, asked = scene.paper(), scene.words
    question = Question.objects.filter(paper=paper, asked=asked).first()
    if question is None:
        question = ask_question(link=make_link(paper, None)[0], asked=asked)
    if "answer" in scene.act and question.answered_at is None:
        answer_question(question=question, answer=scene.act["answer"].strip(), by=scene.owner)


def accept(scene: Scene) -> None:
    """A yes to the proposal: the advised option with all its extras, or with those that are named by number."""
    accept_paper(scene.paper(), scene.act["by"], scene.act.get("extras"))


def accept_paper(paper: Paper, name: str, extras: list[int] | None = None) -> None:
    """Reviewed and signed as on the page; once."""
    if Acceptance.objects.filter(paper=paper).exists():
        return
    link, _ = make_link(paper, None)
    offered = offered_on(paper)
    option = offered.usual
    add_ons = [extra.number for extra in offered.choice(option).extras] if extras is None else extras
    agreed = review_offer(link=link, option=option, add_ons=add_ons, pdf_sha256=paper.pdf_sha256)
    link.refresh_from_db()
    review = Review(
        link=link.pk,
        pdf_sha256=paper.pdf_sha256,
        option=agreed.option,
        add_ons=agreed.add_ons,
        total=f"{agreed.total:f}",
        consent_sha256=sha256_of(consent_given(offered, paper.pages)),
        pages=paper.pages,
    )
    accept_offer(link=link, review=review.signed(), pdf_sha256=paper.pdf_sha256, typed_name=name)
