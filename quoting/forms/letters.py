"""A letter before it goes out: to whom, its subject, its words, and where the private link stands in them."""

from __future__ import annotations

import secrets
from typing import Any

from django import forms

from quoting.models.outbox import LINK

LONGEST_WORDS = 10_000


def new_act() -> str:
    """A name for one act of sending, so that a second click on the same page sends nothing more."""
    return secrets.token_hex(16)


class LetterForm(forms.Form):
    """With `needs_link`, the words must say where the link stands."""

    to = forms.EmailField(label="To", max_length=254, widget=forms.EmailInput(attrs={"autocomplete": "off"}))
    subject = forms.CharField(label="Subject", max_length=200)
    words = forms.CharField(
        label="Words", max_length=LONGEST_WORDS, widget=forms.Textarea(attrs={"rows": 16, "class": "letter-words"})
    )
    once = forms.RegexField(regex=r"\A[0-9a-f]{32}\Z", widget=forms.HiddenInput)

    def __init__(self, *args: Any, needs_link: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.needs_link = needs_link
        if needs_link:
            self.fields[
                "words"
            ].help_text = f"The private link is put where {LINK} stands. The firm’s letterhead comes below by itself."
        else:
            self.fields["words"].help_text = "The firm’s letterhead comes below by itself."

    def clean_subject(self) -> str:
        subject: str = self.cleaned_data["subject"]
        if LINK in subject:
            raise forms.ValidationError(f"The link can’t stand in a subject. Take {LINK} out of it.")
        return subject

    def clean_words(self) -> str:
        words: str = self.cleaned_data["words"]
        if self.needs_link and LINK not in words:
            raise forms.ValidationError(
                f"Nothing says where the private link is to stand. Write {LINK} on a line of its own."
            )
        if words.count(LINK) > 3:
            raise forms.ValidationError(f"{LINK} stands there {words.count(LINK)} times; once is enough.")
        return words

    @property
    def facts(self) -> dict[str, str]:
        """What the act of sending takes."""
        return {name: self.cleaned_data[name] for name in ("to", "subject", "words", "once")}


class LostForm(forms.Form):
    """Why an offer was lost."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    reason = forms.ChoiceField(label="Why was it lost?", widget=forms.RadioSelect)
    words = forms.CharField(
        label="What you know of it",
        max_length=300,
        required=False,
        help_text="For yourselves; the homeowner never sees it.",
    )

    def __init__(self, *args: Any, reasons: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        reason: forms.ChoiceField = self.fields["reason"]  # type: ignore[assignment]
        reason.choices = reasons
