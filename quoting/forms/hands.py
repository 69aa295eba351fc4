"""Two people may work on the same thing: forms that remember what they were opened with, and what differs after that.

A form of one matter (`Remembering`) is put before the second of the two as a whole. A form of many figures
(`KeepsTheirs`) takes over what only the other one changed, and asks about what both did.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from django import forms
from django.db import models

VERSION: dict[str, Any] = {"min_value": 1, "max_value": 2**31 - 1, "widget": forms.HiddenInput}
"""How a form carries the version that it was opened with."""


class Hands(NamedTuple):
    """One field that two people changed: what both had, what is kept now, what was typed."""

    label: str
    had: str
    theirs: str
    yours: str


class Remembering(forms.Form):
    """A form that carries the values it was opened with, in hidden fields, and the version of its row."""

    version = forms.IntegerField(required=False, **VERSION)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.remember()

    def remember(self) -> None:
        """Let every visible field carry its first value; to be called again after fields were added."""
        for field in self.fields.values():
            field.show_hidden_initial = not field.widget.is_hidden


def differing(form: forms.Form, theirs: Mapping[str, Any]) -> list[Hands]:
    """What the other person or this one changed, by field."""
    rows = []
    for bound in form.visible_fields():
        if bound.name not in theirs:
            continue
        had, yours = (form.data.get(name, "") for name in (bound.html_initial_name, bound.html_name))
        row = Hands(str(bound.label), *(_words(bound, value) for value in (had, theirs[bound.name], yours)))
        if not row.had == row.theirs == row.yours:
            rows.append(row)
    return rows


def untouched(form: forms.Form, theirs: Mapping[str, Any]) -> bool:
    """Whether the other person left everything that this form shows as it was."""
    return all(row.had == row.theirs for row in differing(form, theirs))


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
            row = Hands(str(bound.label), *(_words(bound, value) for value in (had, bound.initial, bound.data)))
            if row.theirs not in (row.had, row.yours):
                found.append(row)
        return found


def _words(bound: forms.BoundField, value: Any) -> str:
    """A value as the page says it: the word of a choice, figures as they stand in a blank, lines ended one way."""
    shown = bound.field.prepare_value(value)
    text = "" if shown is None else str(shown).replace("\r\n", "\n").strip()
    choices = getattr(bound.field, "choices", ())
    return next((str(label) for key, label in choices if str(key) == text), text)
