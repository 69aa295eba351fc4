"""What was issued: rows that never change. The database itself refuses UPDATE and DELETE on them."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class Paper(models.Model):
    """One issued paper: its number, its bytes and the facts that it was printed from."""

    class Kind(models.TextChoices):
        PROPOSAL = "proposal", "proposal"
        CHANGE = "change-order", "change order"
        INVOICE = "invoice", "invoice"
        CREDIT_NOTE = "credit-note", "credit note"
        RECEIPT = "receipt", "receipt"
        STATEMENT = "statement", "statement of account"
        HAND_OVER = "hand-over", "hand-over sheet"

    kind = models.CharField(max_length=20, choices=Kind)
    number = models.CharField(max_length=24, unique=True)
    job = models.ForeignKey("quoting.Job", models.PROTECT, related_name="papers")
    revision = models.PositiveSmallIntegerField()
    replaces = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    valid_until = models.DateField(null=True, blank=True)
    facts = models.TextField(help_text="Canonical JSON of every value on the paper.")
    facts_sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    pages = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["-issued_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["kind", "job", "revision"], name="paper_revision_once")]

    def __str__(self) -> str:
        return self.number


class PaperScope(models.Model):
    """A scope file as it was priced for a paper, with the workings that came of it."""

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="scopes")
    position = models.PositiveSmallIntegerField()
    role = models.CharField(max_length=10, help_text="`option`, `together` with an add-on, or a stage of a change.")
    name = models.CharField(max_length=120)
    edition = models.CharField(max_length=40)
    scope = models.TextField()
    scope_sha256 = models.CharField(max_length=64)
    workings = models.TextField()
    workings_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["paper", "position"]
        constraints = [models.UniqueConstraint(fields=["paper", "position"], name="paper_scope_position_once")]


class PaperImage(models.Model):
    """A picture that stands on papers, as it was printed from: known by the hash of its bytes, kept once however often
    it is shown. A paper's facts name it by that hash."""

    sha256 = models.CharField(max_length=64, unique=True)
    content = models.BinaryField(help_text="A whole JPEG file.")
