"""What is typed about how the firm's bills are paid: the account or page, the days, interest when it is late."""

from __future__ import annotations

from typing import Any

from django import forms

from quoting.forms.figures import PercentField
from quoting.forms.firm import FirmForm, lines
from quoting.models import Firm


class BillsForm(FirmForm):
    """How bills are paid. Interest is off until the firm, and its adviser, switch it on."""

    pay_days = forms.IntegerField(label="Days until a bill is due", min_value=0, max_value=365)
    pay_to = forms.CharField(
        label="Bank details",
        help_text="As they stand on the bill: payee, bank, account; one a line. Never a card.",
        max_length=1000,
        required=False,
        widget=lines(4),
    )
    pay_link = forms.URLField(
        label="Your payment page",
        help_text="The address of a page of your own that takes payments. The bill shows it as a code as well.",
        required=False,
        max_length=200,
        assume_scheme="https",
    )
    late_rule = forms.ChoiceField(label="Interest when it is late", choices=Firm.LateRule)
    late_rate = PercentField(
        label="Interest, % a year",
        required=False,
        help_text="Contracts and the law of your place limit it. Have it checked by your adviser.",
    )
    late_year_days = forms.TypedChoiceField(label="Days of a year", choices=[(365, "365"), (360, "360")], coerce=int)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("late_rate") is None and "late_rate" in cleaned:
            cleaned["late_rate"] = 0
        if cleaned.get("late_rule") != Firm.LateRule.OFF and not cleaned.get("late_rate"):
            self.add_error("late_rate", "Interest needs a rate, or is switched off.")
        return cleaned
