"""A change to what is agreed, while it is made ready, and the state of the one that was issued."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Area, Job
from quoting.models.locking import Versioned
from quoting.models.papers import Paper

MOST_DAYS = 365


class ChangeOrderQuerySet(models.QuerySet["ChangeOrder"]):
    def with_paper(self) -> ChangeOrderQuerySet:
        """With the paper in the same query, without its bytes."""
        return self.select_related("paper").defer("paper__pdf")

    def standing(self) -> ChangeOrderQuerySet:
        """Those that the homeowner holds and may still accept."""
        return self.filter(state=ChangeOrder.State.ISSUED)

    def accepted(self) -> ChangeOrderQuerySet:
        """Those that are part of what is agreed, in the order of their numbers."""
        return self.filter(state=ChangeOrder.State.ACCEPTED).order_by("paper__revision")


class ChangeOrder(Versioned):
    """One change of a job. The issued figures live in its Paper; this row holds the draft and the state.

    Nothing is worked on one that is not accepted. An issued one is never edited: a further change is a new row.
    """

    class State(models.TextChoices):
        DRAFTED = "drafted", "drafted"
        ISSUED = "issued", "issued"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"
        WITHDRAWN = "withdrawn", "withdrawn"
        TAKEN_BACK = "taken back", "taken back by the customer"
        SUPERSEDED = "superseded", "superseded"

    class Reason(models.TextChoices):
        ASKED = "asked", "the homeowner asked for it"
        HIDDEN = "hidden", "a hidden condition came to light"
        WEATHER = "weather", "the weather"
        DESIGN = "design", "the design was changed"
        ERROR = "error", "an error of ours"
        OTHER = "other", "something else"

    class Prices(models.TextChoices):
        AGREED = "agreed", "as it was agreed"
        TODAY = "today", "today’s edition"

    class PaidWith(models.TextChoices):
        LAST = "last", "the last payment"
        NEXT = "next", "the next payment that is not billed"
        SPREAD = "spread", "all payments that are not billed, in proportion"
        OWN = "own", "a payment of its own, before the last one"

    job = models.ForeignKey(Job, models.PROTECT, related_name="change_orders")
    state = models.CharField(max_length=10, choices=State, default=State.DRAFTED)
    paper = models.OneToOneField(Paper, models.PROTECT, null=True, blank=True, related_name="change_order")
    title = models.CharField(max_length=120, help_text="The front walk too.")
    reason = models.CharField(max_length=8, choices=Reason, default=Reason.ASKED)
    why = models.TextField(max_length=2000, blank=True, help_text="What the homeowner reads about the reason.")
    prices = models.CharField(max_length=6, choices=Prices, default=Prices.AGREED)
    out_areas = models.JSONField(default=list, help_text="Names of agreed areas that are taken out.")
    out_steps = models.JSONField(default=list, help_text="Agreed steps that are taken out, as `place:name`.")
    amount = models.DecimalField(
        max_digits=12, decimal_places=2, default=0, help_text="Agreed outright, before tax; below nothing: taken off."
    )
    amount_for = models.CharField(max_length=120, blank=True, help_text="What the sum is for.")
    days = models.SmallIntegerField(
        default=0,
        validators=[MinValueValidator(-MOST_DAYS), MaxValueValidator(MOST_DAYS)],
        help_text="Days more or fewer, besides the visits that the work brings.",
    )
    paid_with = models.CharField(
        max_length=6, choices=PaidWith, default=PaidWith.LAST, help_text="With which payment of the contract it is due."
    )
    drafted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    drafted_at = models.DateTimeField(auto_now_add=True)
    withdrawn_because = models.CharField(max_length=300, blank=True)

    objects = ChangeOrderQuerySet.as_manager()

    class Meta:
        ordering = ["-drafted_at", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="drafted", paper=None) | (~Q(state="drafted") & Q(paper__isnull=False)),
                name="change_order_issued_has_paper",
            ),
        ]

    def __str__(self) -> str:
        return self.paper.number if self.paper_id and self.paper else f"draft of a change {self.pk}"


class AddedWork(models.Model):
    """A restoration system on areas of the folder, which a change order adds."""

    change_order = models.ForeignKey(ChangeOrder, models.CASCADE, related_name="added")
    position = models.PositiveSmallIntegerField(default=0)
    system = models.ForeignKey("quoting.RestorationSystem", models.PROTECT, related_name="+")
    areas = models.ManyToManyField(Area, related_name="+")
    length = models.CharField(max_length=40, blank=True, help_text="For steps by length, and by an edge not known.")
    count = models.PositiveIntegerField(null=True, blank=True, help_text="For steps by the piece.")

    class Meta:
        ordering = ["position", "id"]
