"""What came of the firm's offers, gathered for the figures. Money is added in Python, never by the database."""

from __future__ import annotations

from datetime import date, datetime

from django.db.models import Min
from django.utils import timezone

from quoting.core.outcomes import Outcome
from quoting.models import Answer, Event, Message, Proposal

State = Proposal.State
LOST = {State.DECLINED, State.TAKEN_BACK, State.EXPIRED, State.WITHDRAWN}

TAKEN_BACK = "taken-back"
"""The reason of a yes that was taken back, until the firm notes another."""

Days = dict[int, datetime]


def outcomes_since(first: date | None, *, today: date) -> list[Outcome]:
    """Each offer that went out on or after this day. One that was revised counts once, by its last revision."""
    proposals = Proposal.objects.exclude(state__in=[State.DRAFTED, State.SUPERSEDED])
    proposals = proposals.select_related("paper__acceptance").only(
        "state", "lost_reason", "paper__issued_at", "paper__valid_until",
        "paper__acceptance__confirmed_at", "paper__acceptance__total", "paper__acceptance__total_currency",
    )  # fmt: skip
    if first:
        proposals = proposals.filter(paper__issued_at__gte=_midnight(first))
    mailed, said = _first_mails(), _first_events()
    noes = {answer.paper_id: answer for answer in Answer.objects.filter(kind=Answer.Kind.DECLINED)}
    return [_outcome(proposal, mailed, said, noes, today) for proposal in proposals]


def _outcome(proposal: Proposal, mailed: Days, said: Days, noes: dict[int, Answer], today: date) -> Outcome:
    paper, pk = proposal.paper, proposal.paper_id
    if paper is None or pk is None:
        raise ValueError("an issued proposal has a paper")
    sent = timezone.localdate(mailed.get(pk, paper.issued_at))
    acceptance = getattr(paper, "acceptance", None)
    if proposal.state == State.ACCEPTED:
        answered = acceptance.confirmed_at if acceptance else said.get(pk)
        agreed = acceptance.total.amount if acceptance else Outcome(sent=sent).agreed
        return Outcome(sent=sent, won=True, answered=_day(answered), agreed=agreed)
    if proposal.state == State.TAKEN_BACK:
        answered = acceptance.confirmed_at if acceptance else said.get(pk)
        return Outcome(
            sent=sent, won=False, answered=_day(answered), reason=proposal.lost_reason or TAKEN_BACK, taken_back=True
        )
    run_out = paper.valid_until is not None and paper.valid_until < today
    if proposal.state not in LOST and not run_out:
        return Outcome(sent=sent)
    no = noes.get(pk)
    answered = (no.at if no else said.get(pk)) if proposal.state == State.DECLINED else None
    reason = proposal.lost_reason or (no.reason if no else "")
    return Outcome(sent=sent, won=False, answered=_day(answered), reason=reason)


def _first_mails() -> Days:
    """When each paper first went out by mail."""
    sent = Message.objects.filter(kind=Message.Kind.PROPOSAL, state=Message.State.SENT, paper__isnull=False)
    return dict(sent.order_by().values_list("paper_id").annotate(first=Min("sent_at")))


def _first_events() -> Days:
    """When each paper was accepted or declined, by the trail."""
    events = Event.objects.filter(kind__in=["proposal accepted", "proposal declined"], paper__isnull=False)
    return dict(events.order_by().values_list("paper_id").annotate(first=Min("at")))


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, datetime.min.time()))


def _day(at: datetime | None) -> date | None:
    return timezone.localdate(at) if at else None
