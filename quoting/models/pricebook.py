"""The price book in dated editions, with the materials that the firm buys and how far they go."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Case, Q, When
from djmoney.models.fields import MoneyField

from quoting.core.book_units import BookUnits, book_units
from quoting.models.locking import Versioned
from quoting.models.surfaces import Condition, Surface

FIGURE = {"max_digits": 12, "decimal_places": 4}
ABOVE_NOTHING = MinValueValidator(Decimal("0.0001"))
AT_LEAST_NOTHING = MinValueValidator(Decimal(0))
SHARE: dict[str, Any] = {
    "max_digits": 5,
    "decimal_places": 4,
    "null": True,
    "blank": True,
    "validators": [ABOVE_NOTHING, MaxValueValidator(Decimal(1))],
}
KEY = {"max_length": 60, "help_text": "Stays the same from edition to edition."}


class EditionQuerySet(models.QuerySet["Edition"]):
    def published(self) -> EditionQuerySet:
        """The edition that new options are priced with; at most one row."""
        return self.filter(state=Edition.State.PUBLISHED)


class Edition(Versioned):
    """One dated version of the whole price book. A published one never changes: the database refuses it."""

    class State(models.TextChoices):
        DRAFTED = "drafted", "drafted"
        PUBLISHED = "published", "published"
        SUPERSEDED = "superseded", "superseded"

    class Units(models.TextChoices):
        US = "us", "American: ft², gallons, ounces"
        METRIC = "metric", "metric: m², litres, grams"

    name = models.CharField(max_length=40, unique=True)
    state = models.CharField(max_length=10, choices=State, default=State.DRAFTED)
    takes_over = models.DateField(null=True, blank=True)
    published_at = models.DateTimeField(null=True, blank=True)
    based_on = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="successors")
    note = models.TextField(max_length=2000, blank=True)
    units = models.CharField(max_length=10, choices=Units, default=Units.US)
    created_at = models.DateTimeField(auto_now_add=True)

    objects = EditionQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["state"], condition=Q(state="published"), name="edition_one_published"),
            models.CheckConstraint(
                condition=Q(state__in=["drafted", "published", "superseded"]), name="edition_state_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_drafted(self) -> bool:
        return self.state == self.State.DRAFTED

    @property
    def counts_in(self) -> BookUnits:
        """The units of its bare figures: coverage, strength, scoop, density, labour rates."""
        return book_units(self.units)


def free_edition_name(year: int) -> str:
    """The first of 2026-1, 2026-2, … that no edition bears."""
    taken = set(Edition.objects.filter(name__startswith=f"{year}-").values_list("name", flat=True))
    return next(name for number in range(1, len(taken) + 2) if (name := f"{year}-{number}") not in taken)


class Material(models.Model):
    """Something that is bought in packs and used up. Its bare figures are in the units of its edition."""

    class Kind(models.TextChoices):
        LIQUID = "liquid", "liquid, by volume"
        DRY = "dry", "dry, by mass"
        COUNT = "count", "by the piece"

    class Group(models.TextChoices):
        POWDERS = "powders", "Powders"
        SEALERS = "sealers", "Sealers"
        CLEANERS = "cleaners", "Cleaners, strippers"
        SUNDRIES = "sundries", "Sand, paste, sundries"

    class Charge(models.TextChoices):
        PACKS = "packs", "the packs bought"
        USED = "used", "what is used"

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="materials")
    key = models.SlugField(**KEY)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=Kind)
    group = models.CharField(max_length=12, choices=Group)
    position = models.PositiveSmallIntegerField(default=0)
    charge = models.CharField(max_length=10, choices=Charge, default=Charge.PACKS)
    scoop = models.DecimalField(
        **FIGURE, null=True, blank=True, validators=[ABOVE_NOTHING], help_text="Powder in one level scoop, oz or g."
    )
    solids = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        null=True,
        blank=True,
        validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))],
        help_text="Solids by volume, as a fraction.",
    )
    density = models.DecimalField(
        **FIGURE,
        null=True,
        blank=True,
        validators=[ABOVE_NOTHING],
        help_text="lb a cubic foot or kg a cubic metre, where volume must become mass.",
    )
    waste = models.DecimalField(
        max_digits=5, decimal_places=4, default=Decimal(0), validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))]
    )
    strength = models.DecimalField(
        **FIGURE,
        null=True,
        blank=True,
        validators=[ABOVE_NOTHING],
        help_text="Powder in water, oz a gallon or g/L.",
    )
    kept_in = models.CharField(max_length=60, blank=True)
    cautions = models.TextField(max_length=1000, blank=True)
    is_starting_value = models.BooleanField(
        default=False, help_text="From common practice, not from the firm's own jobs."
    )

    class Meta:
        ordering = ["group", "position", "name", "id"]
        constraints = [models.UniqueConstraint(fields=["edition", "key"], name="material_key_once_an_edition")]

    def __str__(self) -> str:
        return self.name

    def coverage_on(self, surface: str, condition: str, coat: int = 1) -> Coverage:
        """How far it goes on a surface in a condition, for this coat; asks no query where `coverages` are loaded.

        Where the book has no row of its own: steps are reckoned like stamped concrete, a condition that is not given
        like worn, a later coat like the last one given. Raises MissingCoverage when none of these has a row.
        """
        rows = {(row.surface, row.condition, row.coat): row for row in self.coverages.all()}
        surfaces = (Surface.STEPS, Surface.STAMPED) if surface == Surface.STEPS else (surface,)
        for like in surfaces:
            for found in dict.fromkeys((condition, Condition.WORN)):
                for earlier in range(coat, 0, -1):
                    if row := rows.get((like, found, earlier)):
                        return row
        raise MissingCoverage(self, surface, condition)


UNITS_OF_KIND: dict[str, tuple[str, ...]] = {
    Material.Kind.LIQUID: ("fl oz", "pt", "qt", "gal", "mL", "L"),
    Material.Kind.DRY: ("oz", "lb", "g", "kg"),
    Material.Kind.COUNT: ("each",),
}
"""The units that packs of each kind of material come in."""


class MissingCoverage(Exception):
    """The price book doesn't say how far a material goes on a surface."""

    def __init__(self, material: Material, surface: str, condition: str) -> None:
        self.material, self.surface, self.condition = material, surface, condition
        where = Surface(surface).label if surface in Surface.values else surface
        found = Condition(condition).label if condition in Condition.values else condition
        super().__init__(f"the price book doesn’t say how far {material.name} goes on {where}, {found}.")


