"""The homeowner's acts on an issued proposal or change order: opening, looking it over, a yes that holds, a no, a yes
undone.

Everything is reckoned from the frozen paper; a form only says which paper was read and what was ticked on it.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from django.core import signing
from django.db import transaction
from django.utils import timezone
from django.utils.ipv6 import clean_ipv6_address
from moneyed import Money

from quoting.documents.agreed import Agreed, Offered
from quoting.documents.change_orders import offered_on
from quoting.documents.consent import consent_text, intent_text
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.documents.signature import redraw
from quoting.models import Acceptance, Answer, ChangeOrder, Job, Message, Paper, PrivateLink, Proposal, lock_row
from quoting.services.books import book_agreement
from quoting.services.change_orders import end_change, still_stands, supersede_changes
from quoting.services.contracts import contract_of
from quoting.services.proposals import end
from quoting.services.replies import accepted_copy, tell_firm
from quoting.services.seals import seal_of
from quoting.services.trail import record

State = Proposal.State

REVIEW_LASTS = timedelta(hours=24)
REVIEWED = "reviewed"
"""What a review is signed for."""


class Closed(Exception):
    """The offer can't be accepted or declined any more; `state` says what became of it."""

    def __init__(self, number: str, state: str) -> None:
        self.state = state
        super().__init__(f"{number} is {state}. Nothing was changed.")


class Changed(Exception):
    """What would be accepted is not what was read."""

    def __init__(self) -> None:
        super().__init__("This has changed since you read it. Nothing was accepted; please read it again.")


class NotReviewed(Exception):
    """A yes without its first step, or one whose first step is a day old."""

    def __init__(self) -> None:
        super().__init__("Look it over once more before you sign. Nothing was accepted yet.")


class LinkGone(Exception):
    """The private link was taken back, or ran out, meanwhile."""

    def __init__(self) -> None:
        super().__init__("This link opens nothing any more. Nothing was accepted.")


