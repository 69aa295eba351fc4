"""Acts on letters about an offer: what each says first, sending it, sending it again, leaving it."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from quoting.documents.letters import first_words
from quoting.models import Message, Paper, Proposal, User, lock_row
from quoting.models.outbox import LINK
from quoting.services.outbox import write_message
from quoting.services.trail import record

Kind = Message.Kind

TEMPLATES = {Kind.PROPOSAL: "proposal", Kind.FOLLOW_UP: "follow_up"}
"""The first words of what a person reads over before it goes out."""

LEFT = "follow-up left"
"""In the trail: somebody decided not to write this time."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A letter before anybody edits it."""

    to: str
    subject: str
    words: str


class NotOut(Exception):
    """The offer is not with the homeowner any more, or it changed hands meanwhile."""

    def __init__(self, number: str, state: str) -> None:
        super().__init__(f"{number} is {state}; nothing was sent. Only a proposal that stands goes out.")


def draft_letter(*, kind: str, paper: Paper, by: User) -> Draft:
    """The letter of this kind about this paper, as it stands before anybody edits it."""
    customer = paper.job.property.customer
    sent = sent_on(paper)
    told = _told_of(paper) | {"pages": paper.pages, "sent": sent, "writer": by.name}
    subject, words = first_words(TEMPLATES[Kind(kind)], **told)
    return Draft(customer.email, subject, words)


def send_letter(*, kind: str, paper: Paper, to: str, subject: str, words: str, by: User, once: str) -> Message:
    """Put a letter about a standing offer into the outbox; the same `once` never sends it twice. Raises NotOut."""
    with transaction.atomic():
        proposal = lock_row(Proposal, Proposal.objects.only("pk").get(paper=paper).pk)
        if proposal.state != Proposal.State.ISSUED:
            raise NotOut(paper.number, proposal.state)
        return write_message(
            kind=kind,
            to=to,
            subject=subject,
            words=words,
            paper=paper,
            by=by,
            attach_paper=kind == Kind.PROPOSAL,
            with_link=LINK in words,
            once=once,
        )


def send_again(*, message: Message, to: str, subject: str, words: str, by: User, once: str) -> Message:
    """Send what was refused, or what was lost on the way, as a new mail; the refused one is dealt with by that.

    Raises NotOut where it offers what can't be accepted any more.
    """
    with transaction.atomic():
        old = lock_row(Message, message.pk)
        offers = old.kind in TEMPLATES and old.paper_id is not None
        proposal = Proposal.objects.filter(paper=old.paper_id).first() if offers else None
        if proposal and old.paper and proposal.state != Proposal.State.ISSUED:
            raise NotOut(old.paper.number, proposal.state)
        new = write_message(
            kind=old.kind,
            to=to,
            subject=subject,
            words=words,
            job=old.job,
            paper=old.paper,
            by=by,
            attach_paper=old.attach_paper,
            with_link=old.with_link and LINK in words,
            once=once,
        )
        if old.state == Message.State.REFUSED and old.settled_at is None:
            old.settled_at = timezone.now()
            old.save(update_fields=["settled_at"])
    return new


def leave_follow_up(*, paper: Paper, by: User) -> None:
    """Decide not to write this time; the next day of the firm's is due as ever."""
    with transaction.atomic():
        record(LEFT, job=paper.job, paper=paper, actor=by)


def sent_on(paper: Paper) -> object:
    """The time at which the offer first went out by mail; when it was issued, if it went another way."""
    first = paper.messages.filter(kind=Kind.PROPOSAL, state=Message.State.SENT).order_by("sent_at").first()
    return first.sent_at if first else paper.issued_at


def _told_of(paper: Paper) -> dict[str, object]:
    place = paper.job.property
    return {
        "number": paper.number,
        "place": place.street,
        "customer": place.customer.name,
        "valid_until": paper.valid_until,
    }
