"""The one firm that this service works for: its brand, its papers, its tax and its pricing rules."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from djmoney.models.fields import MoneyField

from quoting.core.tax_places import Located, holds_at
from quoting.models.locking import Versioned

RATE = {"max_digits": 7, "decimal_places": 6}
AT_LEAST_NOTHING = MinValueValidator(Decimal(0))


class Firm(Versioned):
    """A single row; everything that makes a paper this firm's."""

    class PaperSize(models.TextChoices):
        LETTER = "letter", "US letter"
        A4 = "a4", "A4"

    class Units(models.TextChoices):
        US = "us", "feet, gallons, ounces"
        METRIC = "metric", "metres, litres, grams"

    class Profit(models.TextChoices):
        MARGIN = "margin", "margin, a share of the price"
        MARKUP = "markup", "markup, a share of the cost"

    class LateRule(models.TextChoices):
        OFF = "off", "no interest"
        SIMPLE = "simple", "simple, by days"
        COMPOUNDING = "compounding", "compounding by months"

    name = models.CharField(max_length=120)
    tagline = models.CharField(max_length=200, blank=True)
    street = models.CharField(max_length=200, blank=True)
    town = models.CharField(max_length=100, blank=True)
    region = models.CharField(max_length=100, blank=True)
    postcode = models.CharField(max_length=20, blank=True)
    country = models.CharField(
        max_length=2,
        default="US",
        validators=[RegexValidator(r"^[A-Z]{2}\Z", "A country is two capitals of ISO 3166, such as US or CA.")],
        help_text="Stands on machine-readable bills only.",
    )
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    website = models.URLField(blank=True)
    licence = models.CharField(max_length=120, blank=True)
    insurance = models.CharField(max_length=200, blank=True)
    registration = models.CharField(
        max_length=120, blank=True, help_text="Tax or company registration, as printed on papers."
    )
    logo = models.BinaryField(null=True, blank=True, help_text="PNG, re-encoded when it was uploaded.")
    logo_words = models.CharField(
        max_length=200, blank=True, help_text="What the logo shows, for those who can't see it."
    )
    accent = models.CharField(
        max_length=7,
        default="#8a2b17",
        validators=[
            RegexValidator(r"^#[0-9a-fA-F]{6}\Z", "A colour reads #8a2b17: a number sign and six of 0–9 and a–f.")
        ],
    )
    paper_size = models.CharField(max_length=10, choices=PaperSize, default=PaperSize.LETTER)
    units = models.CharField(max_length=10, choices=Units, default=Units.US)
    currency = models.CharField(max_length=3, choices=[(code, code) for code in settings.CURRENCIES], default="USD")

    crew_size = models.PositiveSmallIntegerField(default=2, validators=[MinValueValidator(1), MaxValueValidator(20)])
    hourly_cost = MoneyField(
        max_digits=12, decimal_places=2, default=0, help_text="Burdened cost of one person for one hour, not the wage."
    )
    overhead = models.DecimalField(**RATE, default=Decimal("0.15"), validators=[AT_LEAST_NOTHING])
    profit_kind = models.CharField(max_length=10, choices=Profit, default=Profit.MARGIN)
    profit = models.DecimalField(**RATE, default=Decimal("0.30"), validators=[AT_LEAST_NOTHING])
    minimum = MoneyField(max_digits=12, decimal_places=2, default=0)
    round_to = MoneyField(
        max_digits=12,
        decimal_places=2,
        default=0,
        help_text="Prices go up to the next multiple of this; 0 leaves them.",
    )

    follow_up_days = models.CharField(
        max_length=60, default="2, 5, 10", blank=True, help_text="Days after sending on which a follow-up is drafted."
    )
    valid_days = models.PositiveSmallIntegerField(default=30, validators=[MinValueValidator(1), MaxValueValidator(365)])
    pay_days = models.PositiveSmallIntegerField(
        default=14, validators=[MaxValueValidator(365)], help_text="Days after its date on which a bill is due."
    )
    pay_to = models.TextField(
        max_length=1000, blank=True, help_text="How a bill is paid: bank, account, payee; one a line."
    )
    pay_link = models.URLField(blank=True, help_text="The firm's own page that takes payments; cards never come here.")
    late_rule = models.CharField(max_length=12, choices=LateRule, default=LateRule.OFF)
    late_rate = models.DecimalField(
        **RATE,
        default=Decimal(0),
        validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))],
        help_text="A year, as a fraction.",
    )
    late_year_days = models.PositiveSmallIntegerField(default=365, choices=[(360, "360 days"), (365, "365 days")])
    walk_hours = models.PositiveSmallIntegerField(default=24, help_text="After the last coat; as all of these.")
    park_hours = models.PositiveSmallIntegerField(default=72)
    furniture_hours = models.PositiveSmallIntegerField(default=72)
    mats_hours = models.PositiveSmallIntegerField(default=168, help_text="Mats, grill and planters: 7 days.")
    weather_rule = models.TextField(max_length=2000, blank=True)
    please_do = models.TextField(max_length=3000, blank=True, help_text="What the homeowner does; one a line.")
    we_do = models.TextField(max_length=3000, blank=True, help_text="What the firm does; one a line.")
    payment_note = models.TextField(max_length=2000, blank=True)
    change_rule = models.TextField(max_length=2000, blank=True, help_text="How changes are made.")
    exclusions = models.TextField(max_length=4000, blank=True, help_text="What is not included.")
    expectations = models.TextField(max_length=4000, blank=True, help_text="What to expect; one a line.")
    cautions = models.TextField(max_length=4000, blank=True)
    notice = models.TextField(
        max_length=4000, blank=True, help_text="Legal text, dated; have it checked by your adviser."
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="firm_is_one")]
        verbose_name_plural = "firm"

    def __str__(self) -> str:
        return self.name

    @property
    def address_lines(self) -> tuple[str, ...]:
        """Street, then town with region and postcode, without empty lines."""
        town = ", ".join(part for part in (self.town, self.region) if part)
        last = " ".join(part for part in (town, self.postcode) if part)
        return tuple(line for line in (self.street, last) if line)


