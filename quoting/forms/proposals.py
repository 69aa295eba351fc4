"""What is typed about a draft: its words, until when it stands, and which options it offers in which order."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from quoting.forms.hands import Remembering
from quoting.forms.jobs import VersionForm
from quoting.models import Certificate, Option, Proposal

PLACES = (("", "not offered"), ("1", "first"), ("2", "second"), ("3", "third"), ("4", "fourth"))
LONGEST_YEARS = 1


class DraftForm(Remembering):
    """One select for each option of the folder (its place, or not offered), one box for each extra."""

    title = forms.CharField(
        label="A proposal to them …",
        help_text="For their pool deck, steps and front walk.",
        max_length=160,
        required=False,
    )
    in_short = forms.CharField(
        label="In short",
        help_text="What you saw, what you advise and why, in three or four sentences; it is read first.",
        max_length=3000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 6}),
    )
    valid_until = forms.DateField(label="Stands until", widget=forms.DateInput(attrs={"type": "date"}))

    certificate = forms.ChoiceField(
        label="Tax",
        required=False,
        help_text="Whether a certificate holds for this work, you confirm by choosing it; it stands on the paper.",
    )

    def __init__(
        self, *args: Any, options: Iterable[Option], certificates: Iterable[Certificate] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        choices = [(str(each.pk), f"not charged: {each}") for each in certificates]
        self.fields["certificate"].choices = [("", "is charged by the firm’s rules"), *choices]  # type: ignore[attr-defined]
        if not choices:
            del self.fields["certificate"]
        self._options = list(options)
        for option in self._options:
            self.fields[name_of(option)] = _field_of(option)
        self.remember()

    @property
    def option_fields(self) -> list[tuple[forms.BoundField, list[forms.BoundField]]]:
        """Each option's field with those of its extras."""
        return [
            (self[name_of(option)], [self[name_of(one)] for one in self._options if one.with_option_id == option.pk])
            for option in self._options
            if option.kind == Option.Kind.OPTION
        ]

    def clean_valid_until(self) -> date:
        until: date = self.cleaned_data["valid_until"]
        today = timezone.localdate()
        if until < today:
            raise forms.ValidationError("That day is past. Choose one on which they can still say yes.")
        if until > today.replace(year=today.year + LONGEST_YEARS, day=min(today.day, 28)):
            raise forms.ValidationError(
                "That is more than a year away. Prices don’t hold that long; choose a nearer day."
            )
        return until

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        placed: dict[str, str] = {}
        for option in self._options:
            place = data.get(name_of(option))
            if option.kind == Option.Kind.OPTION and place:
                if place in placed:
                    sentence = f"“{placed[place]}” has this place already. Give each option its own."
                    self.add_error(name_of(option), sentence)
                placed.setdefault(str(place), option.name)
            elif option.kind == Option.Kind.ADD_ON and place and not data.get(f"option_{option.with_option_id}"):
                self.add_error(name_of(option), "It goes with an option that is not offered. Offer that too.")
        if not placed and not self.errors:
            self.add_error(None, "Offer at least one option.")
        return data

    @property
    def chosen(self) -> list[Option]:
        """The options in their order, then the extras, as `keep_draft` takes them."""
        data = self.cleaned_data
        options = [one for one in self._options if one.kind == Option.Kind.OPTION and data[name_of(one)]]
        options.sort(key=lambda one: str(data[name_of(one)]))
        return options + [one for one in self._options if one.kind == Option.Kind.ADD_ON and data[name_of(one)]]

    @property
    def facts(self) -> dict[str, Any]:
        """The words and the day, as `keep_draft` takes them."""
        chosen = self.cleaned_data.get("certificate")
        words = {name: self.cleaned_data[name] for name in ("title", "in_short", "valid_until")}
        return words | {"certificate": int(chosen) if chosen else None}


class WithdrawForm(VersionForm):
    """Why a proposal is taken back; for the firm, not for the homeowner."""

    because = forms.CharField(
        label="Why", help_text="For the firm’s own record; the homeowner does not read it.", max_length=300
    )


def draft_values(proposal: Proposal, options: Iterable[Option]) -> dict[str, Any]:
    """The draft as it is now, by the names of the form's fields."""
    offered = [row.option_id for row in proposal.offered.all()]
    kinds = {option.pk: option for option in options}
    order = [pk for pk in offered if pk in kinds and kinds[pk].kind == Option.Kind.OPTION]
    values: dict[str, Any] = {
        "title": proposal.title,
        "in_short": proposal.in_short,
        "valid_until": proposal.valid_until,
        "version": proposal.version,
        "certificate": str(proposal.certificate_id or ""),
    }
    for option in kinds.values():
        if option.kind == Option.Kind.OPTION:
            values[name_of(option)] = str(order.index(option.pk) + 1) if option.pk in order else ""
        else:
            values[name_of(option)] = option.pk in offered
    return values


def name_of(option: Option) -> str:
    """The name of an option's field."""
    return f"option_{option.pk}"


def _field_of(option: Option) -> forms.Field:
    if option.kind == Option.Kind.ADD_ON:
        return forms.BooleanField(label=option.name, required=False)
    return forms.ChoiceField(label=option.name, choices=PLACES, required=False)
