"""How the desk says days, waiting and calls."""

from __future__ import annotations

from datetime import date

from django.urls import reverse
from django.utils import formats

from quoting.models import Job

PATIENCE = 3
"""Days after which a paper without an answer is worth a call. Common practice, no published source."""


def call(job: Job) -> tuple[str, str]:
    """How the customer is asked: by telephone, else by mail, else from the folder."""
    customer = job.property.customer
    digits = "".join(letter for letter in customer.phone if letter.isascii() and (letter.isdigit() or letter == "+"))
    if digits:
        return "Ring them", f"tel:{digits}"
    if customer.email:
        return "Write to them", f"mailto:{customer.email}"
    return "Open the folder", reverse("folder", args=[job.number])


def since_words(days: int) -> str:
    """How long something has waited: 3 days, or today."""
    return days_words(days) if days > 0 else "today"


def days_words(days: int) -> str:
    """1 day, 3 days; they stay on one line."""
    return f"{days}\u00a0{'day' if days == 1 else 'days'}"


def day_words(value: date | None) -> str:
    """30 June; it stays on one line."""
    return formats.date_format(value, "j\u00a0F") if value else ""
