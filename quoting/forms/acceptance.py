"""What the homeowner ticks and types: a choice, the consent, the name that signs, a question, a no."""

from __future__ import annotations

import base64
import binascii
from typing import Any

from django import forms

from quoting.documents.agreed import Offered
from quoting.models import LostReason

DATA_URL = "data:image/png;base64,"
MOST_PAGES = 999


class ChoiceForm(forms.Form):
    """An option of the paper (`o`) and extras that go with it (`x`), by their numbers on the paper."""

    def __init__(self, *args: Any, offered: Offered, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._offered = offered
        options = [(each.place, each.name) for each in offered.choices]
        extras = [(one.number, one.scope.name) for each in offered.choices for one in each.extras]
        self.fields["o"] = forms.TypedChoiceField(label="Option", choices=options, coerce=int)
        self.fields["x"] = forms.TypedMultipleChoiceField(label="Extras", choices=extras, coerce=int, required=False)

    @property
    def option(self) -> int:
        return int(self.cleaned_data["o"])

    @property
    def add_ons(self) -> list[int]:
        """The extras ticked, but for those that go with another option: the page shows them no more."""
        fitting = {one.number for one in self._offered.choice(self.option).extras}
        return [number for number in self.cleaned_data["x"] if number in fitting]


class ConsentForm(forms.Form):
    """The consent to electronic records, given in a way that shows that the paper could be opened."""

    agree = forms.BooleanField(
        label="I agree to get papers about this work electronically.",
        error_messages={"required": "Tick this to sign here. To sign on paper instead, ring or write to us."},
    )
    pages = forms.IntegerField(
        label="How many pages does the paper have?",
        help_text="Open it and look at its foot. That shows that you can read papers in this form.",
        min_value=1,
        max_value=MOST_PAGES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "few", "autocomplete": "off"}),
        error_messages={
            "required": "Open the paper and write here how many pages it has.",
            "invalid": "Write a whole number, such as 6.",
        },
    )

    def __init__(self, *args: Any, has_pages: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._has_pages = has_pages

    def clean_pages(self) -> int:
        pages: int = self.cleaned_data["pages"]
        if pages != self._has_pages:
            raise forms.ValidationError("The paper has another number of pages. Its foot says “page … of …”.")
        return pages


class SignForm(forms.Form):
    """The typed name, which signs, and a drawing of the signature for who likes to draw it."""

    name = forms.CharField(
        label="Your name, as you sign it",
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": "Type your name: it is your signature."},
    )
    signature = forms.CharField(required=False, max_length=220_000, widget=forms.HiddenInput)

    def clean_name(self) -> str:
        name = " ".join(str(self.cleaned_data["name"]).split())
        if not any(sign.isalpha() for sign in name):
            raise forms.ValidationError("Type your name in letters: it is your signature.")
        return name

    def clean_signature(self) -> bytes | None:
        """The drawing as the PNG that came; whether it is one is found out apart."""
        text: str = self.cleaned_data["signature"]
        if not text:
            return None
        try:
            return base64.b64decode(text.removeprefix(DATA_URL), validate=True)
        except (binascii.Error, ValueError):
            raise forms.ValidationError("The drawn signature can’t be read. Draw it again, or leave it out.") from None


class QuestionForm(forms.Form):
    """Something to ask the firm."""

    asked = forms.CharField(
        label="Your question",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write your question first.", "max_length": "Keep it under 4,000 letters."},
    )


class AnswerForm(forms.Form):
    """The firm's answer to a question."""

    answer = forms.CharField(
        label="Your answer",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": "Write the answer first."},
    )


class DeclineForm(forms.Form):
    """A no: why, and a word if there is one."""

    SAID = {
        LostReason.PRICE: "The price",
        LostReason.OTHER_FIRM: "We chose another firm",
        LostReason.HIMSELF: "We do it ourselves",
        LostReason.LATER: "Later, not now",
        LostReason.OTHER: "Something else",
    }
    reason = forms.ChoiceField(
        label="What decided it?",
        choices=list(SAID.items()),
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one; it helps us, and nobody argues with it."},
    )
    words = forms.CharField(
        label="A word to us", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
