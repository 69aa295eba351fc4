"""The offer while it is being made ready, and the state of the one that was issued."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
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
    """One revision of the offer for a job. The issued figures live in its Paper; this row holds the draft's words
    and the state.
    """

    class State(models.TextChoices):
        DRAFTED = "drafted", "drafted"
        ISSUED = "issued", "issued"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"
        WITHDRAWN = "withdrawn", "withdrawn"
        TAKEN_BACK = "taken back", "taken back by the customer"
        EXPIRED = "expired", "expired"
        SUPERSEDED = "superseded", "superseded"

    job = models.ForeignKey("quoting.Job", models.PROTECT, related_name="proposals")
    state = models.CharField(max_length=12, choices=State, default=State.DRAFTED)
    paper = models.OneToOneField("quoting.Paper", models.PROTECT, null=True, blank=True, related_name="proposal")
    title = models.CharField(max_length=160, blank=True, help_text="For their pool deck, steps and front walk.")
    in_short = models.TextField(max_length=3000, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    work_dates = models.CharField(max_length=200, blank=True, help_text="Four days in the week of 13 July.")
    at_home = models.BooleanField(
        null=True, blank=True, help_text="Signed at the customer's home; None: not said. Region rules ask."
    )
    special_order = models.DecimalField(
        max_digits=12,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(Decimal(0))],
        help_text="Cost of goods ordered specially for this job, in the firm's currency. Region rules ask.",
    )
    certificate = models.ForeignKey(
        "quoting.Certificate", models.PROTECT, null=True, blank=True, related_name="proposals",
        help_text="The certificate by which no tax is charged, as the firm confirmed it.",
    )  # fmt: skip
    left_off = models.JSONField(default=list, help_text="Names of the unit prices that do not go on the paper.")
    withdrawn_because = models.CharField(max_length=300, blank=True)
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


class ProposalPayment(models.Model):
    """One payment of this proposal: a share of the total, or a sum in the firm's currency; the last takes what is
    left.

    They are the firm's terms until somebody writes others here.
    """

    SHARE = {"max_digits": 7, "decimal_places": 6, "null": True, "blank": True}
    UP_TO_WHOLE = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(1))]

    proposal = models.ForeignKey(Proposal, models.CASCADE, related_name="payments")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=80)
    trigger = models.CharField(max_length=120)
    share = models.DecimalField(**SHARE, validators=UP_TO_WHOLE)
    amount = models.DecimalField(
        max_digits=12, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal(0))]
    )
    done = models.DecimalField(
        **SHARE, validators=UP_TO_WHOLE, help_text="How much of the work is done by then; some region rules ask."
    )

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(share=None) | Q(amount=None), name="payment_share_or_amount"),
        ]

    def __str__(self) -> str:
        return self.name


class Allowance(models.Model):
    """So much of something uncertain is in the price, and what each further one costs: up to 2 strip passes; each
    further pass 0.35 a square foot."""

    proposal = models.ForeignKey(Proposal, models.CASCADE, related_name="allowances")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=120, help_text="Strip passes.")
    included = models.CharField(max_length=120, help_text="Up to 2.")
    further = models.CharField(max_length=120, blank=True, help_text="Each further pass, a square foot.")
    price = models.DecimalField(
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal(0))],
        help_text="Of each further one, in the firm's currency; empty where a change says it.",
    )

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name