class Pack(models.Model):
    """A container as sold."""

    UNITS = [(u, u) for u in ("oz", "lb", "fl oz", "pt", "qt", "gal", "g", "kg", "mL", "L", "each")]

    material = models.ForeignKey(Material, models.CASCADE, related_name="packs")
    size = models.DecimalField(**FIGURE, validators=[ABOVE_NOTHING])
    unit = models.CharField(max_length=6, choices=UNITS)
    price = MoneyField(max_digits=12, decimal_places=2)

    class Meta:
        ordering = ["size", "id"]
        constraints = [models.UniqueConstraint(fields=["material", "size", "unit"], name="pack_size_once")]

    def __str__(self) -> str:
        return self.size_text

    @property
    def size_text(self) -> str:
        """The size as the scope file writes it: `5 gal`."""
        return f"{self.size.normalize():f} {self.unit}"


class CoverageQuerySet(models.QuerySet["Coverage"]):
    def in_book_order(self) -> CoverageQuerySet:
        """By surface and condition as the book names them, then by coat."""
        surfaces = [When(Q(surface=key), then=place) for place, key in enumerate(Surface.values)]
        conditions = [When(Q(condition=key), then=place) for place, key in enumerate(Condition.values)]
        return self.order_by(Case(*surfaces), Case(*conditions), "coat", "id")


class Coverage(models.Model):
    """How far a material goes on a surface in a condition: ft² a gallon of what is applied, or m² a litre as the
    edition counts, one coat."""

    material = models.ForeignKey(Material, models.CASCADE, related_name="coverages")
    surface = models.CharField(max_length=20, choices=Surface)
    condition = models.CharField(max_length=10, choices=Condition)
    coat = models.PositiveSmallIntegerField(
        default=1, help_text="The first coat, the second coat; a later coat takes the last one given."
    )
    low = models.DecimalField(**FIGURE, validators=[ABOVE_NOTHING])
    likely = models.DecimalField(**FIGURE, validators=[ABOVE_NOTHING])
    high = models.DecimalField(**FIGURE, validators=[ABOVE_NOTHING])
    spread = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        default=Decimal("0.25"),
        validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))],
        help_text="Standard deviation over mean, before there is history.",
    )

    objects = CoverageQuerySet.as_manager()

    class Meta:
        ordering = ["surface", "condition", "coat", "id"]
        constraints = [
            models.UniqueConstraint(fields=["material", "surface", "condition", "coat"], name="coverage_once"),
            models.CheckConstraint(
                condition=Q(low__lte=models.F("likely")) & Q(likely__lte=models.F("high")),
                name="coverage_low_likely_high",
            ),
        ]


class PriceList(models.Model):
    """A file of materials that was read for a draft. Its bytes are kept until they are taken over; the digest
    stays, so that the same file twice is one import."""

    edition = models.ForeignKey(Edition, models.CASCADE, related_name="price_lists")
    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    content = models.BinaryField()
    read_at = models.DateTimeField(auto_now=True)
    taken_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-read_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["edition", "sha256"], name="price_list_once_an_edition")]

    def __str__(self) -> str:
        return self.name
