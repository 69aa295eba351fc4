"""Restoration systems of the price book: ordered steps that answer a condition, with what each step uses up."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from quoting.models.pricebook import AT_LEAST_NOTHING, FIGURE, KEY, Edition, Material
from quoting.models.rates import LabourTask


class RestorationSystem(models.Model):
    """An ordered list of steps that answers a condition."""

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="systems")
    key = models.SlugField(**KEY)
    name = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField(default=0)
    approach = models.CharField(
        max_length=24, blank=True, help_text="The approach of the advice that it carries out, such as recolour."
    )
    surfaces = models.JSONField(default=list, help_text="Surfaces that it suits.")
    conditions = models.JSONField(default=list, help_text="Conditions that it suits.")
    mends = models.CharField(max_length=300, blank=True)
    does_not_mend = models.CharField(max_length=300, blank=True)
    life = models.CharField(max_length=120, blank=True, help_text="Seal again after.")
    look = models.CharField(max_length=200, blank=True)
    slip = models.CharField(max_length=200, blank=True)
    warranty = models.TextField(max_length=2000, blank=True)

    class Meta:
        ordering = ["position", "name", "id"]
        constraints = [models.UniqueConstraint(fields=["edition", "key"], name="system_key_once_an_edition")]

    def __str__(self) -> str:
        return self.name


class SystemStep(models.Model):
    """One step of a system: its labour, its materials, the visit on which it falls and the hold after it."""

    class Measure(models.TextChoices):
        """What the step's labour rate is multiplied with."""

        AREA = "area", "the area"
        EDGE = "edge", "the edge"
        LENGTH = "length", "a length, asked for in the option"
        COUNT = "count", "a count, asked for in the option"
        HOURS = "hours", "hours, given outright"

    system = models.ForeignKey(RestorationSystem, models.CASCADE, related_name="steps")
    key = models.SlugField(**KEY)
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=120)
    how = models.CharField(max_length=300, blank=True, help_text="What the homeowner reads about it.")
    task = models.ForeignKey(LabourTask, models.PROTECT, null=True, blank=True, related_name="+")
    measure = models.CharField(max_length=8, choices=Measure, default=Measure.AREA)
    hours = models.DecimalField(**FIGURE, null=True, blank=True, validators=[AT_LEAST_NOTHING])
    passes = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(20)])
    visit = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(30)])
    hold_hours = models.DecimalField(
        **FIGURE, default=Decimal(0), validators=[AT_LEAST_NOTHING], help_text="Hours of waiting before the next step."
    )
    on = models.BooleanField(default=True, help_text="Switched on in a new option.")

    class Meta:
        ordering = ["position", "id"]
        constraints = [models.UniqueConstraint(fields=["system", "key"], name="step_key_once_a_system")]

    def __str__(self) -> str:
        return self.name


class StepMaterial(models.Model):
    """A material that a step uses up.

    `use` is the scope file's `use`; what it leaves out (coverage or rates, strength, density) comes from the material's
    own figures for the surface and condition found. Two keys are the price book's own and never reach a scope file:
    `first_coat` (a second coat that is a step of its own takes the coverage of coat 2) and `condition` (after stripping
    the slab is bare, whatever was found).
    """

    step = models.ForeignKey(SystemStep, models.CASCADE, related_name="materials")
    material = models.ForeignKey(Material, models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField(default=0)
    use = models.JSONField(default=dict)
    waste = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))],
        help_text="Overrides the material's own.",
    )

    class Meta:
        ordering = ["position", "id"]
