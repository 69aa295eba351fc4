"""What is typed about a folder and its areas."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from customers.models import Property
from quoting.core.units import NumberFault, parse_number
from quoting.forms.hands import Remembering
from quoting.models import Condition, Surface

USUAL_TEXTURE = Decimal("1.3")
"""Over this a texture is asked about: deep cobble is 1.20. Common practice, no published source."""

LARGEST_TEXTURE = Decimal(3)


class AskedForm(Remembering):
    """The wish in the homeowner's words, and what he knows about the slab."""

    asked = forms.CharField(
        label="What they asked",
        help_text="In their words.",
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    poured = forms.CharField(
        label="Poured", help_text="About 2014, by the first owner.", max_length=200, required=False
    )
    last_sealed = forms.CharField(
        label="Last sealed", help_text="2021, from a pail, product not known.", max_length=200, required=False
    )
    pool = forms.CharField(label="Pool", help_text="Chlorine, salt, or none.", max_length=200, required=False)
    wanted_by = forms.CharField(
        label="Wanted by", help_text="Party on Saturday 25 July.", max_length=200, required=False
    )

    @property
    def facts(self) -> dict[str, str]:
        """What `keep_asked` and `open_folder` take."""
        return {name: self.cleaned_data[name] for name in ("asked", "poured", "last_sealed", "pool", "wanted_by")}


class OpenFolderForm(AskedForm):
    """Who rang and where the slab is: a place that is known, or a new one."""

    known_place = forms.ModelChoiceField(Property.objects.all(), required=False, widget=forms.HiddenInput)
    customer = forms.CharField(
        label="Who rang", max_length=200, error_messages={"required": "Write who rang, if only a surname."}
    )
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    email = forms.EmailField(label="E-mail", required=False)
    street = forms.CharField(
        label="Street and number",
        max_length=200,
        error_messages={"required": "Write where the slab is: street and number."},
    )
    town = forms.CharField(label="Town", max_length=100, required=False)
    region = forms.CharField(label="State or province", max_length=100, required=False)
    postcode = forms.CharField(label="Postcode", max_length=20, required=False)

    NEW_PLACE = ("customer", "street", "town", "region", "postcode", "phone", "email")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self["known_place"].value():
            for name in self.NEW_PLACE:
                del self.fields[name]

    @property
    def place(self) -> dict[str, str]:
        """The new customer and property, as `open_folder_at_new_place` takes them."""
        return {name: self.cleaned_data[name] for name in self.NEW_PLACE}


class AreaForm(Remembering):
    """What an area is, its measures apart."""

    name = forms.CharField(label="Name", help_text="Pool deck, front walk.", max_length=120)
    surface = forms.ChoiceField(label="Surface", choices=Surface)
    condition = forms.ChoiceField(
        label="Condition",
        help_text="How much the slab drinks; coverage follows from it.",
        choices=Condition,
        initial=Condition.WORN,
    )
    texture = forms.CharField(
        label="Texture",
        help_text="True surface over plan surface: flat 1, light slate 1.05 to 1.10, deep cobble 1.10 to 1.20.",
        max_length=12,
        initial="1",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "figure-in few"}),
    )
    note = forms.CharField(
        label="Note",
        help_text="For the crew: furniture, planting, what drips from where.",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    sure = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        if not name.isprintable():
            raise forms.ValidationError("The name holds a character that can't be printed.")
        return " ".join(name.split())

    def clean_texture(self) -> Decimal:
        try:
            texture = parse_number(self.cleaned_data["texture"])
        except NumberFault as fault:
            raise forms.ValidationError(str(fault)) from fault
        if texture < 1:
            raise forms.ValidationError(f"{texture} is under 1. A stamped slab is 1.05 to 1.20.")
        if texture > LARGEST_TEXTURE:
            raise forms.ValidationError(f"{texture} is over {LARGEST_TEXTURE}. A stamped slab is 1.05 to 1.20.")
        if texture != round(texture, 4):
            raise forms.ValidationError("Four places after the point are kept at most.")
        if texture > USUAL_TEXTURE and self.data.get("sure") != str(self.data.get("texture")):
            raise forms.ValidationError(
                f"{texture} is a very deep texture. A stamped slab is 1.05 to 1.20. Is it right?", code="ask"
            )
        return texture

    @property
    def asks(self) -> bool:
        """Whether something is hardly right and was asked about."""
        return self.has_error("texture", "ask")

    @property
    def fingerprint(self) -> str:
        """What `sure` must repeat."""
        return str(self.data.get("texture", ""))

    @property
    def facts(self) -> dict[str, Any]:
        """What `add_area` and `keep_area` take."""
        return {name: self.cleaned_data[name] for name in ("name", "surface", "condition", "texture", "note")}


class CopyAreaForm(forms.Form):
    """The name of the copy."""

    name = forms.CharField(label="Name of the copy", max_length=120)

    clean_name = AreaForm.clean_name


class AgreeForm(forms.Form):
    """Who agreed to the figure, and when."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    with_whom = forms.CharField(label="Who agreed", help_text="Mrs Wexley, on site.", max_length=120)
    on = forms.DateField(label="On", initial=timezone.localdate, widget=forms.DateInput(attrs={"type": "date"}))

    def clean_on(self) -> Any:
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError("That day is still to come. Write the day on which they agreed.")
        return on


class VersionForm(forms.Form):
    """The version of the row that an act was asked for."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)


class PlacesForm(VersionForm):
    """By how many places a row is moved: one, up or down."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, required=False)
    places = forms.TypedChoiceField(choices=[("-1", "up"), ("1", "down")], coerce=int)
