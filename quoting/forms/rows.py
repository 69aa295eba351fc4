"""Forms of one row of a draft of the price book."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from moneyed import Money

from quoting.forms.figures import AmountField
from quoting.forms.hands import KeepsTheirs


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
