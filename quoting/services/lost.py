"""Acts on offers that came to nothing: a no that was told to the firm, and the reason of one that ended."""

from __future__ import annotations

from django.db import transaction

from quoting.models import LostReason, Proposal, User, lock_row
from quoting.services.proposals import end
from quoting.services.trail import record

State = Proposal.State

ENDED = (State.DECLINED, State.TAKEN_BACK, State.EXPIRED, State.WITHDRAWN)
"""States in which an offer is lost."""


class NotLost(Exception):
    """Only an offer that is out, or that ended without a yes, can be lost."""

    def __init__(self, proposal: Proposal) -> None:
        super().__init__(f"{proposal} is {proposal.state}, so there is no reason to note.")


def note_lost(*, proposal: Proposal, version: int, reason: str, words: str, by: User) -> Proposal:
    """Keep why an offer was lost; one that is still out is declined by that, as somebody told the firm.

    Raises ChangedMeanwhile or NotLost.
    """
    with transaction.atomic():
        kept = lock_row(Proposal, proposal.pk)
        if kept.state not in {State.ISSUED, *ENDED}:
            raise NotLost(kept)
        kept.claim(version)
        kept.lost_reason, kept.lost_words = LostReason(reason).value, words
        kept.save(update_fields=["lost_reason", "lost_words"])
        if kept.state == State.ISSUED:
            end(kept, State.DECLINED, by=by)
        record("reason noted", job=kept.job, paper=kept.paper, actor=by, data={"reason": kept.lost_reason})
    return kept
