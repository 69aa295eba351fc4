"""Mail that waits to be sent: the row is written in the transaction of the change that it tells of."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from quoting.models.jobs import Job
from quoting.models.papers import Paper


class Message(models.Model):
    """One mail. Its Message-ID is fixed when it is written, so that a mail sent twice is the same mail twice."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        SENT = "sent", "sent"
        REFUSED = "refused", "refused"

    job = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="messages")
    paper = models.ForeignKey(Paper, models.PROTECT, null=True, blank=True, related_name="messages")
    kind = models.CharField(max_length=30)
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField(blank=True)
    attach_paper = models.BooleanField(default=False)
    message_id = models.CharField(max_length=120, unique=True)
    written_at = models.DateTimeField()
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField()
    leased_until = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    fault = models.CharField(max_length=300, blank=True, help_text="What the mail server said, in one line.")

    class Meta:
        ordering = ["-written_at", "-id"]
        indexes = [models.Index(fields=["due_at"], condition=Q(state="waiting"), name="message_waiting")]
