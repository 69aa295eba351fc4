"""Mail that waits to be sent: the row is written in the transaction of the change that it tells of."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Job
from quoting.models.papers import Paper

LINK = "{link}"
"""Stands in the words where the private link goes, which is made while the mail is sent and is kept nowhere."""

SIGNATURE = "\n\n-- \n"
"""Between the words of a mail and the firm's letterhead, as mail programs know it (RFC 3676, 4.3)."""


class MessageQuerySet(models.QuerySet["Message"]):
    def due(self, now: datetime) -> MessageQuerySet:
        """Those to be sent now that no sender holds, the longest due first."""
        free = Q(leased_until=None) | Q(leased_until__lt=now)
        return self.filter(free, state=Message.State.WAITING, due_at__lte=now).order_by("due_at", "pk")

    def refused_and_open(self) -> MessageQuerySet:
        """Those that did not arrive, and about which nobody has done anything yet."""
        return self.filter(state=Message.State.REFUSED, settled_at=None)


class Message(models.Model):
    """One mail. Its Message-ID is fixed when it is written, so that a mail sent twice is the same mail twice."""

    class Kind(models.TextChoices):
        PROPOSAL = "proposal", "proposal"
        FOLLOW_UP = "follow-up", "follow-up"
        CHANGE = "change-order", "change order"
        ANSWER = "answer", "answer to a question"
        ACCEPTANCE = "acceptance", "copy of the acceptance"
        NOTICE = "notice", "notice to the firm"
        INVOICE = "invoice", "invoice"
        CREDIT_NOTE = "credit-note", "credit note"
        RECEIPT = "receipt", "receipt"
        STATEMENT = "statement", "statement of account"
        REMINDER = "reminder", "reminder of a bill"
        HAND_OVER = "hand-over", "hand-over sheet"
        RECALL = "recall", "letter about sealing again"
        VISIT = "visit", "notice of a visit that was moved"
        WAY_IN = "way-in", "link that was asked for from the paper"
        PASSWORD = "password", "way to a new password"

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENT = "sent", "sent"
        REFUSED = "refused", "refused"

    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="messages")
    paper = models.ForeignKey(Paper, models.PROTECT, null=True, blank=True, related_name="messages")
    kind = models.CharField(max_length=30, choices=Kind)
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField(blank=True)
    attach_paper = models.BooleanField(default=False)
    with_link = models.BooleanField(default=False, help_text="A new private link takes the place of {link}.")
    message_id = models.CharField(max_length=120, unique=True)
    written_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField()
    leased_until = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    fault = models.CharField(max_length=300, blank=True, help_text="What the mail server said, in one line.")
    settled_at = models.DateTimeField(
        null=True, blank=True, help_text="When somebody dealt with its being refused: sent again, or left."
    )

    objects = MessageQuerySet.as_manager()

    class Meta:
        ordering = ["-written_at", "-id"]
        indexes = [models.Index(fields=["due_at"], condition=Q(state="waiting"), name="message_waiting")]

    def __str__(self) -> str:
        return self.message_id

    @property
    def words(self) -> str:
        """What was written, without the letterhead below it."""
        words, mark, _letterhead = self.text.rpartition(SIGNATURE)
        return words if mark else self.text
