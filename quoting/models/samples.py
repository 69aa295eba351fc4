"""The colour record of a job: the tones chosen, the recipe of each, and the sample on the slab that was approved."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Area, Job
from quoting.models.locking import Versioned


class Tone(Versioned):
    """A tone chosen for a job, with its recipe: powder in water, in the order in which they go on.

    Its strength is in oz a gallon, or in g a litre where `units` says metric.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="tones")
    position = models.PositiveSmallIntegerField(default=0)
    role = models.CharField(max_length=60, help_text="Base, in the recesses; second, misted on the faces.")
    colour = models.CharField(max_length=60)
    material = models.ForeignKey("quoting.Material", models.PROTECT, null=True, blank=True, related_name="+")
    strength = models.DecimalField(
        max_digits=12,
        decimal_places=4,
        validators=[MinValueValidator(Decimal("0.0001"))],
        help_text="oz a gallon of water, or g a litre.",
    )
    units = models.CharField(max_length=10, choices=[("us", "oz a gallon"), ("metric", "g a litre")], default="us")
    note = models.CharField(max_length=300, blank=True, help_text="Carrier, wetting, straining, rinse.")

    class Meta:
        ordering = ["position", "id"]


class Sample(Versioned):
    """A patch made on the slab itself; approved by name and date, with the recipe it was made from as text that
    stays.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="samples")
    area = models.ForeignKey(Area, models.PROTECT, related_name="samples")
    photo = models.ForeignKey("quoting.Photo", models.PROTECT, null=True, blank=True, related_name="+")
    recipe = models.TextField(max_length=2000, help_text="The tones and their recipes as they were used.")
    made_on = models.DateField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    approved_on = models.DateField(null=True, blank=True)
    approved_by = models.CharField(max_length=120, blank=True, help_text="Who of the customer's said yes.")

    class Meta:
        ordering = ["made_on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(approved_on=None, approved_by="") | (Q(approved_on__isnull=False) & ~Q(approved_by="")),
                name="sample_approved_by_somebody",
            )
        ]
