"""What the crew takes along beside the material, as the firm lists it: tools, spares, protective gear, tape, film."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.core.gear import Gear, GearKind, Masking, Per
from quoting.core.weather_limits import Work
from quoting.models.locking import Versioned

KINDS = {
    GearKind.PROTECTIVE: "protective gear",
    GearKind.TOOL: "tool",
    GearKind.SPARE: "spare",
    GearKind.MASKING: "tape and film",
}


class GearItem(Versioned):
    """One thing to take where one of `works` is done: so many a visit or a person, or rolls along the measured edge.

    A roll has a length, in metres; nothing else has one. Where `name_es` or `place_es` is empty, the crew reads the
    English words in both columns.
    """

    key = models.SlugField(max_length=40, unique=True)
    kind = models.CharField(max_length=10, choices=[(kind.value, words) for kind, words in KINDS.items()])
    name = models.CharField(max_length=80)
    name_es = models.CharField(max_length=80, blank=True)
    place = models.CharField(max_length=60, blank=True)
    place_es = models.CharField(max_length=60, blank=True)
    works = models.JSONField(help_text="Keys of the kinds of work that it is taken for.")
    count = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1), MaxValueValidator(500)])
    per = models.CharField(
        max_length=6, choices=[(Per.VISIT.value, "a visit"), (Per.PERSON.value, "a person")], default=Per.VISIT.value
    )
    roll = models.DecimalField(
        max_digits=9, decimal_places=4, null=True, blank=True, validators=[MinValueValidator(Decimal("0.1"))],
        help_text="Metres on a roll of tape or film.",
    )  # fmt: skip
    rows = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(20)], help_text="Times along the edge."
    )
    waste = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.15"),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(1))],
        help_text="As a fraction.",
    )
    is_starting_value = models.BooleanField(default=False, help_text="From common practice, not the firm's own list.")

    class Meta:
        ordering = ["kind", "name", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind=GearKind.MASKING.value, roll__gt=0) | ~Q(kind=GearKind.MASKING.value) & Q(roll=None),
                name="gear_roll_is_masking",
            ),
            models.CheckConstraint(condition=Q(count__gte=1) & Q(rows__gte=1), name="gear_is_counted_from_one"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def lacks_spanish(self) -> bool:
        """Whether the crew reads something of it in English only."""
        return not self.name_es or bool(self.place and not self.place_es)

    @property
    def for_works(self) -> frozenset[Work]:
        """The kinds of work that it is taken for."""
        return frozenset(Work(each) for each in self.works)

    @property
    def gear(self) -> Gear:
        """As the core takes it; for what is no tape or film."""
        return Gear(
            key=self.key, name=self.name, kind=GearKind(self.kind), works=self.for_works, count=self.count,
            per=Per(self.per), place=self.place,
        )  # fmt: skip

    @property
    def masking(self) -> Masking:
        """As the core takes it; for tape and film. Raises GearFault."""
        return Masking(
            key=self.key, name=self.name, roll=self.roll or Decimal(0), works=self.for_works, rows=self.rows,
            waste=self.waste, place=self.place,
        )  # fmt: skip
