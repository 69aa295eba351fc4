"""People and the places where the work is done. Knows nothing of quoting."""

from __future__ import annotations

from django.db import models
from django.db.models import Q


class CustomerQuerySet(models.QuerySet["Customer"]):
    """Questions about customers, written to read as speech."""

    def current(self) -> CustomerQuerySet:
        """Those that have not been merged into another."""
        return self.filter(merged_into=None)

    def found_by(self, words: str) -> CustomerQuerySet:
        """Those in whose name, address, telephone, e-mail or notes every one of the words is found."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(
                Q(name__icontains=word)
                | Q(email__icontains=word)
                | Q(phone__icontains=word)
                | Q(notes__icontains=word)
                | Q(properties__street__icontains=word)
                | Q(properties__town__icontains=word)
                | Q(properties__postcode__icontains=word)
            )
        return found.distinct()


class Customer(models.Model):
    """The party in the file: a homeowner, a couple, an owners' association."""

    name = models.CharField(max_length=200)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    other_phone = models.CharField(max_length=40, blank=True)
    post_address = models.TextField(max_length=500, blank=True, help_text="Where letters go, when not to the property.")
    notes = models.TextField(max_length=5000, blank=True)
    merged_into = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="merged_from")
    created_at = models.DateTimeField(auto_now_add=True)
    erased_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["name", "id"]
        indexes = [models.Index(fields=["name", "id"], name="customer_by_name")]
        constraints = [
            models.CheckConstraint(condition=~Q(merged_into=models.F("id")), name="customer_not_merged_into_itself")
        ]

    def __str__(self) -> str:
        return self.name


class Property(models.Model):
    """The place where the work is done; a customer may have several."""

    customer = models.ForeignKey(Customer, models.PROTECT, related_name="properties")
    street = models.CharField(max_length=200)
    town = models.CharField(max_length=100, blank=True)
    region = models.CharField(max_length=100, blank=True, help_text="State, province or county.")
    postcode = models.CharField(max_length=20, blank=True)
    access = models.TextField(max_length=2000, blank=True, help_text="Gate, water, power, pets, where to park.")
    created_at = models.DateTimeField(auto_now_add=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["street", "id"]
        verbose_name_plural = "properties"

    def __str__(self) -> str:
        return self.street

    @property
    def address_lines(self) -> tuple[str, ...]:
        """The address as it is written on an envelope, without empty lines."""
        town = ", ".join(part for part in (self.town, self.region) if part)
        last = " ".join(part for part in (town, self.postcode) if part)
        return tuple(line for line in (self.street, last) if line)
