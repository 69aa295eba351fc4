"""What happened, in the order in which it happened: rows that never change, since the database itself refuses it."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from quoting.models.papers import Paper


class Event(models.Model):
    """One thing that happened, chained by hash to the one before it. No personal data but the id of who did it."""

    position = models.PositiveBigIntegerField(unique=True, help_text="Place in the chain, from 1.")
    at = models.DateTimeField()
    kind = models.CharField(max_length=40)
    job = models.ForeignKey("quoting.Job", models.PROTECT, null=True, blank=True, related_name="events")
    paper = models.ForeignKey(Paper, models.PROTECT, null=True, blank=True, related_name="events")
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    data = models.TextField(default="{}", help_text="Canonical JSON.")
    prev_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["position"]
        indexes = [models.Index(fields=["job", "position"], name="event_by_job")]
