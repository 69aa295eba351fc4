"""What is typed about a bill: what it is for, its sum and day; how much of one is taken back, and why."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quoting.forms.figures import AmountField, PercentField
from quoting.forms.hands import Remembering
from quoting.models import Invoice

NOT_DRAFTED = (Invoice.Kind.CREDIT, Invoice.Kind.INTEREST)
"""What is issued from another bill, not drafted as one."""

BILL_KINDS = [(value, label.capitalize()) for value, label in Invoice.Kind.choices if value not in NOT_DRAFTED]


class BillForm(Remembering):
    """A draft of a bill. With `follows_work` the region's rule asks how much of the work is done."""

    kind = forms.ChoiceField(label="What it is", choices=BILL_KINDS)
    amount = AmountField(label="Sum, tax included", above=0)
    event = forms.CharField(label="Due on what", max_length=120, required=False)
    done = PercentField(label="Work done, %", required=False)
    due_on = forms.DateField(label="Due", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    words = forms.CharField(
        label="Words on it", max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, follows_work: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["event"].help_text = "The event that it was agreed for, such as: when the colour is on."
        self.fields["due_on"].help_text = "Empty: so many days after it is issued as the firm says."
        self.fields["done"].help_text = (
            "The region’s rule lets no bill but the deposit run ahead of the work."
            if follows_work
            else "Says how much of the deposit is earned. Empty: not said."
        )

    @property
    def facts(self) -> dict[str, Any]:
        """What the act takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class IssueBillForm(forms.Form):
    """The version of the draft that is issued, and the address that it is mailed to; empty: it is not mailed."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    to = forms.EmailField(
        label="Mail it to",
        max_length=254,
        required=False,
        help_text="Empty: it is not mailed from here.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )


class MailForm(forms.Form):
    """Where a paper is mailed to, and the name of the act, so that a second click sends nothing more."""

    to = forms.EmailField(label="Mail it to", max_length=254, widget=forms.EmailInput(attrs={"autocomplete": "off"}))
    once = forms.RegexField(regex=r"\A[0-9a-f]{32}\Z", widget=forms.HiddenInput)


class CreditForm(forms.Form):
    """How much of a bill is taken back, and why; `left` is what was not credited when the form was opened."""

    amount = AmountField(label="Credit, tax included", above=0)
    reason = forms.CharField(label="Why", max_length=300)
    to = forms.EmailField(label="Mail it to", max_length=254, required=False)
    left = forms.DecimalField(max_digits=12, decimal_places=2, widget=forms.HiddenInput)

    def clean_amount(self) -> Decimal:
        amount: Decimal = self.cleaned_data["amount"]
        most = self.initial.get("left")
        if isinstance(most, Decimal) and amount > most:
            raise forms.ValidationError(f"Only {most:,} of it is not credited yet.")
        return amount
