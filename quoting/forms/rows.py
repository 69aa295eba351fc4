"""Forms by which two people may work on the same row: only what both have changed is a matter for the two of them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, NamedTuple

from django import forms
from django.db import models
from moneyed import Money

from quoting.forms.figures import AmountField

VERSION = {"min_value": 1, "max_value": 2**31 - 1, "widget": forms.HiddenInput}
"""How a form carries the version that it was opened with."""


class Hands(NamedTuple):
    """One field that two people changed: what both had, what is kept now, what was typed."""

    label: str
    had: str
    theirs: str
    yours: str


class KeepsTheirs(forms.BaseForm):
    """A form that changes only what was changed in it: what it was opened with travels along, field by field.

    So two people may work on one row, and only a figure that both have changed is a matter for the two of them.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if name not in {"id", "version", "DELETE"} and not isinstance(field.widget, forms.CheckboxSelectMultiple):
                field.show_hidden_initial = True

    def keep_untouched(self, row: models.Model) -> None:
        """Put back what the row has now into every field that nobody touched here."""
        for name in set(self.cleaned_data) - set(self.changed_data):
            if self.fields[name].show_hidden_initial and row.pk and hasattr(row, name):
                self.cleaned_data[name] = getattr(row, name)

    def both_changed(self) -> list[Hands]:
        """The fields that were changed here and, since this form was opened, by somebody else."""
        found = []
        for name in self.changed_data:
            bound, field = self[name], self.fields[name]
            if not field.show_hidden_initial:
                continue
            had = self._widget_data_value(field.hidden_widget(), bound.html_initial_name)
            had, theirs, yours = (_shown(bound, each) for each in (had, bound.initial, bound.data))
            if theirs not in (had, yours):
                found.append(Hands(str(bound.label), had, theirs, yours))
        return found


def _shown(bound: forms.BoundField, value: Any) -> str:
    shown = bound.field.prepare_value(value)
    if isinstance(bound.field, forms.ChoiceField):
        labels = {str(key): str(label) for key, label in bound.field.choices}
        return labels.get(str(shown), str(shown or ""))
    return "" if shown is None else str(shown)


class RowForm(KeepsTheirs, forms.ModelForm):
    """A form of one row of a draft; amounts become Money in the firm's currency."""

    def __init__(self, *args: Any, currency: str = "USD", **kwargs: Any) -> None:
        self.currency = currency
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.TypedChoiceField) and isinstance(field.widget, forms.Select):
                field.choices = [(key, label if key else "choose") for key, label in field.choices]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name, field in self.fields.items():
            if isinstance(field, AmountField) and isinstance(cleaned.get(name), Decimal):
                cleaned[name] = Money(cleaned[name], self.currency)
        self.keep_untouched(self.instance)
        return cleaned
