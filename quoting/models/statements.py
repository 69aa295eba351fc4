"""Statements of account as they were issued: the paper stands in one of the customer's folders."""

from __future__ import annotations

from django.db import models

from customers.models import Customer
from quoting.models.papers import Paper


class Statement(models.Model):
    """One statement as it was issued: the customer whom it is about, and the paper with its bytes."""

    customer = models.ForeignKey(Customer, models.PROTECT, related_name="statements")
    paper = models.OneToOneField(Paper, models.PROTECT, related_name="statement")
    once = models.CharField(max_length=64, unique=True, help_text="Names the act: the same act again changes nothing.")

    class Meta:
        ordering = ["-paper__issued_at", "-id"]

    def __str__(self) -> str:
        return self.paper.number