class TooLateToCancel(Exception):
    """No yes stands that may still be cancelled here."""

    def __init__(self) -> None:
        super().__init__("The time in which this could be cancelled here is over. Please ring us.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """What was looked over and consented to, as it travels to the second step: signed, so that it can't be altered."""

    link: int
    pdf_sha256: str
    option: int
    add_ons: tuple[int, ...]
    total: str
    consent_sha256: str
    pages: int

    def signed(self) -> str:
        """As a text for an address or a hidden field."""
        told = [getattr(self, name) for name in self.__dataclass_fields__]
        return signing.dumps(told, salt=REVIEWED, compress=True)


def read_review(text: str, link: PrivateLink) -> Review:
    """The first step that was made through this link. Raises NotReviewed."""
    try:
        told = signing.loads(text, salt=REVIEWED, max_age=REVIEW_LASTS)
        review = Review(**dict(zip(Review.__dataclass_fields__, told, strict=True)))
    except (signing.BadSignature, ValueError, TypeError) as fault:
        raise NotReviewed from fault
    if review.link != link.pk or link.reviewed_at is None:
        raise NotReviewed
    return review


Row = Proposal | ChangeOrder
"""What is said yes or no to, by its paper."""


def row_of(paper: Paper) -> Row:
    """The row whose paper this is."""
    if paper.kind == Paper.Kind.CHANGE:
        return ChangeOrder.objects.get(paper=paper)
    return Proposal.objects.get(paper=paper)


def state_now(row: Row, paper: Paper) -> str:
    """What the offer is today: one whose last day is past has expired, whether or not anybody wrote that down yet."""
    over = paper.valid_until is not None and paper.valid_until < timezone.localdate()
    return State.EXPIRED if row.state == State.ISSUED and over else row.state


def open_paper(*, link: PrivateLink) -> None:
    """Note that the page was opened: told by the page itself, once a link."""
    with transaction.atomic():
        now = timezone.now()
        if PrivateLink.objects.filter(pk=link.pk, opened_at=None).update(opened_at=now):
            record(f"{link.paper.kind} opened", job=link.paper.job, paper=link.paper, at=now)


def review_offer(*, link: PrivateLink, option: int, add_ons: list[int], pdf_sha256: str) -> Agreed:
    """Step one: the choice with its sums, and when it was looked over. Raises Changed, Closed or NotOffered."""
    paper = Paper.objects.defer("pdf").get(pk=link.paper_id)
    if pdf_sha256 != paper.pdf_sha256:
        raise Changed
    _need_standing(row_of(paper), paper)
    agreed = offered_on(paper).agree(option, add_ons)
    open_paper(link=link)
    PrivateLink.objects.filter(pk=link.pk).update(reviewed_at=timezone.now())
    return agreed


def accept_offer(
    *,
    link: PrivateLink,
    review: str,
    pdf_sha256: str,
    typed_name: str,
    signature: bytes | None = None,
    address: str = "",
    user_agent: str = "",
) -> Acceptance:
    """Step two: one acceptance a paper, whatever is clicked twice and by however many; the later ones get the first.

    Raises NotReviewed, Changed, Closed, LinkGone, DoesNotAddUp or SignatureRefused; then nothing was accepted.
    """
    paper = Paper.objects.select_related("job__property__customer").defer("pdf").get(pk=link.paper_id)
    if found := Acceptance.objects.filter(paper=paper).first():
        return found
    seen = read_review(review, link)
    offered = offered_on(paper)
    agreed = offered.agree(seen.option, seen.add_ons)
    consent = consent_given(offered, seen.pages)
    now_is = (paper.pdf_sha256, f"{agreed.total:f}", sha256_of(consent))
    if now_is != (seen.pdf_sha256, seen.total, seen.consent_sha256) or pdf_sha256 != paper.pdf_sha256:
        raise Changed
    drawn = redraw(signature) if signature else None
    with transaction.atomic():
        lock_row(Job, paper.job_id)  # as issuing does, so that a new revision and a yes wait for each other
        row = _lock(paper)
        if found := Acceptance.objects.filter(paper=paper).first():
            return found
        _need_standing(row, paper)
        now = timezone.now()
        held = PrivateLink.objects.filter(pk=link.pk, revoked_at=None, expires_at__gt=now).first()
        if held is None or held.reviewed_at is None:
            raise LinkGone
        acceptance = Acceptance(
            paper=paper,
            pdf_sha256=paper.pdf_sha256,
            option=agreed.option,
            add_ons=list(agreed.add_ons),
            total=Money(agreed.total, agreed.currency),
            deposit=Money(agreed.deposit, agreed.currency),
            figures=canonical_json(agreed.figures),
            consent_text=consent,
            consent_sha256=sha256_of(consent),
            intent_text=intent_text(offered.facts, agreed),
            intent_sha256=sha256_of(intent_text(offered.facts, agreed)),
            typed_name=typed_name,
            signature=drawn,
            sent_at=_first_sent(paper),
            opened_at=held.opened_at,
            reviewed_at=held.reviewed_at,
            confirmed_at=now,
            cancel_until=_cancel_until(offered, agreed, now),
            address=_address(address),
            user_agent=user_agent[:400],
            salt=secrets.token_hex(32),
        )
        written = list(Message.objects.filter(paper=paper).order_by("pk").values_list("message_id", flat=True))
        acceptance.message_ids = [*written, *accepted_copy(acceptance, offered.facts, agreed)]
        acceptance.seal = seal_of(acceptance)
        acceptance.save(force_insert=True)
        _end(row, State.ACCEPTED, {"seal": acceptance.seal})
        if isinstance(row, ChangeOrder):
            supersede_changes(paper.job)
        book_agreement(paper.job)
    return acceptance


def decline_offer(*, link: PrivateLink, reason: str, words: str) -> Answer:
    """A no with its reason; the same no a second time changes nothing. Raises Closed."""
    with transaction.atomic():
        paper, row = _locked(link)
        if found := Answer.objects.filter(paper=paper, kind=Answer.Kind.DECLINED).first():
            return found
        if row.state != State.ISSUED:
            raise Closed(paper.number, row.state)
        answer = _answer(paper, Answer.Kind.DECLINED, reason, words)
        if isinstance(row, Proposal):
            row.lost_reason, row.lost_words = reason, words[:300]
            row.save(update_fields=["lost_reason", "lost_words"])
        tell_firm(paper, "declined", words)
        _end(row, State.DECLINED, {"reason": reason, "seal": seal_of(answer)})
    return answer


def may_cancel(acceptance: Acceptance, now: datetime) -> bool:
    """Whether the yes may still be taken back on the page."""
    return acceptance.cancel_until is not None and now < acceptance.cancel_until


def cancel_acceptance(*, link: PrivateLink) -> Answer:
    """Take a yes back within its period; once, whatever is clicked twice. Raises TooLateToCancel."""
    with transaction.atomic():
        paper, row = _locked(link)
        if found := Answer.objects.filter(paper=paper, kind=Answer.Kind.CANCELLED).first():
            return found
        acceptance = Acceptance.objects.filter(paper=paper).first()
        if acceptance is None or row.state != State.ACCEPTED or not may_cancel(acceptance, timezone.now()):
            raise TooLateToCancel
        answer = _answer(paper, Answer.Kind.CANCELLED, "", "")
        tell_firm(paper, "taken back", "", to_customer=True)
        _end(row, State.TAKEN_BACK, {"seal": seal_of(answer)})
        supersede_changes(paper.job)
        book_agreement(paper.job)
    return answer


def consent_given(offered: Offered, pages: int) -> str:
    """The consent as it is kept: its text, and what was written down to show that the paper could be opened."""
    return f"{consent_text(offered.facts)}\n\nPages written down: {pages}."


def _locked(link: PrivateLink) -> tuple[Paper, Row]:
    paper = Paper.objects.select_related("job__property__customer").defer("pdf", "facts").get(pk=link.paper_id)
    lock_row(Job, paper.job_id)
    return paper, _lock(paper)


def _lock(paper: Paper) -> Row:
    found = row_of(paper)
    return lock_row(type(found), found.pk)


def _end(row: Row, state: str, data: Mapping[str, object]) -> None:
    row.claim(row.version)
    if isinstance(row, ChangeOrder):
        end_change(row, state, by=None, data=data)
    else:
        end(row, state, by=None, data=data)


def _need_standing(row: Row, paper: Paper) -> None:
    """Raises Closed where it can't be answered any more, and Changed where it was made on another contract."""
    if (state := state_now(row, paper)) != State.ISSUED:
        raise Closed(paper.number, state)
    if isinstance(row, ChangeOrder) and not still_stands(json.loads(paper.facts), contract_of(paper.job)):
        raise Changed


def _first_sent(paper: Paper) -> datetime | None:
    sent = Message.objects.filter(paper=paper, sent_at__isnull=False).order_by("sent_at")
    return sent.values_list("sent_at", flat=True).first()


def _answer(paper: Paper, kind: str, reason: str, words: str) -> Answer:
    answer = Answer(paper=paper, kind=kind, reason=reason, words=words, at=timezone.now(), salt=secrets.token_hex(32))
    answer.save(force_insert=True)
    return answer


def _cancel_until(offered: Offered, agreed: Agreed, now: datetime) -> datetime | None:
    """The midnight at which the period ends, in the firm's time."""
    found = offered.cancel_until(agreed.total, timezone.localdate(now))
    return timezone.make_aware(datetime.combine(found[0] + timedelta(days=1), time.min)) if found else None


def _address(text: str) -> str | None:
    """A network address in its one spelling; None where there is none."""
    return (clean_ipv6_address(text, unpack_ipv4=True) if ":" in text else text) or None
