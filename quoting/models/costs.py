"""What a job cost: what was used where, as the office puts it right, and what was learned from it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from quoting.core.books import from_minor
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


class ExtraCostQuerySet(models.QuerySet["ExtraCost"]):
    def with_counter(self) -> ExtraCostQuerySet:
        """With what each takes back and what takes it back, and who wrote it, in the same query."""
        return self.select_related("takes_back", "taken_back_by", "by")


class ExtraCost(models.Model):
    """A cost outside the scope: a hire, a second trip, damage. Rows never change: what was wrong is taken back by a row
    of the same sum with the other sign. `amount` is in whole minor units.
    """

    class Kind(models.TextChoices):
        HIRE = "hire", "hire"
        TRIP = "trip", "a further trip"
        DAMAGE = "damage", "damage"
        BOUGHT = "bought", "bought on the way"
        FEE = "fee", "fee or disposal"
        OTHER = "other", "something else"

    job = models.ForeignKey(Job, models.PROTECT, related_name="extra_costs")
    once = models.UUIDField(unique=True, help_text="Made with the form, so that a second click writes nothing more.")
    kind = models.CharField(max_length=8, choices=Kind)
    words = models.CharField(max_length=200)
    amount = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    on = models.DateField()
    takes_back = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="taken_back_by", help_text="The row it undoes."
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    objects = ExtraCostQuerySet.as_manager()

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(takes_back=None, amount__gt=0) | Q(takes_back__isnull=False, amount__lt=0),
                name="extra_cost_is_more_than_nothing",
            )
        ]
        indexes = [models.Index(fields=["job", "on"], name="extra_cost_by_job")]

    def __str__(self) -> str:
        return self.words

    @property
    def sum(self) -> Decimal:
        """The amount in the currency."""
        return from_minor(self.amount, self.currency)

    @property
    def stands(self) -> bool:
        """Whether it counts: it takes nothing back, and nothing takes it back. Expects `with_counter`."""
        return self.takes_back_id is None and not hasattr(self, "taken_back_by")
