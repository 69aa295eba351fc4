"""Acts on the offer of a folder: drafting, keeping, revising, withdrawing, and letting it run out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone

from quoting.documents.contexts import listed
from quoting.models import Firm, Job, Option, Proposal, ProposalOption, User, lock_row
from quoting.services.offers import MOST_OPTIONS
from quoting.services.proposal_terms import begin_terms
from quoting.services.trail import record

State = Proposal.State

TITLE_LENGTH = 160


class NothingToOffer(Exception):
    """A folder without options has nothing to put on a proposal."""

    def __init__(self) -> None:
        super().__init__("There is no option in this folder yet. Choose a system for an area first.")


class NotDrafted(Exception):
    """The proposal is no draft any more."""

    def __init__(self, proposal: Proposal) -> None:
        self.proposal = proposal
        super().__init__(f"{proposal} is {proposal.state}; an issued proposal never changes. Revise it instead.")


class DraftGone(NotDrafted):
    """The draft was thrown away while somebody worked on it."""

    def __init__(self) -> None:
        Exception.__init__(
            self, "The draft was thrown away meanwhile. Nothing was kept; begin another from the folder."
        )


class NotStanding(Exception):
    """Only a proposal that the homeowner holds can be withdrawn."""

    def __init__(self, proposal: Proposal) -> None:
        super().__init__(f"{proposal} is {proposal.state}, so there is nothing to withdraw.")


class WrongChoice(Exception):
    """More options than a proposal holds, one of another folder, or an add-on without its option."""


def draft_proposal(*, job: Job, by: User) -> Proposal:
    """The folder's draft; a new one, which offers all options of the folder up to four, where there is none.

    Raises NothingToOffer.
    """
    with transaction.atomic():
        lock_row(Job, job.pk)
        if found := Proposal.objects.being_drafted().filter(job=job).first():
            return found
        options = list(Option.objects.filter(job=job, kind=Option.Kind.OPTION)[:MOST_OPTIONS])
        if not options:
            raise NothingToOffer
        add_ons = list(Option.objects.filter(with_option__in=options))
        return _begin(job, by, title=_usual_title(job), in_short="", options=[*options, *add_ons])


def keep_draft(
    *, proposal: Proposal, version: int, title: str, in_short: str, valid_until: date | None, options: Sequence[Option],
    certificate: int | None = None,
) -> Proposal:  # fmt: skip
    """Keep the draft's words and what it offers, in this order; `certificate` is the id of the one by which no tax is
    charged, as the firm confirms with it.

    Raises ChangedMeanwhile, NotDrafted, DraftGone or WrongChoice.
    """
    with transaction.atomic():
        kept = lock_draft(proposal)
        _need_fitting(kept, options)
        kept.claim(version)
        kept.title, kept.in_short, kept.valid_until = title, in_short, valid_until
        kept.certificate_id = certificate
        kept.save(update_fields=["title", "in_short", "valid_until", "certificate"])
        kept.offered.all().delete()
        _offer(kept, options)
    return kept


def discard_draft(*, proposal: Proposal, version: int, by: User) -> None:
    """Throw a draft away with its words and terms; it never had a number, and the options of the folder stay.

    Raises ChangedMeanwhile, NotDrafted or DraftGone.
    """
    with transaction.atomic():
        job = lock_row(Job, proposal.job_id)
        kept = lock_draft(proposal)
        kept.claim(version)
        kept.delete()
        record("proposal draft thrown away", job=job, actor=by)


def lock_draft(proposal: Proposal) -> Proposal:
    """The draft, locked for a decision about it. Raises NotDrafted, or DraftGone."""
    try:
        kept = lock_row(Proposal, proposal.pk)
    except Proposal.DoesNotExist:
        raise DraftGone from None
    if kept.state != State.DRAFTED:
        raise NotDrafted(kept)
    return kept


def revise(*, proposal: Proposal, by: User) -> Proposal:
    """A draft with the words, options and terms of an issued proposal; the folder's draft, if there is one already."""
    with transaction.atomic():
        lock_row(Job, proposal.job_id)
        if found := Proposal.objects.being_drafted().filter(job=proposal.job_id).first():
            return found
        options = [row.option for row in proposal.offered.select_related("option")]
        words = {"title": proposal.title, "in_short": proposal.in_short}
        return _begin(proposal.job, by, **words, options=options, before=proposal)


def withdraw_proposal(*, proposal: Proposal, version: int, by: User, because: str = "") -> Proposal:
    """Take back a proposal that the homeowner holds, and keep why. Raises ChangedMeanwhile or NotStanding."""
    with transaction.atomic():
        kept = lock_row(Proposal, proposal.pk)
        if kept.state != State.ISSUED:
            raise NotStanding(kept)
        kept.claim(version)
        kept.withdrawn_because = because
        kept.save(update_fields=["withdrawn_because"])
        end(kept, State.WITHDRAWN, by=by)
    return kept


def expire_proposals(*, today: date | None = None) -> int:
    """Let every issued proposal run out whose last day is past; how many that were."""
    today = today or timezone.localdate()
    run_out = 0
    for pk in list(Proposal.objects.standing().filter(paper__valid_until__lt=today).values_list("pk", flat=True)):
        with transaction.atomic():
            kept = lock_row(Proposal, pk)
            if kept.state == State.ISSUED:
                kept.claim(kept.version)
                end(kept, State.EXPIRED, by=None)
                run_out += 1
    return run_out


def end(proposal: Proposal, state: str, *, by: User | None, data: Mapping[str, object] | None = None) -> None:
    """Write how a proposal ended, and tell the trail, with `data`; within the caller's transaction."""
    proposal.state = state
    proposal.save(update_fields=["state"])
    record(f"proposal {state}", job=proposal.job, paper=proposal.paper, actor=by, data=data)


def _begin(
    job: Job, by: User, *, title: str, in_short: str, options: Sequence[Option], before: Proposal | None = None
) -> Proposal:
    days = Firm.objects.values_list("valid_days", flat=True).first() or Firm._meta.get_field("valid_days").default
    until = timezone.localdate() + timedelta(days=days)
    draft = Proposal.objects.create(
        job=job, title=title, in_short=in_short, valid_until=until, certificate=before.certificate if before else None
    )
    _offer(draft, options)
    begin_terms(draft, before)
    record("proposal drafted", job=job, actor=by, data={"options": len(options)})
    return draft


def _offer(proposal: Proposal, options: Sequence[Option]) -> None:
    ProposalOption.objects.bulk_create(
        ProposalOption(proposal=proposal, option=option, position=place) for place, option in enumerate(options)
    )


def _need_fitting(proposal: Proposal, options: Sequence[Option]) -> None:
    offered = {option.pk for option in options if option.kind == Option.Kind.OPTION}
    if len(offered) > MOST_OPTIONS:
        raise WrongChoice("A proposal offers four options at most.")
    for option in options:
        if option.job_id != proposal.job_id:
            raise WrongChoice(f"“{option.name}” belongs to another folder.")
        if option.with_option_id and option.with_option_id not in offered:
            raise WrongChoice(
                f"“{option.name}” goes with an option that is not offered. Offer that too, or leave it out."
            )


def _usual_title(job: Job) -> str:
    """For their pool deck, steps and front walk."""
    names = [area.name[:1].lower() + area.name[1:] for area in job.areas.all()]
    title = f"for their {listed(names)}" if names else ""
    return title if len(title) <= TITLE_LENGTH else ""
