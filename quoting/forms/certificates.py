"""What is typed about a certificate of exemption, with its file."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from quoting.models import Certificate

DAYS = {"attrs": {"type": "date"}}


class CertificateForm(forms.Form):
    """One certificate: what it is, its number, where and when it holds, its file."""

    kind = forms.ChoiceField(
        label="Why no tax", choices=[(key, word.capitalize()) for key, word in Certificate.Kind.choices]
    )
    number = forms.CharField(label="Number", max_length=60, help_text="As it stands on the certificate.")
    region = forms.CharField(
        label="State or province", max_length=100, required=False, help_text="Where it holds; empty: everywhere."
    )
    taxes = forms.MultipleChoiceField(
        label="Takes off",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Of the taxes that you charge. None ticked: all of them.",
    )
    valid_from = forms.DateField(label="Holds from", widget=forms.DateInput(**DAYS))
    valid_until = forms.DateField(
        label="Holds until", required=False, widget=forms.DateInput(**DAYS), help_text="Empty: it has no last day."
    )
    file = forms.FileField(
        label="File",
        help_text="PDF, JPEG or PNG, 5 MB at most.",
        widget=forms.FileInput(attrs={"accept": "application/pdf,image/jpeg,image/png"}),
    )

    def __init__(self, *args: Any, taxes: Iterable[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taxes"].choices = [(name, name) for name in taxes]  # type: ignore[attr-defined]
        if not self.fields["taxes"].choices:  # type: ignore[attr-defined]
            del self.fields["taxes"]

    def clean(self) -> dict[str, Any]:
        """It does not end before it begins."""
        found = super().clean() or self.cleaned_data
        first, last = found.get("valid_from"), found.get("valid_until")
        if first and last and last < first:
            self.add_error("valid_until", "The last day is before the first.")
        return found

    @property
    def facts(self) -> dict[str, Any]:
        """What the act takes, without the file."""
        return {name: value for name, value in self.cleaned_data.items() if name != "file"}
