"""Forms that remember what they were opened with, so that two who changed the same thing see what differs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms


class Remembering(forms.Form):
    """A form that carries the values it was opened with, in hidden fields, and the version of its row."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.remember()

    def remember(self) -> None:
        """Let every visible field carry its first value; to be called again after fields were added."""
        for field in self.fields.values():
            field.show_hidden_initial = not field.widget.is_hidden


def differing(form: forms.Form, theirs: Mapping[str, Any]) -> list[tuple[str, str, str, str]]:
    """What the other person or this one changed: label, what both had, theirs, yours."""
    rows = []
    for field in form.visible_fields():
        if field.name not in theirs:
            continue
        had, now, yours = (
            _words(field, value)
            for value in (
                form.data.get(field.html_initial_name, ""),
                theirs[field.name],
                form.data.get(field.html_name, ""),
            )
        )
        if not had == now == yours:
            rows.append((str(field.label), had, now, yours))
    return rows


def untouched(form: forms.Form, theirs: Mapping[str, Any]) -> bool:
    """Whether the other person left everything that this form shows as it was."""
    return all(had == now for _, had, now, _ in differing(form, theirs))


def _words(field: forms.BoundField, value: Any) -> str:
    """A value as the page says it: the word of a choice, lines ended one way."""
    text = "" if value is None else str(value).replace("\r\n", "\n").strip()
    choices = getattr(field.field, "choices", ())
    return next((str(label) for key, label in choices if str(key) == text), text)
