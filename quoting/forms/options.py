"""Forms about an option as a whole: a new one, a copy, which system on which areas. The sheet has its own file."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from quoting.models import Area, Option, RestorationSystem


def name_field(**kwargs: Any) -> forms.CharField:
    """The name by which papers tell options apart."""
    return forms.CharField(label="Called", max_length=120, **kwargs)


class GroupForm(forms.Form):
    """A restoration system and the areas that it is done on. Cleans to rows."""

    areas = forms.MultipleChoiceField(label="On", widget=forms.CheckboxSelectMultiple)
    system = forms.ChoiceField(label="Restoration system", widget=forms.RadioSelect)

    def __init__(
        self, *args: Any, areas: Sequence[Area], systems: Sequence[tuple[RestorationSystem, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self._areas = {str(area.pk): area for area in areas}
        self._systems = {str(system.pk): system for system, _sentence in systems}
        self.fields["areas"].choices = [(key, f"{area.letter} {area.name}") for key, area in self._areas.items()]  # type: ignore[attr-defined]
        self.fields["areas"].error_messages["required"] = "Choose at least one area for it."
        self.fields["system"].choices = [(str(system.pk), system.name) for system, _sentence in systems]  # type: ignore[attr-defined]
        self.fields["system"].error_messages["required"] = "Choose the system that is done on them."
        self.sentences = {str(system.pk): sentence for system, sentence in systems}

    def clean_areas(self) -> list[Area]:
        return [self._areas[key] for key in self.cleaned_data["areas"]]

    def clean_system(self) -> RestorationSystem:
        return self._systems[self.cleaned_data["system"]]

    @property
    def systems(self) -> list[tuple[Any, str]]:
        """Each choice of a system, with what it is not meant for."""
        return [(choice, self.sentences[str(choice.data["value"])]) for choice in self["system"]]


class AddOptionForm(GroupForm):
    """A new option or extra; without a name it is called like its system."""

    name = name_field(required=False, help_text="Empty: the name of the system.")
    field_order = ("areas", "system", "name")


class ChangeGroupForm(GroupForm):
    """Other areas or another system, on an option of this version."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)


class CopyOptionForm(forms.Form):
    """What the copy is called; of an extra also with which of the `others` it goes."""

    name = name_field()

    def __init__(self, *args: Any, others: Sequence[Option] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._others = {str(option.pk): option for option in others}
        if others:
            choices = [(key, option.name) for key, option in self._others.items()]
            self.fields["with_option"] = forms.ChoiceField(label="An extra to", choices=choices)

    @property
    def with_option(self) -> Option | None:
        """The option that the copy of an extra goes with; None for its own."""
        return self._others.get(self.cleaned_data.get("with_option", ""))
