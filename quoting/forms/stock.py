"""What is typed about stock: a lot that comes in, how many there are, what comes back."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from quoting.core.units import Dimension, Quantity, QuantityFault, parse_quantity
from quoting.forms.hands import VERSION, Remembering
from quoting.models import Job

PACKED = (Dimension.VOLUME, Dimension.MASS, Dimension.COUNT)


def _amount(text: str) -> Quantity:
    try:
        return parse_quantity(text, *PACKED)
    except QuantityFault as fault:
        raise forms.ValidationError(str(fault)) from None


class LotForm(forms.Form):
    """Containers of one lot as they come in."""

    material = forms.ChoiceField(label="Material", choices=[])
    lot = forms.CharField(label="Lot number", max_length=60, required=False)
    size = forms.CharField(label="Size of one", max_length=40, help_text="5 gal, 1 lb, 50 lb")
    count = forms.IntegerField(label="How many", min_value=1, max_value=9999, initial=1)
    left = forms.CharField(
        label="Left in it", max_length=40, required=False, help_text="Only for one that is open: 2 gal, 6 oz."
    )
    place = forms.CharField(label="Where it is kept", max_length=80, required=False, help_text="Shed, shelf 2")

    def __init__(self, *args: Any, materials: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["material"].choices = materials  # type: ignore[attr-defined]

    def clean_size(self) -> Quantity:
        return _amount(self.cleaned_data["size"])

    def clean_left(self) -> Quantity | None:
        return _amount(self.cleaned_data["left"]) if self.cleaned_data["left"].strip() else None

    @property
    def facts(self) -> dict[str, Any]:
        """What `add_lot` takes."""
        cleaned = self.cleaned_data
        names = dict(self.fields["material"].choices)  # type: ignore[attr-defined]
        left = cleaned["left"]
        opened = left is not None and left.magnitude < cleaned["size"].magnitude
        return {
            "material": cleaned["material"], "name": names[cleaned["material"]], "lot": cleaned["lot"].strip(),
            "size": cleaned["size"], "size_text": cleaned["size"].text, "count": cleaned["count"], "left": left,
            "place": cleaned["place"].strip(), "opened_on": timezone.localdate() if opened else None,
        }  # fmt: skip


class KeptForm(Remembering):
    """How many there are now, where, and for which job they are kept; a container that comes back open."""

    version = forms.IntegerField(**VERSION)
    count = forms.IntegerField(
        label="How many there are", min_value=0, max_value=9999, help_text="0 when the last of it is gone."
    )
    place = forms.CharField(label="Where it is kept", max_length=80, required=False)
    reserved_for = forms.CharField(
        label="Kept for folder", max_length=12, required=False, help_text="The folder’s number; no other job takes it."
    )

    def clean_reserved_for(self) -> Job | None:
        number = self.cleaned_data["reserved_for"].strip()
        if not number:
            return None
        job = Job.objects.filter(number=number).first()
        if job is None:
            raise forms.ValidationError("There is no folder with this number.")
        return job


class BackForm(forms.Form):
    """One container that comes back from a job, with something in it."""

    job = forms.CharField(label="From folder", max_length=12)
    left = forms.CharField(label="Left in it", max_length=40, help_text="2 gal, 6 oz")

    def clean_job(self) -> Job:
        job = Job.objects.filter(number=self.cleaned_data["job"].strip()).first()
        if job is None:
            raise forms.ValidationError("There is no folder with this number.")
        return job

    def clean_left(self) -> Quantity:
        return _amount(self.cleaned_data["left"])
