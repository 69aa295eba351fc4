"""Forms of photographs: several at once, and what is said of one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from quoting.forms.hands import Remembering
from quoting.models import Area, Photo

ACCEPTED = "image/jpeg,image/png,image/webp,image/heic,image/heif"


class ManyFiles(forms.ClearableFileInput):
    """A file input that takes several files."""

    allow_multiple_selected = True


class ManyFilesField(forms.FileField):
    """Several files; each is looked at where it is taken in, so that one bad file loses none of the others."""

    widget = ManyFiles

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        files = [each for each in (data if isinstance(data, list | tuple) else [data]) if each]
        if not files:
            raise forms.ValidationError("Choose at least one photograph.")
        return files


def _area_field(areas: Sequence[Area]) -> forms.ChoiceField:
    choices = [(str(area.pk), f"{area.letter} {area.name}") for area in areas]
    return forms.ChoiceField(label="Shows", choices=[("", "the whole property"), *choices], required=False)


SENT = (Photo.Of.FOUND, Photo.Of.BEFORE, Photo.Of.DURING, Photo.Of.AFTER)
"""What photographs that are sent may be of; one of a sample comes with its sample."""


def _step_field(steps: Sequence[str]) -> forms.ChoiceField:
    return forms.ChoiceField(label="Step", choices=[("", "no step"), *((step, step) for step in steps)], required=False)


class AddPhotosForm(forms.Form):
    """Photographs to take in: where they belong, from before, during or after which step, and one note for all."""

    photos = ManyFilesField(
        label="Photographs",
        help_text="JPEG, PNG, WebP or HEIC, 25 MB each at most. Where they were taken is not kept.",
        widget=ManyFiles(attrs={"accept": ACCEPTED}),
    )
    of = forms.ChoiceField(
        label="Is of", choices=[(of.value, of.label) for of in SENT], required=False, initial=Photo.Of.FOUND
    )
    note = forms.CharField(label="Note", required=False, max_length=300)

    def __init__(self, *args: Any, areas: Sequence[Area], steps: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._areas = {str(area.pk): area for area in areas}
        self.fields["area"] = _area_field(areas)
        self.fields["step"] = _step_field(steps)
        self.order_fields(["photos", "of", "area", "step", "note"])

    def clean_of(self) -> str:
        return self.cleaned_data["of"] or Photo.Of.FOUND

    @property
    def area(self) -> Area | None:
        """The area that they show, or None for the whole property."""
        return self._areas.get(self.cleaned_data["area"])


class PhotoForm(Remembering):
    """What is said of one photograph."""

    note = forms.CharField(
        label="Note",
        help_text="Stands under it on page and paper.",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    of = forms.ChoiceField(label="Is of", choices=Photo.Of)
    on_paper = forms.BooleanField(label="Goes on papers: proposals, the hand-over sheet", required=False)
    is_cover = forms.BooleanField(label="Is the cover of the proposal", required=False)

    def __init__(self, *args: Any, areas: Sequence[Area], steps: Sequence[str] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._areas = {str(area.pk): area for area in areas}
        self.fields["area"] = _area_field(areas)
        self.fields["step"] = _step_field(steps)
        self.order_fields(["note", "area", "of", "step", "on_paper", "is_cover"])
        self.remember()

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_photo` takes."""
        names = ("note", "of", "step", "on_paper", "is_cover")
        facts = {name: self.cleaned_data[name] for name in names}
        return facts | {"area": self._areas.get(self.cleaned_data["area"])}
