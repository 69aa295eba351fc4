"""What is sent to bill interest: the sum that was looked at, and where the bill is mailed to."""

from __future__ import annotations

from django import forms


class InterestForm(forms.Form):
    """`total` is the interest as it was shown, so that nothing else is billed than what was looked at."""

    total = forms.DecimalField(max_digits=12, decimal_places=2, widget=forms.HiddenInput)
    to = forms.EmailField(
        label="Mail it to",
        max_length=254,
        required=False,
        help_text="Empty: it is not mailed from here.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
