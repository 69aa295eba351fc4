"""What is typed on a visit, by kind; `facts` is what is kept of it. Sentences in both languages of the crew."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from quoting.core.units import Dimension, NumberFault, QuantityFault, parse_number, parse_quantity
from quoting.core.weather_limits import Work
from quoting.models import CHECKS, READINGS, Entry, Hold, User

LARGEST = Decimal(9999)
LONG_AGO = "999"
"""Hours that stand for: it was not washed here, or no rain is in sight."""
NAME = 200
PACKED = (Dimension.VOLUME, Dimension.MASS, Dimension.COUNT)
NO_NUMBER = "Write a figure, such as 71 or 1.5. · Escriba un número, como 71 o 1.5."
NO_AMOUNT = "Write a figure with its unit, such as 1.5 gal or 10 oz. · Escriba un número con su unidad, como 1.5 gal."
NO_DAY = "A day of work lies within three years from now. · Un día de trabajo está dentro de tres años."
NO_HOURS = "Hours are more than 0 and at most 24. · Las horas son más de 0 y máximo 24."


class EntryForm(forms.Form):
    """What every entry carries: the mark by which it is kept once, and when it was made."""

    kind = ""
    once = forms.UUIDField(required=False, widget=forms.HiddenInput)
    made_at = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("once", uuid4())

    def clean_once(self) -> UUID:
        return self.cleaned_data["once"] or uuid4()

    def clean_made_at(self) -> datetime | None:
        """The time on the phone; none where it says none, or nonsense."""
        try:
            made = parse_datetime(self.cleaned_data["made_at"] or "")
        except ValueError:
            return None
        return made if made is None or timezone.is_aware(made) else None

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_entry` keeps as data."""
        return {}


def _number(text: str) -> Decimal | None:
    if not text.strip():
        return None
    try:
        value = parse_number(text)
    except NumberFault:
        raise forms.ValidationError(NO_NUMBER) from None
    if abs(value) > LARGEST:
        raise forms.ValidationError(NO_NUMBER)
    return value


class PlaceField(forms.RegexField):
    """The place of a step, with its name after a bar: a page that was opened before a change order still says which
    step it means. Cleaned to (place, name); the name may be missing."""

    def __init__(self) -> None:
        super().__init__(rf"(?s)^[0-9]{{1,4}}(?:\|.{{0,{NAME}}})?\Z")

    def clean(self, value: Any) -> tuple[int, str]:
        place, _bar, name = str(super().clean(value)).partition("|")
        return int(place), name.strip()


def _placed(cleaned: tuple[int, str]) -> dict[str, Any]:
    place, name = cleaned
    return {"place": place} | ({"of_step": name} if name else {})


TICKED = r"[0-9]{1,4}\.[0-9]{1,3}\.[0-9]{1,3}"
"""Place, coat and part of a step."""


class TickForm(EntryForm):
    """A step that is done, by its key; something that was looked at before the work began, `check.plants`; or a line of
    the pick list that was loaded, by its mark, with what it says: `load.1f0c…`."""

    kind = Entry.Kind.TICK
    step = forms.RegexField(
        rf"^(?:[0-9]{{1,4}}\.[0-9]{{1,3}}\.[0-9]{{1,3}}|check\.(?:{'|'.join(CHECKS)})|load\.[0-9a-f]{{12}})\Z"
    )
    of_step = forms.CharField(max_length=NAME, required=False)
    thing = forms.CharField(max_length=NAME, required=False)

    @property
    def facts(self) -> dict[str, Any]:
        named = {name: self.cleaned_data[name] for name in ("of_step", "thing") if self.cleaned_data[name]}
        return {"step": self.cleaned_data["step"]} | named


class UntickForm(TickForm):
    kind = Entry.Kind.UNTICK


CHOICES = {"not_washed": "since_wash", "no_rain": "until_rain"}
"""Two plain choices, by the reading that each answers."""


