"""What is typed about people and their properties."""

from __future__ import annotations

from typing import Any

from django import forms

from customers.models import Customer, Property
from customers.near import Near, near_people

PERSON = ("name", "email", "phone", "other_phone", "post_address", "notes")
PLACE = ("street", "town", "region", "postcode", "access")


class Remembering(forms.Form):
    """A form that carries the values it was opened with, in hidden fields, and the version of its row."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.show_hidden_initial = not field.widget.is_hidden


class PersonForm(Remembering):
    """The party in the file."""

    name = forms.CharField(label="Name", max_length=200)
    email = forms.EmailField(label="E-mail", required=False)
    phone = forms.CharField(
        label="Telephone", max_length=40, required=False, widget=forms.TextInput(attrs={"type": "tel"})
    )
    other_phone = forms.CharField(
        label="Other telephone", max_length=40, required=False, widget=forms.TextInput(attrs={"type": "tel"})
    )
    post_address = forms.CharField(
        label="Postal address",
        help_text="Where letters go, when not to the property.",
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    notes = forms.CharField(label="Notes", max_length=5000, required=False, widget=forms.Textarea(attrs={"rows": 4}))

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if not name.isprintable():
            raise forms.ValidationError("The name holds a character that can’t be printed.")
        return name

    @property
    def person(self) -> dict[str, str]:
        """What the acts on a person take."""
        return {name: self.cleaned_data[name] for name in PERSON}


class PlaceForm(Remembering):
    """The place where the work is done."""

    street = forms.CharField(label="Street and number", max_length=200)
    town = forms.CharField(label="Town", max_length=100, required=False)
    region = forms.CharField(label="State or province", max_length=100, required=False)
    postcode = forms.CharField(label="Postcode", max_length=20, required=False)
    access = forms.CharField(
        label="Access",
        help_text="Gate, water, power, pets, where to park.",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def clean_street(self) -> str:
        return " ".join(self.cleaned_data["street"].split())

    @property
    def place(self) -> dict[str, str]:
        """What the acts on a property take."""
        return {name: self.cleaned_data[name] for name in PLACE}


class AsksWhoItIs(forms.Form):
    """Says beside the field when somebody has the same e-mail, number or street, until told it is somebody else."""

    somebody_else = forms.BooleanField(label="No, this is somebody else", required=False)
    owner: int | None = None
    """The key of the person who may have them."""

    near: list[Near]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        typed = {name: data.get(name) or "" for name in ("email", "phone", "other_phone", "street", "town")}
        self.near = near_people(**typed, but=self.owner)
        if not data.get("somebody_else"):
            for each in self.near:
                self.add_error(each.field, each.sentence)
        return data


class AddPersonForm(AsksWhoItIs, PersonForm, PlaceForm):
    """Somebody new, with the first property when it is known."""

    field_order = (*PERSON[:4], *PLACE, "post_address", "notes", "somebody_else")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["street"].required = False


class AddPlaceForm(AsksWhoItIs, PlaceForm):
    """One more property of somebody."""

    def __init__(self, *args: Any, owner: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.owner = owner


class SurvivorForm(forms.Form):
    """Which two rows become one, and in which versions they were looked at."""

    other = forms.ModelChoiceField(Customer.objects.all(), widget=forms.HiddenInput)
    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    other_version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)


class VersionForm(forms.Form):
    """The version of the row that an act was asked for."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)


def person_of(customer: Customer) -> dict[str, Any]:
    """A person's values as the form shows them, with the version."""
    return {name: getattr(customer, name) for name in (*PERSON, "version")}


def place_of(place: Property) -> dict[str, Any]:
    """A property's values as the form shows them, with the version."""
    return {name: getattr(place, name) for name in (*PLACE, "version")}
