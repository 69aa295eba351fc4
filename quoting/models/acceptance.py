"""The homeowner's side of a proposal: the private link, questions, and the answer that holds."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from djmoney.models.fields import MoneyField

from quoting.models.jobs import Job
from quoting.models.papers import Paper


class PrivateLink(models.Model):
    """A way in for one homeowner to one paper. The token itself is nowhere; only its hash is kept."""

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="links")
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(
        null=True, blank=True, help_text="First opened, told by the page itself, not by a GET."
    )
    reviewed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]


class Question(models.Model):
    """Something the homeowner asked from the page, and the firm's answer."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="questions")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="questions")
    asked = models.TextField(max_length=4000)
    asked_at = models.DateTimeField()
    answer = models.TextField(max_length=4000, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["asked_at", "id"]


class Acceptance(models.Model):
    """A yes that holds: one a paper, never changed; the database refuses UPDATE and DELETE.

    Everything by which it can be proved is kept: the paper and its hash, what was ticked and its sums, the texts
    consented to and their hashes, who, when, from where. `seal` is the SHA-256 of all of it with `salt`; the
    trail's event carries the seal only.
    """

    paper = models.OneToOneField(Paper, models.PROTECT, related_name="acceptance")
    pdf_sha256 = models.CharField(max_length=64, help_text="The hash that the form carried: the PDF that was shown.")
    option = models.PositiveSmallIntegerField(help_text="Number of the option on the paper, from 1.")
    add_ons = models.JSONField(default=list, help_text="Numbers of the add-ons ticked.")
    total = MoneyField(max_digits=12, decimal_places=2)
    deposit = MoneyField(max_digits=12, decimal_places=2)
    figures = models.TextField(
        help_text="Canonical JSON: lines, taxes, total, payments, as they stood on the review page."
    )
    consent_text = models.TextField()
    consent_sha256 = models.CharField(max_length=64)
    intent_text = models.TextField()
    intent_sha256 = models.CharField(max_length=64)
    typed_name = models.CharField(max_length=200)
    signature = models.BinaryField(null=True, blank=True, help_text="PNG, re-encoded.")
    sent_at = models.DateTimeField(null=True)
    opened_at = models.DateTimeField(null=True)
    reviewed_at = models.DateTimeField()
    confirmed_at = models.DateTimeField()
    cancel_until = models.DateTimeField(null=True, blank=True)
    address = models.GenericIPAddressField(null=True)
    user_agent = models.CharField(max_length=400, blank=True)
    message_ids = models.JSONField(default=list)
    salt = models.CharField(max_length=64)
    seal = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["-confirmed_at"]


class Answer(models.Model):
    """A no, or a withdrawal of a yes within the period: never changed either."""

    class Kind(models.TextChoices):
        DECLINED = "declined", "declined"
        CANCELLED = "cancelled", "cancelled within the period"

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="answers")
    kind = models.CharField(max_length=10, choices=Kind)
    reason = models.CharField(max_length=40, blank=True, help_text="A reason lost, by its key.")
    words = models.TextField(max_length=2000, blank=True)
    at = models.DateTimeField()
    salt = models.CharField(max_length=64)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["paper", "kind"], name="answer_once_a_kind")]
