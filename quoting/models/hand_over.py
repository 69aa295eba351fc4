"""The end of a job: the walk-through, the sheet that is handed over, its sign-off, and what is on the slab since."""

from __future__ import annotations

import builtins
from datetime import date

from django.conf import settings
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import Q

from quoting.core.recall import Seal
from quoting.models.jobs import Job
from quoting.models.locking import Versioned
from quoting.models.papers import Paper

SEALS = {
    Seal.ACRYLIC: "acrylic film on concrete",
    Seal.IMPRINTED: "film on imprinted concrete",
    Seal.PAVER: "paver sealer",
    Seal.PENETRANT: "penetrant, no film",
}
"""What a slab may be sealed with, in words."""


class HandOver(Versioned):
    """What is walked over and told at the end of one job. `paper` is the sheet; until it is issued this is a draft.

    `walked` holds the keys of the points that were looked at; `slabs` says of each area what it is sealed with, what it
    is exposed to and how many coats were on it before: [{"area", "seal", "exposures", "coats_before"}].
    """

    class Signed(models.TextChoices):
        SHEET = "sheet", "on the sheet"
        PAGE = "page", "on the private page"

    job = models.OneToOneField(Job, models.PROTECT, related_name="hand_over")
    finished_on = models.DateField(help_text="The day of the last coat.")
    walk_hours = models.PositiveSmallIntegerField(default=24)
    furniture_hours = models.PositiveSmallIntegerField(default=72)
    park_hours = models.PositiveSmallIntegerField(default=72)
    care = models.TextField(max_length=4000, blank=True)
    note = models.TextField(max_length=2000, blank=True, help_text="What was agreed while walking over it.")
    walked = models.JSONField(default=list, blank=True)
    slabs = models.JSONField(default=list, blank=True)
    begun_at = models.DateTimeField(auto_now_add=True)
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    paper = models.OneToOneField(Paper, models.PROTECT, null=True, blank=True, related_name="hand_over")
    signed_on = models.DateField(null=True, blank=True)
    signed_name = models.CharField(max_length=200, blank=True)
    signed_how = models.CharField(max_length=5, choices=Signed, blank=True)
    salt = models.CharField(max_length=32, blank=True, help_text="Hashed with the note; gone once it is erased.")
    signed_salt = models.CharField(max_length=32, blank=True, help_text="Hashed with the name.")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(signed_on=None, signed_how="") | Q(signed_on__isnull=False, paper__isnull=False),
                name="hand_over_signed_once_issued",
            )
        ]

    def __str__(self) -> str:
        return f"hand-over of {self.job.number}"


class SlabRecordQuerySet(models.QuerySet["SlabRecord"]):
    def standing(self) -> SlabRecordQuerySet:
        """The last of each area of a property: what is on it today."""
        later = SlabRecord.objects.filter(
            property=models.OuterRef("property"), area=models.OuterRef("area"), pk__gt=models.OuterRef("pk")
        )
        return self.filter(~models.Exists(later))

    def sealed_last(self) -> SlabRecordQuerySet:
        """The last of each area that was sealed: a later job that only coloured it changes no date."""
        later = SlabRecord.objects.filter(
            property=models.OuterRef("property"), area=models.OuterRef("area"), pk__gt=models.OuterRef("pk")
        ).exclude(due_first=None)
        return self.exclude(due_first=None).filter(~models.Exists(later))

    def to_recall(self, until: date, free_by: date) -> SlabRecordQuerySet:
        """Those whose window opens by `until`, and that nobody has settled until after `free_by`."""
        free = Q(settled_until=None) | Q(settled_until__lte=free_by)
        return self.sealed_last().filter(free, due_first__lte=until)

    def having(self, word: str) -> SlabRecordQuerySet:
        """Those with this word in street, town, postcode, area or customer."""
        return self.filter(
            Q(property__street__icontains=word)
            | Q(property__town__icontains=word)
            | Q(property__postcode__icontains=word)
            | Q(property__customer__name__icontains=word)
            | Q(area__icontains=word)
        )

    def with_place(self) -> SlabRecordQuerySet:
        """With the job, the property and the customer, in the same query."""
        return self.select_related("job", "property__customer")


class SlabRecord(models.Model):
    """What one area of a property is sealed with since one job. It is kept with the property, in the words in which the
    sheet tells it, so that the next job sees it. Only what became of the recall is written later.
    """

    class Settled(models.TextChoices):
        LETTER = "letter", "letter sent"
        LEFT = "left", "left"

    class Because(models.TextChoices):
        NOT_NOW = "not-now", "asked: not now"
        SOUND = "sound", "looked at: it is still sound"
        OTHERS = "others", "somebody else sealed it"
        NO = "no", "they don’t want it"
        GONE = "gone", "they moved, or the slab is gone"
        OTHER = "other", "another reason"

    property = models.ForeignKey("customers.Property", models.PROTECT, related_name="slab_records")
    job = models.ForeignKey(Job, models.PROTECT, related_name="slab_records")
    area = models.CharField(max_length=120)
    surface = models.CharField(max_length=60, blank=True)
    system = models.CharField(max_length=200)
    seal = models.CharField(max_length=10, choices=[(seal.value, words) for seal, words in SEALS.items()])
    exposures = models.JSONField(default=list, blank=True)
    sealed_on = models.DateField()
    coats = models.PositiveSmallIntegerField(help_text="Coats of sealer put on by this job.")
    coats_before = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(50)])
    is_stripped = models.BooleanField(default=False, help_text="This job took off what lay there before.")
    film = models.CharField(max_length=120, blank=True)
    film_depth = models.DecimalField(
        max_digits=9, decimal_places=8, null=True, blank=True, help_text="Dry, of this job’s coats together, metres."
    )
    recipe = models.JSONField(default=list, blank=True)
    lots = models.JSONField(default=list, blank=True)
    readings = models.JSONField(default=list, blank=True)
    due_first = models.DateField(
        null=True,
        blank=True,
        help_text="First day of the first month in which to think of sealing again; none where nothing was sealed.",
    )
    due_likely = models.DateField(null=True, blank=True, help_text="First day of the likeliest one.")
    due_last = models.DateField(null=True, blank=True, help_text="First day of the last one.")
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_as = models.CharField(max_length=6, choices=Settled, blank=True)
    settled_until = models.DateField(null=True, blank=True, help_text="The day on which it comes up again.")
    left_because = models.CharField(max_length=8, choices=Because, blank=True)
    left_words = models.CharField(max_length=200, blank=True)

    objects = SlabRecordQuerySet.as_manager()

    class Meta:
        ordering = ["-sealed_on", "id"]
        constraints = [models.UniqueConstraint(fields=["job", "area"], name="slab_record_once_a_job")]
        indexes = [models.Index(fields=["due_first"], name="slab_record_due")]

    def __str__(self) -> str:
        return f"{self.area}, sealed {self.sealed_on}"

    # The field `property` hides the decorator of that name.
    @builtins.property
    def coats_now(self) -> int | None:
        """All coats that lie on it; None where nobody knows how many were there."""
        return None if self.coats_before is None else self.coats_before + self.coats
