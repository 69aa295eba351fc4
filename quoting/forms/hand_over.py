"""What is told at a hand-over: the walk-through, the hours, the care, and of each area what it is sealed with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils import timezone

from quoting.core.recall import Exposure
from quoting.documents.hand_over import POINTS
from quoting.documents.slab_record import EXPOSED
from quoting.models.hand_over import SEALS

MOST_HOURS = 24 * 60
FUTURE = "That day has not come yet."


def _past(day: dt.date) -> dt.date:
    if day > timezone.localdate():
        raise forms.ValidationError(FUTURE)
    return day


class HandOverForm(forms.Form):
    """The draft. `slabs` are its areas as kept; each brings three fields of its own."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    finished_on = forms.DateField(label="Last coat on", widget=forms.DateInput(attrs={"type": "date"}))
    walk_hours = forms.IntegerField(label="Walk on it after, hours", min_value=1, max_value=MOST_HOURS)
    furniture_hours = forms.IntegerField(label="Furniture back after, hours", min_value=1, max_value=MOST_HOURS)
    park_hours = forms.IntegerField(label="Park on it after, hours", min_value=1, max_value=MOST_HOURS)
    walked = forms.MultipleChoiceField(
        label="Looked at together", choices=POINTS.items(), required=False, widget=forms.CheckboxSelectMultiple
    )
    note = forms.CharField(
        label="What was agreed on the way round", max_length=2000, required=False, widget=forms.Textarea({"rows": 3})
    )
    care = forms.CharField(
        label="Care",
        max_length=4000,
        widget=forms.Textarea({"rows": 9}),
        help_text="Each line is a sentence of its own.",
    )

    def __init__(self, *args: Any, slabs: Sequence[dict[str, Any]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.slabs = list(slabs)
        for place, slab in enumerate(self.slabs):
            self.fields[f"seal_{place}"] = forms.ChoiceField(
                label="Sealed with",
                choices=[(seal.value, words) for seal, words in SEALS.items()],
                initial=slab["seal"],
            )
            self.fields[f"before_{place}"] = forms.IntegerField(
                label="Coats on it before", min_value=0, max_value=50, required=False, initial=slab["coats_before"]
            )
            self.fields[f"exposures_{place}"] = forms.MultipleChoiceField(
                label="What it has to bear",
                choices=[(each.value, EXPOSED[each]) for each in Exposure],
                required=False,
                widget=forms.CheckboxSelectMultiple,
                initial=slab["exposures"],
            )

    @property
    def areas(self) -> list[tuple[str, forms.BoundField, forms.BoundField, forms.BoundField]]:
        """The name of each area with its three fields."""
        return [
            (slab["area"], self[f"seal_{place}"], self[f"before_{place}"], self[f"exposures_{place}"])
            for place, slab in enumerate(self.slabs)
        ]

    def clean_finished_on(self) -> dt.date:
        return _past(self.cleaned_data["finished_on"])

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_hand_over` keeps."""
        typed = self.cleaned_data
        plain = ("finished_on", "walk_hours", "furniture_hours", "park_hours", "walked", "note", "care")
        slabs = [
            {
                "area": slab["area"],
                "seal": typed[f"seal_{place}"],
                "exposures": typed[f"exposures_{place}"],
                "coats_before": typed[f"before_{place}"],
            }
            for place, slab in enumerate(self.slabs)
        ]
        return {name: typed[name] for name in plain} | {"slabs": slabs}


class SignedForm(forms.Form):
    """A sheet that was signed by hand: who, and when."""

    name = forms.CharField(label="Name as signed", max_length=200)
    on = forms.DateField(label="Signed on", widget=forms.DateInput(attrs={"type": "date"}))

    def clean_on(self) -> dt.date:
        return _past(self.cleaned_data["on"])


class SignOffForm(forms.Form):
    """The homeowner's own sign-off."""

    name = forms.CharField(label="Your name", max_length=200, widget=forms.TextInput(attrs={"autocomplete": "name"}))
    seen = forms.BooleanField(label="The work was walked over with me, and I have this sheet.")
