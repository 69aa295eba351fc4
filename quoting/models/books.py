"""The books: every money fact of a job is an entry, only ever added; the database refuses UPDATE and DELETE."""

from __future__ import annotations

from django.db import models

from quoting.core.books import Entry, EntryKind
from quoting.models.invoices import Invoice
from quoting.models.jobs import Job
from quoting.models.papers import Paper
from quoting.models.payments import Payment


class BookEntryQuerySet(models.QuerySet["BookEntry"]):
    def with_numbers(self) -> BookEntryQuerySet:
        """With the numbers that an entry's value names, in the same query."""
        return self.select_related("invoice__paper", "paper").defer(
            "invoice__paper__pdf", "invoice__paper__facts", "paper__pdf", "paper__facts"
        )


class BookEntry(models.Model):
    """One fact about money. `amount` is in whole minor units, signed as `quoting.core.books` reads it."""

    position = models.PositiveBigIntegerField(unique=True, help_text="Place in the books, from 1, without gaps.")
    kind = models.CharField(max_length=10, choices=[(kind.value, kind.value) for kind in EntryKind])
    amount = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    on = models.DateField()
    at = models.DateTimeField()
    job = models.ForeignKey(Job, models.PROTECT, related_name="book")
    invoice = models.ForeignKey(Invoice, models.PROTECT, null=True, blank=True, related_name="entries")
    payment = models.ForeignKey(Payment, models.PROTECT, null=True, blank=True, related_name="entries")
    paper = models.ForeignKey(Paper, models.PROTECT, null=True, blank=True, related_name="entries")

    objects = BookEntryQuerySet.as_manager()

    class Meta:
        ordering = ["position"]
        verbose_name_plural = "book entries"
        indexes = [models.Index(fields=["job", "position"], name="book_by_job")]

    def __str__(self) -> str:
        return f"{self.position} {self.kind}"

    @property
    def entry(self) -> Entry:
        """The entry as the core reads it; expects `with_numbers`. A payment goes by its id."""
        return Entry(
            kind=EntryKind(self.kind),
            amount=self.amount,
            on=self.on,
            invoice=str(self.invoice) if self.invoice else "",
            payment=str(self.payment_id or ""),
            paper=self.paper.number if self.paper else "",
            deposit=bool(self.invoice and self.invoice.kind == Invoice.Kind.DEPOSIT),
        )
