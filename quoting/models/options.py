"""The options drafted for a job: which system on which areas, and what differs from the price book, with the
reason.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from djmoney.models.fields import MoneyField

from quoting.models.jobs import Area, Job
from quoting.models.locking import Versioned

if TYPE_CHECKING:
    from quoting.models.systems import StepMaterial

FIGURE = {"max_digits": 12, "decimal_places": 4}
AT_LEAST_NOTHING = MinValueValidator(Decimal(0))
ABOVE_NOTHING = MinValueValidator(Decimal("0.0001"))


class OptionQuerySet(models.QuerySet["Option"]):
    def with_everything(self) -> OptionQuerySet:
        """With all that decides a price, in a number of queries that does not grow: edition, place, groups, areas and
        parts, steps with labour and materials, what differs from the price book, charges."""
        return self.select_related("edition", "job__property").prefetch_related(
            "groups__system",
            "groups__areas__parts",
            "groups__steps__step__task",
            "groups__steps__step__materials__material__packs",
            "groups__steps__step__materials__material__coverages",
            "groups__steps__uses__material__packs",
            "groups__steps__uses__material__coverages",
            "charges",
        )


class Option(Versioned):
    """A complete alternative that is being drafted, or an add-on to one."""

    class Kind(models.TextChoices):
        OPTION = "option", "option"
        ADD_ON = "add-on", "add-on"

    job = models.ForeignKey(Job, models.PROTECT, related_name="options")
    edition = models.ForeignKey("quoting.Edition", models.PROTECT, related_name="+")
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.OPTION)
    with_option = models.ForeignKey("self", models.CASCADE, null=True, blank=True, related_name="add_ons")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=120)
    advised = models.BooleanField(default=False)
    mends = models.CharField(max_length=300, blank=True)
    does_not_mend = models.CharField(max_length=300, blank=True)
    life = models.CharField(max_length=120, blank=True)
    look = models.CharField(max_length=200, blank=True)
    slip = models.CharField(max_length=200, blank=True)
    discount = MoneyField(max_digits=12, decimal_places=2, default=0)
    discount_reason = models.CharField(max_length=200, blank=True)

    objects = OptionQuerySet.as_manager()

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="option", with_option=None) | Q(kind="add-on", with_option__isnull=False),
                name="add_on_has_its_option",
            ),
            models.UniqueConstraint(fields=["job"], condition=Q(advised=True), name="option_one_advised_a_job"),
        ]

    def __str__(self) -> str:
        return self.name


class OptionGroup(models.Model):
    """A restoration system for a group of areas."""

    option = models.ForeignKey(Option, models.CASCADE, related_name="groups")
    position = models.PositiveSmallIntegerField(default=0)
    system = models.ForeignKey("quoting.RestorationSystem", models.PROTECT, related_name="+")
    areas = models.ManyToManyField(Area, related_name="+")

    class Meta:
        ordering = ["position", "id"]


class OptionStep(models.Model):
    """A step of the system as this option does it: on or off, with what differs from the price book, and why."""

    group = models.ForeignKey(OptionGroup, models.CASCADE, related_name="steps")
    step = models.ForeignKey("quoting.SystemStep", models.PROTECT, related_name="+")
    on = models.BooleanField(default=True)
    passes = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    rate = models.DecimalField(**FIGURE, null=True, blank=True, validators=[ABOVE_NOTHING])
    setup = models.DecimalField(**FIGURE, null=True, blank=True, validators=[AT_LEAST_NOTHING])
    difficulty = models.DecimalField(**FIGURE, null=True, blank=True, validators=[ABOVE_NOTHING])
    length = models.CharField(max_length=40, blank=True, help_text="For steps by length: 18 ft.")
    count = models.PositiveIntegerField(null=True, blank=True, help_text="For steps by the piece.")
    hours = models.DecimalField(**FIGURE, null=True, blank=True, validators=[AT_LEAST_NOTHING])
    visit = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(30)]
    )
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["step__position", "id"]
        constraints = [models.UniqueConstraint(fields=["group", "step"], name="step_once_a_group")]

    def use_of(self, step_material: StepMaterial) -> OptionUse | None:
        """What this option does differently with that material; asks no query where `uses` are loaded."""
        if self.pk is None:
            return None
        return next((each for each in self.uses.all() if each.step_material_id == step_material.pk), None)


class OptionUse(models.Model):
    """What this option does differently with one material of a step: another tone, coats, coverage, strength or
    waste.
    """

    option_step = models.ForeignKey(OptionStep, models.CASCADE, related_name="uses")
    step_material = models.ForeignKey("quoting.StepMaterial", models.PROTECT, related_name="+")
    material = models.ForeignKey(
        "quoting.Material",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Another one of the same group, such as another tone.",
    )
    coats = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(10)]
    )
    coverage = models.DecimalField(
        **FIGURE, null=True, blank=True, validators=[ABOVE_NOTHING], help_text="In the edition’s units, every coat."
    )
    strength = models.DecimalField(
        **FIGURE, null=True, blank=True, validators=[ABOVE_NOTHING], help_text="In the edition’s units."
    )
    waste = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))],
    )
    length = models.CharField(max_length=40, blank=True)
    width = models.CharField(max_length=40, blank=True)
    depth = models.CharField(max_length=40, blank=True)
    count = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["option_step", "step_material"], name="use_once_a_step")]


class OptionCharge(models.Model):
    """A cost added to an option: from the price book, or its own with a reason."""

    option = models.ForeignKey(Option, models.CASCADE, related_name="charges")
    position = models.PositiveSmallIntegerField(default=0)
    charge = models.ForeignKey("quoting.Charge", models.PROTECT, null=True, blank=True, related_name="+")
    name = models.CharField(max_length=120)
    category = models.CharField(
        max_length=12,
        choices=[("equipment", "equipment"), ("subcontract", "subcontract"), ("other", "other")],
        default="equipment",
    )
    amount = MoneyField(max_digits=12, decimal_places=2)
    per = models.CharField(
        max_length=6, choices=[("visit", "a visit"), ("job", "a job"), ("share", "of direct cost")], default="job"
    )
    share = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[ABOVE_NOTHING, MaxValueValidator(Decimal(1))],
        help_text="Of direct cost, as a fraction, instead of the amount.",
    )
    on = models.BooleanField(default=True)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["position", "id"]
