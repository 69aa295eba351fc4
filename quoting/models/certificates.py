"""Why a customer is charged no tax: certificates as they were handed in, with the days on which they hold."""

from __future__ import annotations

from datetime import date

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from customers.models import Customer
from quoting.models.jobs import Job
from quoting.models.papers import Paper


class CertificateQuerySet(models.QuerySet["Certificate"]):
    def on(self, day: date) -> CertificateQuerySet:
        """Those that hold on this day."""
        still = Q(valid_until=None) | Q(valid_until__gte=day)
        return self.filter(still, valid_from__lte=day)

    def holding_for(self, job: Job, day: date) -> list[Certificate]:
        """Those of the job's customer that hold on this day for work at its property, without the bytes."""
        place = job.property
        rows = self.without_file().filter(customer=place.customer_id).on(day)
        return [row for row in rows if row.holds(day, place.region)]

    def without_file(self) -> CertificateQuerySet:
        """Without the bytes, for lists."""
        return self.defer("content")


class Certificate(models.Model):
    """One certificate of exemption. The row is never edited: a wrong one is taken away, and entered anew."""

    class Kind(models.TextChoices):
        ORGANISATION = "organisation", "exempt organisation"
        GOVERNMENT = "government", "government"
        RESALE = "resale", "for resale"
        IMPROVEMENT = "improvement", "capital improvement"
        OTHER = "other", "another reason"

    customer = models.ForeignKey(Customer, models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=12, choices=Kind)
    number = models.CharField(max_length=60, help_text="As it stands on the certificate.")
    region = models.CharField(max_length=100, blank=True, help_text="The state that it holds in; empty: in all.")
    taxes = models.JSONField(default=list, help_text="Names of the taxes that it takes off; empty: all of them.")
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True, help_text="The last day; empty: it has none.")
    content = models.BinaryField()
    content_type = models.CharField(max_length=20)
    sha256 = models.CharField(max_length=64, help_text="Of the file as it is kept.")
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    added_at = models.DateTimeField(auto_now_add=True)

    objects = CertificateQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(valid_until=None) | Q(valid_until__gte=F("valid_from")),
                name="certificate_ends_after_it_begins",
            ),
            models.UniqueConstraint(fields=["customer", "sha256", "number"], name="certificate_once"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, certificate {self.number}"

    def holds(self, day: date, region: str) -> bool:
        """Whether it holds on this day for work in this region, capitals or not."""
        in_time = self.valid_from <= day and (self.valid_until is None or day <= self.valid_until)
        return in_time and self.region.strip().casefold() in ("", region.strip().casefold())

    def covers(self, tax: str) -> bool:
        """Whether it takes this tax off."""
        return not self.taxes or tax in self.taxes


class Exemption(models.Model):
    """That the firm took the taxes off a contract by a certificate, after it was agreed with them. Rows never change.

    The certificate's words are copied, so that they stay as they were when it was applied.
    """

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="exemptions", help_text="The accepted proposal.")
    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="exemptions")
    kind = models.CharField(max_length=12, choices=Certificate.Kind)
    number = models.CharField(max_length=60)
    sha256 = models.CharField(max_length=64, help_text="Of the certificate's file.")
    taxes = models.JSONField(help_text="Names of the taxes that it took off.")
    applied_on = models.DateField()
    applied_at = models.DateTimeField()
    applied_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["applied_at", "id"]
        constraints = [models.UniqueConstraint(fields=["paper", "certificate"], name="exemption_once_a_contract")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, certificate {self.number}"
