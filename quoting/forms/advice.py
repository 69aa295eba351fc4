"""The form in which the owner takes an approach, with the advice or against it."""

from __future__ import annotations

from typing import Any

from django import forms

from quoting.core.advice import Approach
from quoting.forms.hands import Remembering


class AdviceForm(Remembering):
    """Which approach is taken on an area; the reason is asked for where the advice says otherwise."""

    version = forms.IntegerField(min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput, required=False)
    approach = forms.ChoiceField(
        label="What is done",
        choices=[(each.value, each.words) for each in Approach],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what is done on this area."},
    )
    reason = forms.CharField(
        label="Why, where the advice says otherwise",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    @property
    def facts(self) -> dict[str, Any]:
        """What `choose_approach` takes."""
        return {"approach": Approach(self.cleaned_data["approach"]), "reason": self.cleaned_data["reason"]}
