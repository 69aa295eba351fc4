"""The price book's rates: how long work takes, what else a job costs, what is priced in advance."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from djmoney.models.fields import MoneyField

from quoting.models.pricebook import ABOVE_NOTHING, AT_LEAST_NOTHING, FIGURE, KEY, SHARE, Edition


class LabourTask(models.Model):
    """A task with its production rate: what one person gets done in one hour of open work, set-up apart."""

    UNITS = [
        ("ft**2/hour", "ft² an hour"),
        ("ft/hour", "ft an hour"),
        ("m**2/hour", "m² an hour"),
        ("m/hour", "m an hour"),
        ("each/hour", "pieces an hour"),
    ]

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="tasks")
    key = models.SlugField(**KEY)
    name = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField(default=0)
    rate = models.DecimalField(**FIGURE, validators=[ABOVE_NOTHING])
    unit = models.CharField(max_length=12, choices=UNITS, default="ft**2/hour")
    setup = models.DecimalField(
        **FIGURE, default=Decimal(0), validators=[AT_LEAST_NOTHING], help_text="Person-hours of set-up."
    )
    textured = models.DecimalField(
        **FIGURE, default=Decimal(1), validators=[ABOVE_NOTHING], help_text="Difficulty factor on deep texture."
    )
    awkward = models.DecimalField(
        **FIGURE,
        default=Decimal(1),
        validators=[ABOVE_NOTHING],
        help_text="Difficulty factor on slopes, steps and tight places.",
    )
    is_starting_value = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "name", "id"]
        constraints = [models.UniqueConstraint(fields=["edition", "key"], name="task_key_once_an_edition")]

    def __str__(self) -> str:
        return self.name

    @property
    def counts(self) -> str:
        """What its rate is counted by: `area`, `length` or `piece`."""
        return {"ft**2/hour": "area", "m**2/hour": "area", "each/hour": "piece"}.get(self.unit, "length")

    def goes_by(self, measure: str) -> bool:
        """Whether its rate has the unit of what a step is measured by: an area, a length or edge, a count."""
        return self.unit in UNITS_OF_MEASURE.get(measure, ())


UNITS_OF_MEASURE = {
    "area": ("ft**2/hour", "m**2/hour"),
    "edge": ("ft/hour", "m/hour"),
    "length": ("ft/hour", "m/hour"),
    "count": ("each/hour",),
}
"""The units that a task's rate may have for what a step is measured by."""


class Charge(models.Model):
    """A cost that is neither material nor labour: travel a visit, disposal a job, or a share of direct cost kept for
    what nobody knows yet.
    """

    class Category(models.TextChoices):
        EQUIPMENT = "equipment", "equipment"
        SUBCONTRACT = "subcontract", "subcontract"
        OTHER = "other", "other"

    class Per(models.TextChoices):
        VISIT = "visit", "a visit"
        JOB = "job", "a job"
        SHARE = "share", "of direct cost"

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="charges")
    key = models.SlugField(**KEY)
    name = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField(default=0)
    category = models.CharField(max_length=12, choices=Category, default=Category.EQUIPMENT)
    amount = MoneyField(max_digits=12, decimal_places=2)
    per = models.CharField(max_length=6, choices=Per, default=Per.VISIT)
    share = models.DecimalField(**SHARE, help_text="Of direct cost, as a fraction, instead of the amount.")
    always = models.BooleanField(default=True, help_text="Put into every new option.")

    class Meta:
        ordering = ["position", "name", "id"]
        constraints = [models.UniqueConstraint(fields=["edition", "key"], name="charge_key_once_an_edition")]

    def __str__(self) -> str:
        return self.name


class UnitPrice(models.Model):
    """What may turn up, priced in advance: a further strip pass a square foot, a foot of crack, a bag of sand."""

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="unit_prices")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=160)
    price = MoneyField(max_digits=12, decimal_places=2)

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name
