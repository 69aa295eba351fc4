"""The offer while it is being made ready, and the state of the one that was issued."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from quoting.models.locking import Versioned


class LostReason(models.TextChoices):
    """Why an offer came to nothing, in the order in which it is asked."""

    PRICE = "price", "the price"
    OTHER_FIRM = "other-firm", "chose another firm"
    HIMSELF = "himself", "does it himself"
    LATER = "later", "later, not now"
    NO_ANSWER = "no-answer", "never answered"
    OTHER = "other", "something else"


class ProposalQuerySet(models.QuerySet["Proposal"]):
    def standing(self) -> ProposalQuerySet:
        """Those that the homeowner holds and may still accept."""
        return self.filter(state=Proposal.State.ISSUED)

    def being_drafted(self) -> ProposalQuerySet:
        return self.filter(state=Proposal.State.DRAFTED)


class Proposal(Versioned):
    """One revision of the offer for a job. The issued figures live in its Paper; this row holds the draft's words and the state."""

    class State(models.TextChoices):
        DRAFTED = "drafted", "drafted"
        ISSUED = "issued", "issued"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"
        WITHDRAWN = "withdrawn", "withdrawn"
        EXPIRED = "expired", "expired"
        SUPERSEDED = "superseded", "superseded"

    job = models.ForeignKey("quoting.Job", models.PROTECT, related_name="proposals")
    state = models.CharField(max_length=12, choices=State, default=State.DRAFTED)
    paper = models.OneToOneField("quoting.Paper", models.PROTECT, null=True, blank=True, related_name="proposal")
    title = models.CharField(max_length=160, blank=True, help_text="For their pool deck, steps and front walk.")
    in_short = models.TextField(max_length=3000, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    lost_reason = models.CharField(max_length=12, choices=LostReason, blank=True)
    lost_words = models.CharField(max_length=300, blank=True, help_text="What the firm knows about why it was lost.")
    options = models.ManyToManyField("quoting.Option", through="quoting.ProposalOption", related_name="proposals")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = ProposalQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["job"], condition=Q(state="drafted"), name="proposal_one_draft_a_job"),
            models.UniqueConstraint(fields=["job"], condition=Q(state="issued"), name="proposal_one_standing_a_job"),
            models.CheckConstraint(
                condition=Q(state="drafted", paper=None) | (~Q(state="drafted") & Q(paper__isnull=False)),
                name="proposal_issued_has_paper",
            ),
        ]

    def __str__(self) -> str:
        return self.paper.number if self.paper_id and self.paper else f"draft {self.pk}"


class ProposalOption(models.Model):
    """An option, or an add-on, that the draft offers."""

    proposal = models.ForeignKey(Proposal, models.CASCADE, related_name="offered")
    option = models.ForeignKey("quoting.Option", models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "id"]
        constraints = [models.UniqueConstraint(fields=["proposal", "option"], name="option_once_a_proposal")]