class TaxRule(models.Model):
    """A tax that goes on proposals: a dated starting point which the firm confirms, never advice."""

    class Base(models.TextChoices):
        PRICE = "price", "the whole price"
        MATERIALS = "materials", "the materials’ share"
        LABOUR = "labour", "the labour’s share"
        NONE = "none", "nothing"

    firm = models.ForeignKey(Firm, models.CASCADE, related_name="tax_rules")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=80)
    rate = models.DecimalField(**RATE, validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))])
    on = models.CharField(max_length=10, choices=Base, default=Base.PRICE)
    region = models.CharField(max_length=100, blank=True, help_text="Where the work is; empty: in every region.")
    places = models.TextField(
        max_length=2000, blank=True, help_text="Towns and postcodes that it is charged in; empty: in the whole region."
    )
    as_of = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name

    def holds_at(self, place: Located) -> bool | None:
        """Whether it is charged for work at this place; None where the address does not say enough to tell."""
        return holds_at(self, place)


class PaymentTerm(models.Model):
    """One stretch of the payment plan: which share of the total, and what triggers it. The last one takes what is
    left.
    """

    firm = models.ForeignKey(Firm, models.CASCADE, related_name="payment_terms")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=80)
    trigger = models.CharField(
        max_length=120, help_text="When it is due: on acceptance, when the colour is on, at hand-over."
    )
    share = models.DecimalField(**RATE, validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))])
    done = models.DecimalField(
        **RATE,
        null=True,
        blank=True,
        validators=[AT_LEAST_NOTHING, MaxValueValidator(Decimal(1))],
        help_text="How much of the work is done by then; some region rules ask.",
    )

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name
