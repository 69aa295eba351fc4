"""Forms of the colour record: a tone with its recipe, a sample on the slab, and who approved it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from quoting.core.units import NumberFault, parse_number
from quoting.forms.hands import Remembering
from quoting.models import Area, Material, Photo

STRONGEST = {"us": (Decimal(128), "oz", "oz a gallon"), "metric": (Decimal(1000), "g", "g a litre")}
"""By units: the most, the powder's unit, and the strength's. A powder as heavy as its water is no wash any more: common
practice, no published source.
"""


class ToneForm(Remembering):
    """A tone: where it goes, its colour, its powder and how strong it is mixed."""

    role = forms.CharField(label="Goes", help_text="Base, in the recesses; second, misted on the faces.", max_length=60)
    colour = forms.CharField(label="Colour", help_text="Graphite, driftwood.", max_length=60)
    strength = forms.CharField(
        label="Strength",
        help_text="By weight, never by the scoop.",
        max_length=12,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "figure-in few"}),
    )
    note = forms.CharField(label="How", help_text="Carrier, wetting, straining, rinse.", required=False, max_length=300)

    def __init__(self, *args: Any, materials: Sequence[Material], units: str = "us", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._strongest = STRONGEST[units]
        self.fields["strength"].label = f"Strength, {self._strongest[2]} of water"
        self._materials = {str(row.pk): row for row in materials}
        choices = [("", "not from the price book"), *((key, row.name) for key, row in self._materials.items())]
        self.fields["material"] = forms.ChoiceField(label="Powder", choices=choices, required=False)
        self.order_fields(["role", "colour", "material", "strength", "note"])
        self.remember()

    def clean_strength(self) -> Decimal:
        try:
            strength = parse_number(self.cleaned_data["strength"])
        except NumberFault as fault:
            raise forms.ValidationError(str(fault)) from fault
        most, unit, said = self._strongest
        if not 0 < strength <= most:
            raise forms.ValidationError(f"{strength} {unit}: it is more than 0 and at most {most} {said}.")
        if strength != round(strength, 4):
            raise forms.ValidationError("Four places after the point are kept at most.")
        return strength

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_tone` takes."""
        names = ("role", "colour", "strength", "note")
        facts = {name: self.cleaned_data[name] for name in names}
        return facts | {"material": self._materials.get(self.cleaned_data["material"])}


def _day_field(label: str) -> forms.DateField:
    return forms.DateField(label=label, initial=timezone.localdate, widget=forms.DateInput(attrs={"type": "date"}))


def _no_day_to_come(on: Any) -> Any:
    if on > timezone.localdate():
        raise forms.ValidationError("That day is still to come.")
    return on


class SampleForm(forms.Form):
    """A sample made on the slab: where, when, from what, and its photograph."""

    made_on = _day_field("Made on")
    recipe = forms.CharField(
        label="Recipe as it was used",
        help_text="Stays with the sample, whatever the tones become.",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args: Any, areas: Sequence[Area], photos: Sequence[tuple[Photo, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._areas = {str(area.pk): area for area in areas}
        self._photos = {str(photo.pk): photo for photo, _label in photos}
        self.fields["area"] = forms.ChoiceField(
            label="On", choices=[(key, f"{area.letter} {area.name}") for key, area in self._areas.items()]
        )
        self.fields["photo"] = forms.ChoiceField(
            label="Photograph",
            choices=[("", "none yet"), *((str(photo.pk), label) for photo, label in photos)],
            required=False,
        )
        self.order_fields(["area", "made_on", "photo", "recipe"])

    def clean_made_on(self) -> Any:
        return _no_day_to_come(self.cleaned_data["made_on"])

    @property
    def facts(self) -> dict[str, Any]:
        """What `add_sample` takes."""
        return {
            "area": self._areas[self.cleaned_data["area"]],
            "photo": self._photos.get(self.cleaned_data["photo"]),
            "made_on": self.cleaned_data["made_on"],
            "recipe": self.cleaned_data["recipe"],
        }


class ApproveForm(forms.Form):
    """Who said yes to the sample, and when."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    approved_by = forms.CharField(label="Who approved it", help_text="Mrs Wexley, on site.", max_length=120)
    approved_on = _day_field("On")

    def clean_approved_on(self) -> Any:
        return _no_day_to_come(self.cleaned_data["approved_on"])
