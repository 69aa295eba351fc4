"""Bills while they are drafted, and what each said when it was issued; credit notes, which take a bill back."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Job
from quoting.models.locking import Versioned
from quoting.models.papers import Paper


class InvoiceQuerySet(models.QuerySet["Invoice"]):
    def issued(self) -> InvoiceQuerySet:
        """Those that were issued, credit notes among them."""
        return self.filter(state=Invoice.State.ISSUED)

    def bills(self) -> InvoiceQuerySet:
        """Those that ask for money: issued, and no credit notes."""
        return self.issued().exclude(kind=Invoice.Kind.CREDIT)

    def of_contract(self) -> InvoiceQuerySet:
        """Those that bill what is agreed, and the credit notes to them: interest comes on top of it."""
        return self.exclude(kind=Invoice.Kind.INTEREST).exclude(credits__kind=Invoice.Kind.INTEREST)

    def with_paper(self) -> InvoiceQuerySet:
        """With paper, folder, place and customer in the same query, without the paper's bytes."""
        return self.select_related("paper", "job__property__customer").defer("paper__pdf", "paper__facts")

    def found_by(self, words: str) -> InvoiceQuerySet:
        """Those in whose number, folder, street, town or customer every one of the words is found."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(
                Q(paper__number__icontains=word)
                | Q(job__number__icontains=word)
                | Q(job__property__street__icontains=word)
                | Q(job__property__town__icontains=word)
                | Q(job__property__customer__name__icontains=word)
            )
        return found


class Invoice(Versioned):
    """A bill of a job, or a credit note. Once issued the row never changes: the database refuses it."""

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", "deposit"
        PROGRESS = "progress", "progress"
        FINAL = "final", "final"
        SINGLE = "single", "all in one"
        INTEREST = "interest", "interest on late payment"
        CREDIT = "credit-note", "credit note"

    class State(models.TextChoices):
        DRAFTED = "drafted", "drafted"
        ISSUED = "issued", "issued"

    job = models.ForeignKey(Job, models.PROTECT, related_name="invoices")
    kind = models.CharField(max_length=12, choices=Kind)
    state = models.CharField(max_length=8, choices=State, default=State.DRAFTED)
    paper = models.OneToOneField(Paper, models.PROTECT, null=True, blank=True, related_name="invoice")
    credits = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="credited_by")
    late = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="interest", help_text="The bill that was paid late."
    )
    reckoned_until = models.DateField(null=True, blank=True, help_text="The day up to which interest is billed.")
    event = models.CharField(max_length=120, blank=True, help_text="What it is due on: when the colour is on.")
    amount = models.DecimalField(
        max_digits=12,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.01"))],
        help_text="Tax included, in the currency of the contract.",
    )
    done = models.DecimalField(
        max_digits=7,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(1))],
        help_text="How much of the work is done, as a share; None: not said.",
    )
    issued_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    words = models.TextField(max_length=1000, blank=True, help_text="What the bill says besides its figures.")
    reason = models.CharField(max_length=300, blank=True, help_text="Why it is credited.")
    figures = models.TextField(blank=True, help_text="Canonical JSON: lines by area, taxes, price, total, as issued.")
    drafted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    drafted_at = models.DateTimeField(auto_now_add=True)

    objects = InvoiceQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        indexes = [models.Index(fields=["-issued_on", "-id"], name="invoice_by_day")]
        constraints = [
            models.UniqueConstraint(fields=["job"], condition=Q(state="drafted"), name="invoice_one_draft_a_job"),
            models.CheckConstraint(
                condition=Q(state="drafted", paper=None)
                | Q(state="issued", paper__isnull=False, issued_on__isnull=False),
                name="invoice_issued_has_paper",
            ),
            models.CheckConstraint(
                condition=Q(kind="credit-note", credits__isnull=False) | (~Q(kind="credit-note") & Q(credits=None)),
                name="invoice_credit_note_names_its_invoice",
            ),
            models.CheckConstraint(
                condition=Q(kind="interest", late__isnull=False, reckoned_until__isnull=False)
                | (~Q(kind="interest") & Q(late=None, reckoned_until=None)),
                name="invoice_interest_names_its_bill",
            ),
            models.CheckConstraint(condition=Q(amount__gt=0), name="invoice_more_than_nothing"),
        ]

    def __str__(self) -> str:
        return self.paper.number if self.paper_id and self.paper else f"draft bill {self.pk}"
