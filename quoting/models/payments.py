"""Money that came in or went out: rows that never change. What was wrong is reversed by another row."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Job
from quoting.models.papers import Paper


class Payment(models.Model):
    """A payment received, a refund of one, or one that bounced. Never a card's data: the firm's own terminal or link
    takes cards. `amount` is in whole minor units (cents) and more than nothing in each kind.
    """

    class Kind(models.TextChoices):
        RECEIVED = "received", "received"
        REFUND = "refund", "refunded"
        BOUNCED = "bounced", "bounced"

    class Method(models.TextChoices):
        CHECK = "check", "check"
        BANK = "bank", "bank transfer"
        LINK = "link", "payment link"
        CARD = "card", "card terminal"
        CASH = "cash", "cash"
        OTHER = "other", "another way"

    job = models.ForeignKey(Job, models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.RECEIVED)
    of = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="reversed_by")
    whole = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="other_parts",
        help_text="The first part of a payment that went over several folders; empty: this is it, or all of it.",
    )
    on = models.DateField(help_text="The day on which it came in, went out or bounced.")
    method = models.CharField(max_length=8, choices=Method)
    amount = models.PositiveBigIntegerField(help_text="In minor units of the currency.")
    currency = models.CharField(max_length=3)
    reference = models.CharField(max_length=80, blank=True, help_text="Number of the check, reference of the transfer.")
    reason = models.CharField(max_length=200, blank=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    entered_at = models.DateTimeField()
    once = models.CharField(max_length=64, unique=True, help_text="Names the act: the same act again changes nothing.")

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="payment_more_than_nothing"),
            models.CheckConstraint(
                condition=Q(kind="received", of=None) | (~Q(kind="received") & Q(of__isnull=False)),
                name="payment_reversal_names_its_payment",
            ),
            models.CheckConstraint(
                condition=Q(whole=None) | Q(kind="received"), name="payment_part_is_of_what_came_in"
            ),
            models.UniqueConstraint(fields=["of"], condition=Q(kind="bounced"), name="payment_bounces_once"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.on}"

    @property
    def parts(self) -> list[Payment]:
        """The parts of the payment that this is of, its own among them, each in its folder; one where it is all."""
        first = self.whole_id or self.pk
        return list(Payment.objects.filter(Q(pk=first) | Q(whole=first)).select_related("job").order_by("pk"))


class Receipt(models.Model):
    """The paper that says that a payment came in; one a payment."""

    payment = models.OneToOneField(Payment, models.PROTECT, related_name="receipt")
    paper = models.OneToOneField(Paper, models.PROTECT, related_name="receipt")

    def __str__(self) -> str:
        return self.paper.number
