"""What is typed to issue a statement of account."""

from __future__ import annotations

from django import forms


class StatementForm(forms.Form):
    """Where it is mailed to; empty: not at all. The name of the act, so that a second click issues nothing more."""

    to = forms.EmailField(
        label="Mail it to",
        max_length=254,
        required=False,
        help_text="Empty: it is not mailed from here.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    once = forms.RegexField(regex=r"\A[0-9a-f]{32}\Z", widget=forms.HiddenInput)
