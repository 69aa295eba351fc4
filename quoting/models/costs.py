"""What a job cost: what was used where, as the office puts it right, and what was learned from it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models

from quoting.models.jobs import Job
from quoting.models.locking import Versioned
from quoting.models.surfaces import Condition, Surface

RATE: dict[str, Any] = {"max_digits": 24, "decimal_places": 9}


class CostSheet(Versioned):
    """What was used on one job, where the office says other than the crew wrote down; in h, m³, kg and pieces.

    `rows` are [{"place", "area", "of", "amount", "weather", "extra"}], numbers as text; `of` is a material's key, or
    “labour”. `found` holds the net areas (m², as text) that were found to be others than estimated, by name.
    """

    job = models.OneToOneField(Job, models.PROTECT, related_name="cost_sheet")
    rows = models.JSONField(default=list, blank=True)
    found = models.JSONField(default=dict, blank=True)
    kept_at = models.DateTimeField(null=True, blank=True, help_text="When it was last kept to learn from.")
    kept_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    def __str__(self) -> str:
        return f"what {self.job.number} cost"


class Observed(models.Model):
    """What one job showed on one of its areas: a coverage (m²/m³) or a production rate (m²/h).

    `of` is the material's key, or the labour task's.
    """

    class Kind(models.TextChoices):
        COVERAGE = "coverage", "coverage"
        RATE = "rate", "production rate"

    job = models.ForeignKey(Job, models.PROTECT, related_name="observed")
    area = models.CharField(max_length=120)
    surface = models.CharField(max_length=20, choices=Surface)
    condition = models.CharField(max_length=10, choices=Condition)
    step = models.CharField(max_length=200)
    kind = models.CharField(max_length=8, choices=Kind)
    of = models.CharField(max_length=80)
    coat = models.PositiveSmallIntegerField(default=1)
    rate = models.DecimalField(**RATE)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["kind", "of"], name="observed_by_thing")]

    def __str__(self) -> str:
        return f"{self.of} on {self.area}"
