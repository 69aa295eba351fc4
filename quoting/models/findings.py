"""What was found on the slab: one row for each look, test or answer, with who found it and when."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from quoting.models.jobs import Area, Job
from quoting.models.locking import Versioned


class Finding(Versioned):
    """One test or look at one area, or at the whole property where `area` is empty.

    `kind` and the names in `answers` are those of `quoting.core.findings`, which says what is asked, how long to
    wait and how the answers read; `reading` is that verdict in one word, kept as it was read.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="findings")
    area = models.ForeignKey(Area, models.CASCADE, null=True, blank=True, related_name="findings")
    kind = models.CharField(max_length=24)
    answers = models.JSONField(default=dict)
    reading = models.CharField(max_length=40, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    started_at = models.DateTimeField(help_text="When the drop fell, the sheet was laid, the patch was coated.")
    found_at = models.DateTimeField(null=True, blank=True, help_text="When it was read; empty while it waits.")
    wait_seconds = models.PositiveIntegerField(
        null=True, blank=True, help_text="What the firm waited for this test when it was noted."
    )
    found_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["started_at", "id"]
        indexes = [models.Index(fields=["job", "area", "kind"], name="finding_by_area")]
