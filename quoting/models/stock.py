"""Stock on hand: containers of one lot, with opened packs, what is reserved, and what came back from a job."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Job
from quoting.models.locking import Versioned
from quoting.models.visits import Entry

WIDE: dict[str, Any] = {"max_digits": 20, "decimal_places": 13}
"""Of an amount in m³, kg or pieces: a gallon has twelve decimals in m³, an ounce in kg as well."""


class LotQuerySet(models.QuerySet["Lot"]):
    def on_hand(self) -> LotQuerySet:
        """Those that hold something."""
        return self.filter(count__gt=0)

    def found_by(self, words: str) -> LotQuerySet:
        """Those in whose name, lot number or place every one of the words is found."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(Q(name__icontains=word) | Q(lot__icontains=word) | Q(place__icontains=word))
        return found

    def free_for(self, job: Job) -> LotQuerySet:
        """Those on hand that no other job has reserved."""
        return self.on_hand().filter(Q(reserved_for=None) | Q(reserved_for=job))


class Lot(Versioned):
    """So many equal containers of one lot. An opened pack is a row of its own with a count of 1.

    `size` and `left` are in m³, kg or pieces by `dimension`; `size_text` is the size as it is called.
    """

    class Dimension(models.TextChoices):
        VOLUME = "volume", "by volume"
        MASS = "mass", "by weight"
        COUNT = "count", "by the piece"

    material = models.CharField(max_length=80, help_text="Key in the price book.")
    name = models.CharField(max_length=200)
    lot = models.CharField(max_length=60, blank=True)
    dimension = models.CharField(max_length=6, choices=Dimension)
    size = models.DecimalField(**WIDE)
    size_text = models.CharField(max_length=40)
    left = models.DecimalField(**WIDE)
    count = models.PositiveSmallIntegerField(default=1)
    place = models.CharField(max_length=80, blank=True)
    opened_on = models.DateField(null=True, blank=True)
    reserved_for = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="reserved_lots")
    came_back_from = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="left_overs")

    objects = LotQuerySet.as_manager()

    class Meta:
        ordering = ["name", "lot", "id"]
        indexes = [models.Index(fields=["material"], name="lot_by_material")]
        constraints = [
            models.CheckConstraint(condition=Q(left__gt=0, left__lte=models.F("size")), name="lot_holds_something"),
            models.CheckConstraint(
                condition=Q(left=models.F("size")) | Q(count__lte=1), name="opened_pack_is_a_row_of_its_own"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.lot}".strip()

    @property
    def opened(self) -> bool:
        """Whether some of it is gone."""
        return self.left < self.size


class Booked(models.Model):
    """Of one entry of the crew: that it was booked into stock. The entry never changes, so this stands beside it.

    `once` is that of the form, so that all which were booked with one press are known; a second press does nothing.
    """

    entry = models.OneToOneField(Entry, models.PROTECT, related_name="booked")
    once = models.UUIDField()
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        verbose_name_plural = "booked"

    def __str__(self) -> str:
        return f"{self.entry_id} booked {self.at:%Y-%m-%d}"
