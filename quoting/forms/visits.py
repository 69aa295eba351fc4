"""What is typed about the days of a job: when it begins, where a visit is moved to, why it is held."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from quoting.documents.crew_words import say
from quoting.forms.hands import VERSION
from quoting.models import Hold


def _in_a_row(key: str) -> str:
    pair = say(key)
    return f"{pair.en} · {pair.es}"


class DayInput(forms.DateInput):
    """The browser's own calendar."""

    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


def _this_age(day: date) -> date:
    today = timezone.localdate()
    if not -366 <= (day - today).days <= 3 * 366:
        raise forms.ValidationError("A day of work lies within three years from now.")
    return day


class PlanForm(forms.Form):
    """From which day on, and how many come."""

    first_day = forms.DateField(label="First day", widget=DayInput())
    crew = forms.IntegerField(label="People in the crew", min_value=1, max_value=20)

    def clean_first_day(self) -> date:
        return _this_age(self.cleaned_data["first_day"])


class SeenForm(forms.Form):
    """What both of these forms carry along."""

    @property
    def facts(self) -> dict[str, Any]:
        """What the act takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen"}


class MoveForm(SeenForm):
    """Another day, and why; `seen` is the day that the visit had when the form was opened."""

    version = forms.IntegerField(**VERSION)
    seen = forms.DateField(required=False, widget=forms.HiddenInput)
    day = forms.DateField(label="New day", widget=DayInput())
    reason = forms.CharField(label="Why", max_length=200, required=False, help_text="The party is on Saturday.")

    def clean_day(self) -> date:
        return _this_age(self.cleaned_data["day"])


class HoldForm(SeenForm):
    """Why the visit is held, and when it is tried again; read by the crew in both languages. `seen` as in a move."""

    version = forms.IntegerField(**VERSION)
    seen = forms.DateField(required=False, widget=forms.HiddenInput)
    reason = forms.ChoiceField(choices=[], widget=forms.RadioSelect)
    day = forms.DateField(widget=DayInput())
    words = forms.CharField(max_length=500, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(value, _in_a_row(f"hold.reason.{value}")) for value in Hold.Reason.values]
        self.fields["reason"].choices = choices  # type: ignore[attr-defined]
        for name, key in (("reason", "why"), ("day", "until"), ("words", "words")):
            self.fields[name].label = _in_a_row(f"hold.{key}")

    def clean_day(self) -> date:
        return _this_age(self.cleaned_data["day"])


class NoticeForm(forms.Form):
    """The mail that tells the homeowner, looked over."""

    subject = forms.CharField(label="Subject", max_length=200)
    words = forms.CharField(label="Words", max_length=4000, widget=forms.Textarea(attrs={"rows": 9}))