class ReadingForm(EntryForm):
    """Readings as they are read off; what is left empty isn't known. Each of the two choices stands for its figure."""

    kind = Entry.Kind.READING
    work = forms.ChoiceField(choices=[(work.value, work.value) for work in Work])
    not_washed = forms.BooleanField(required=False)
    no_rain = forms.BooleanField(required=False)

    def __init__(self, *args: Any, units: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = units
        for name in READINGS:
            self.fields[name] = forms.CharField(max_length=12, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name in READINGS:
            try:
                cleaned[name] = _number(cleaned.get(name) or "")
            except forms.ValidationError as error:
                self.add_error(name, error)
        humidity, wind = cleaned.get("humidity"), cleaned.get("wind")
        if isinstance(humidity, Decimal) and not 0 < humidity <= 100:
            self.add_error("humidity", "Humidity is over 0 and at most 100. · La humedad es más de 0 y máximo 100.")
        if isinstance(wind, Decimal) and wind < 0:
            self.add_error("wind", NO_NUMBER)
        coldest, hottest = (Decimal(-40), Decimal(200)) if self.units == "us" else (Decimal(-40), Decimal(93))
        for name in ("air", "slab", "air_lowest", "slab_lowest"):
            value = cleaned.get(name)
            if isinstance(value, Decimal) and not coldest <= value <= hottest:
                self.add_error(name, NO_NUMBER)
        return cleaned

    @property
    def facts(self) -> dict[str, Any]:
        figures = {name: self.cleaned_data[name] for name in READINGS}
        told: dict[str, Any] = {name: f"{value:f}" for name, value in figures.items() if value is not None}
        for choice, name in CHOICES.items():
            if self.cleaned_data[choice]:
                told |= {name: LONG_AGO, choice: True}
        return {"work": self.cleaned_data["work"], "units": self.units, **told}


class AmountForm(EntryForm):
    """So much of a material: kept as it was called out, and in m³, kg or pieces."""

    material = forms.CharField(max_length=80)
    unit = forms.ChoiceField(choices=[("gal", "gal"), ("L", "L")], required=False)
    amount = forms.CharField(max_length=40)
    lot = forms.CharField(max_length=60, required=False)
    packs = forms.IntegerField(min_value=0, max_value=999, required=False)

    def clean_amount(self) -> dict[str, str]:
        try:
            quantity = parse_quantity(
                self.cleaned_data["amount"], *PACKED, default_unit=self.cleaned_data.get("unit") or None
            )
        except QuantityFault:
            raise forms.ValidationError(NO_AMOUNT) from None
        return {"called": quantity.text, "magnitude": f"{quantity.magnitude:f}", "dimension": quantity.dimension.name}

    @property
    def facts(self) -> dict[str, Any]:
        packs = self.cleaned_data["packs"]
        return {
            "material": self.cleaned_data["material"],
            **self.cleaned_data["amount"],
            "lot": self.cleaned_data["lot"].strip(),
            **({} if packs is None else {"packs": packs}),
        }


class UsedForm(AmountForm):
    """What was used of it, on which area in which coat; the place of the step in what is agreed."""

    kind = Entry.Kind.USED
    place = PlaceField()
    area = forms.CharField(max_length=120, required=False)
    coat = forms.IntegerField(min_value=1, max_value=99, required=False)
    batch = forms.IntegerField(min_value=1, max_value=999, required=False)

    @property
    def facts(self) -> dict[str, Any]:
        rest = {
            name: self.cleaned_data[name]
            for name in ("area", "coat", "batch")
            if self.cleaned_data[name] not in (None, "")
        }
        return super().facts | _placed(self.cleaned_data["place"]) | rest


class LeftForm(AmountForm):
    kind = Entry.Kind.LEFT


class HoursForm(EntryForm):
    """Hours of one person on one step."""

    kind = Entry.Kind.HOURS
    who = forms.ModelChoiceField(User.objects.filter(is_active=True))
    place = PlaceField()
    hours = forms.CharField(max_length=12)

    def clean_hours(self) -> Decimal:
        hours = _number(self.cleaned_data["hours"])
        if hours is None or not 0 < hours <= 24:
            raise forms.ValidationError(NO_HOURS)
        return hours

    @property
    def facts(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        return {"who": cleaned["who"].pk, **_placed(cleaned["place"]), "hours": f"{cleaned['hours']:f}"}


class NoteForm(EntryForm):
    kind = Entry.Kind.NOTE
    words = forms.CharField(max_length=2000)

    @property
    def facts(self) -> dict[str, Any]:
        return {"words": self.cleaned_data["words"].strip()}


class DoneForm(EntryForm):
    """That the visit is done; `seen` is the day on which the page showed it."""

    kind = Entry.Kind.DONE
    seen = forms.DateField(widget=forms.HiddenInput)

    @property
    def facts(self) -> dict[str, Any]:
        return {"seen": self.cleaned_data["seen"].isoformat()}


class UndoneForm(DoneForm):
    kind = Entry.Kind.UNDONE


class HeldForm(DoneForm):
    """That the visit is held: why, and on which day it is tried again."""

    kind = Entry.Kind.HOLD
    reason = forms.ChoiceField(choices=Hold.Reason.choices)
    day = forms.DateField()
    words = forms.CharField(max_length=500, required=False)

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        if not -366 <= (day - timezone.localdate()).days <= 3 * 366:
            raise forms.ValidationError(NO_DAY)
        return day

    @property
    def facts(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        rest = {"reason": cleaned["reason"], "day": cleaned["day"].isoformat(), "words": cleaned["words"].strip()}
        return super().facts | rest


FORMS: dict[str, type[EntryForm]] = {
    form.kind: form
    for form in (TickForm, UntickForm, UsedForm, LeftForm, HoursForm, NoteForm, DoneForm, UndoneForm, HeldForm)
}
