"""The job folder of one property: its areas and their parts as measured."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.models.locking import Versioned
from quoting.models.surfaces import Condition, Surface


class Series(models.Model):
    """A counter that gives numbers without gaps; updated only in the transaction that uses the number."""

    name = models.CharField(max_length=40, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name_plural = "series"


class JobQuerySet(models.QuerySet["Job"]):
    def found_by(self, words: str) -> JobQuerySet:
        """Folders in whose number, street, town, customer or wish every one of the words is found."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(
                Q(number__icontains=word)
                | Q(property__street__icontains=word)
                | Q(property__town__icontains=word)
                | Q(property__customer__name__icontains=word)
                | Q(asked__icontains=word)
            )
        return found

    def with_place(self) -> JobQuerySet:
        """With property and customer, in the same query."""
        return self.select_related("property__customer")


class Job(Versioned):
    """One engagement at one property, with all its papers."""

    number = models.CharField(max_length=12, unique=True)
    property = models.ForeignKey("customers.Property", models.PROTECT, related_name="jobs")
    asked = models.TextField(max_length=4000, blank=True, help_text="The wish, in the homeowner's words.")
    poured = models.CharField(max_length=200, blank=True)
    last_sealed = models.CharField(max_length=200, blank=True)
    pool = models.CharField(max_length=200, blank=True)
    wanted_by = models.CharField(max_length=200, blank=True)
    opened_at = models.DateTimeField(auto_now_add=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    last_revision = models.PositiveSmallIntegerField(
        default=0, help_text="Counter of the proposal's revisions; moved only when one is issued."
    )

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-id"]
        indexes = [models.Index(fields=["-opened_at", "-id"], name="job_by_opening")]

    def __str__(self) -> str:
        return self.number


class Area(Versioned):
    """A named stretch of one surface."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="areas")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=120)
    surface = models.CharField(max_length=20, choices=Surface)
    condition = models.CharField(max_length=10, choices=Condition, default=Condition.WORN)
    texture = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal(1)), MaxValueValidator(Decimal(3))],
        help_text="True surface over plan surface: light slate 1.05 to 1.10, deep cobble 1.10 to 1.20.",
    )
    note = models.TextField(max_length=2000, blank=True)
    agreed_on = models.DateField(null=True, blank=True)
    agreed_with = models.CharField(max_length=120, blank=True)
    agreed_net = models.CharField(max_length=60, blank=True, help_text="The net area that was agreed, as it was shown.")
    agreed_measures = models.CharField(max_length=64, blank=True, help_text="SHA-256 of the measures that were agreed.")

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="area_name_once_a_job"),
            models.CheckConstraint(condition=Q(texture__gte=1), name="area_texture_from_one"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def letter(self) -> str:
        """A, B … Z, AA: the key by which plan, tables and text name this area. `position` counts from 0."""
        letters, rest = "", self.position
        while True:
            letters = chr(65 + rest % 26) + letters
            rest = rest // 26 - 1
            if rest < 0:
                return letters


class Part(models.Model):
    """A measured shape: added to its area, or taken out of it. `measures` is the scope file's shape, as it was called out."""

    class Kind(models.TextChoices):
        PART = "part", "part"
        DEDUCT = "deduct", "taken out"

    class Place(models.TextChoices):
        """Where the plan draws it: beside the part before it."""

        RIGHT = "right", "right of the part before"
        LEFT = "left", "left of the part before"
        ABOVE = "above", "above the part before"
        BELOW = "below", "below the part before"

    area = models.ForeignKey(Area, models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.PART)
    name = models.CharField(max_length=120, blank=True)
    measures = models.JSONField()
    place = models.CharField(max_length=8, choices=Place, default=Place.RIGHT)
    at_x = models.CharField(
        max_length=40, blank=True, help_text="For what is taken out: its centre from the left end of the first part."
    )
    at_y = models.CharField(max_length=40, blank=True, help_text="… and from its lower side.")

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name or str(self.measures.get("shape", ""))
