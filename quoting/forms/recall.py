"""Leaving a slab that is due: until when, and why."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from quoting.models import SlabRecord

FURTHEST = 10 * 366
"""Days; what rests longer is forgotten."""


class LeaveForm(forms.Form):
    """When it comes up again, and why nothing is written now."""

    until = forms.DateField(label="Comes up again on", widget=forms.DateInput(attrs={"type": "date"}))
    because = forms.ChoiceField(label="Why", choices=SlabRecord.Because.choices)
    words = forms.CharField(
        label="What you know of it",
        max_length=200,
        required=False,
        help_text="For yourselves; the homeowner never sees it.",
    )

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_until(self) -> dt.date:
        until: dt.date = self.cleaned_data["until"]
        if until <= self.today:
            raise forms.ValidationError("The day on which it comes up again must lie ahead.")
        if until > self.today + dt.timedelta(days=FURTHEST):
            raise forms.ValidationError("Ten years ahead at most.")
        return until
