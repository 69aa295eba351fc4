"""Which days the bookkeeper wants."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms

DAYS = {"attrs": {"type": "date"}}


class PeriodForm(forms.Form):
    """The first day and the last, both included."""

    since = forms.DateField(label="From", widget=forms.DateInput(**DAYS))
    until = forms.DateField(label="To", widget=forms.DateInput(**DAYS))

    def clean(self) -> dict[str, Any]:
        """The last day is not before the first."""
        found = super().clean() or self.cleaned_data
        since, until = found.get("since"), found.get("until")
        if since and until and until < since:
            self.add_error("until", "The last day is before the first.")
        return found


def periods(today: date) -> list[tuple[str, date, date]]:
    """The usual periods in words, with their days: this month, quarter and year, and the last of each."""
    month = today.replace(day=1)
    quarter = date(today.year, (today.month - 1) // 3 * 3 + 1, 1)
    year = date(today.year, 1, 1)
    return [
        ("this month", month, _end(month, 1)),
        ("last month", _months_on(month, -1), month - timedelta(days=1)),
        ("this quarter", quarter, _end(quarter, 3)),
        ("last quarter", _months_on(quarter, -3), quarter - timedelta(days=1)),
        ("this year", year, date(today.year, 12, 31)),
        ("last year", date(today.year - 1, 1, 1), year - timedelta(days=1)),
    ]


def _months_on(first: date, months: int) -> date:
    year, month = divmod(first.year * 12 + first.month - 1 + months, 12)
    return date(year, month + 1, 1)


def _end(first: date, months: int) -> date:
    return _months_on(first, months) - timedelta(days=1)
