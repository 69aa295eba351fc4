"""Photographs of a job: re-encoded, turned upright, without the place where they were taken."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from quoting.models.jobs import Area, Job
from quoting.models.locking import Versioned

OF_WORK = ("during", "after")
"""What photographs may be of that tell nothing of the slab as it was found."""


class Photo(Versioned):
    """One photograph. The files lie in the media folder under generated names: `full` (2400 px), `page` (960 px),
    `print` (1400 px), `small` (240 px), all JPEG.
    """

    class Of(models.TextChoices):
        FOUND = "found", "what was found"
        SAMPLE = "sample", "a sample on the slab"
        BEFORE = "before", "before the work"
        DURING = "during", "during the work"
        AFTER = "after", "after the work"

    job = models.ForeignKey(Job, models.PROTECT, related_name="photos")
    area = models.ForeignKey(Area, models.SET_NULL, null=True, blank=True, related_name="photos")
    finding = models.ForeignKey("quoting.Finding", models.SET_NULL, null=True, blank=True, related_name="photos")
    of = models.CharField(max_length=8, choices=Of, default=Of.FOUND)
    name = models.CharField(max_length=64, unique=True, help_text="Generated; the stem of the files' names.")
    step = models.CharField(max_length=200, blank=True, help_text="Of which step of the work it is, by its name.")
    note = models.CharField(max_length=300, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    on_paper = models.BooleanField(default=True, help_text="Shown on proposals.")
    is_cover = models.BooleanField(default=False)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    bytes = models.PositiveIntegerField(help_text="Of all its files together; counts against the job's quota.")
    sha256 = models.CharField(max_length=64, help_text="Of the file as it was sent.")
    added_at = models.DateTimeField(auto_now_add=True)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "sha256"], name="photo_once_a_job"),
            models.UniqueConstraint(fields=["job"], condition=models.Q(is_cover=True), name="photo_one_cover_a_job"),
        ]
