"""What homeowners did with the demo's offers: the mail that one came with, a question on it, and a yes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from quoting.documents.change_orders import offered_on
from quoting.documents.freeze import sha256_of
from quoting.models import Acceptance, Message, Paper, Proposal, Question, User
from quoting.services.acceptance import Review, accept_offer, consent_given, review_offer
from quoting.services.letters import draft_letter, send_letter
from quoting.services.links import make_link
from quoting.services.questions import answer_question, ask_question

Row = Mapping[str, Any]


def answer_offer(paper: Paper, row: Row, by: User) -> None:
    """Send the demo's offer, and let its homeowner ask and answer as the row says; each once, and never what somebody
    has changed since."""
    if Proposal.objects.get(paper=paper).state != Proposal.State.ISSUED:
        return
    if row.get("sent") and not Message.objects.filter(paper=paper, kind=Message.Kind.PROPOSAL).exists():
        letter = draft_letter(kind=Message.Kind.PROPOSAL, paper=paper, by=by)
        send_letter(
            kind=Message.Kind.PROPOSAL,
            paper=paper,
            to=letter.to,
            subject=letter.subject,
            words=letter.words,
            by=by,
            once=f"demo{paper.number}",
        )
    if not Question.objects.filter(paper=paper).exists():
        for said in row.get("question", ()):
            link, _ = make_link(paper, None)
            question = ask_question(link=link, asked=said["asked"].strip())
            if "answer" in said:
                answer_question(question=question, answer=said["answer"].strip(), by=by)
    if "accepted_by" in row and not Acceptance.objects.filter(paper=paper).exists():
        _accept(paper, row["accepted_by"])


def _accept(paper: Paper, name: str) -> None:
    """The usual option with all its extras, reviewed and signed as on the page."""
    link, _ = make_link(paper, None)
    offered = offered_on(paper)
    option = offered.usual
    add_ons = [extra.number for extra in offered.choice(option).extras]
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
