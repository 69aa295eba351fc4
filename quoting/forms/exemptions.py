"""Which certificate takes the tax off a contract."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from quoting.models import Certificate


class ExemptionForm(forms.Form):
    """One of the certificates that hold, as a press on its button chooses it."""

    certificate = forms.ChoiceField()

    def __init__(self, *args: Any, certificates: Iterable[Certificate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {str(each.pk): each for each in certificates}
        self.fields["certificate"].choices = [(key, str(each)) for key, each in self.offered.items()]  # type: ignore[attr-defined]

    def clean_certificate(self) -> Certificate:
        return self.offered[self.cleaned_data["certificate"]]
