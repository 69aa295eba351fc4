"""What is typed about a file of people."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from customers.people_doubles import ACTS, Planned
from customers.people_file import KINDS, column_fault

USUAL = {"": "as each suggests", **ACTS}


class PeopleFileForm(forms.Form):
    """The file itself."""

    file = forms.FileField(label="CSV file", max_length=200, widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}))


class ColumnsForm(forms.Form):
    """What each column of the file is."""

    def __init__(self, *args: Any, heads: Sequence[str], columns: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for place, (head, kind) in enumerate(zip(heads, columns, strict=True)):
            self.fields[f"column-{place}"] = forms.ChoiceField(
                label=head or f"Column {place + 1}", choices=list(KINDS.items()), required=False, initial=kind
            )

    @property
    def columns(self) -> list[str]:
        """The kinds, in the order of the columns."""
        return [self.cleaned_data[name] for name in self.fields]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if sentence := column_fault([data.get(name) or "" for name in self.fields]):
            raise forms.ValidationError(sentence)
        return data


class TakePeopleForm(forms.Form):
    """Take the file over as it was shown: what is done with those who are known, and with each of them."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    shown = forms.CharField(max_length=64, widget=forms.HiddenInput)
    usual = forms.ChoiceField(label="Those who are in the books", choices=list(USUAL.items()), required=False)

    def __init__(self, *args: Any, known: Sequence[Planned], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.known = list(known)
        for each in self.known:
            suggested = {"": f"as above, else: {ACTS[each.usual]}", **ACTS}
            self.fields[each.key] = forms.ChoiceField(
                label=f"{each.person.name}, line {each.lines[0]}", choices=list(suggested.items()), required=False
            )

    @property
    def said(self) -> dict[str, str]:
        """What was said of each, where something was."""
        return {each.key: self.cleaned_data[each.key] for each in self.known if self.cleaned_data[each.key]}

    def rows(self) -> list[tuple[Planned, forms.BoundField]]:
        """Each who is known, with the field that says what is done with him."""
        return [(each, self[each.key]) for each in self.known]
