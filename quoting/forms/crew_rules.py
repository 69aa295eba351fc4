"""What is typed about the crew's day, its scale, and the weather's limits in the firm's own units."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.findings import KINDS, Kind
from quoting.core.scope import Units
from quoting.core.units import NumberFault, parse_number
from quoting.core.weather_limits import STARTING_LIMITS, Limits

LARGEST = Decimal(1000)

DISPUTED: tuple[Kind, ...] = tuple(kind for kind in KINDS.values() if kind.wait and len(kind.wait.quoted) > 1)
"""The tests for which people quote several waiting times."""


class ClockInput(forms.TimeInput):
    """The browser's own clock."""

    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")


class CrewRulesForm(forms.Form):
    """`limits` are those that differ from the figures to start from, by key; None where one is off."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    opens = forms.TimeField(label="Work begins", widget=ClockInput())
    closes = forms.TimeField(label="Work ends", widget=ClockInput())
    setting_up = forms.IntegerField(label="Minutes to set up", min_value=0, max_value=240)
    saturdays = forms.BooleanField(label="The crew works on Saturdays", required=False)
    sundays = forms.BooleanField(label="The crew works on Sundays", required=False)
    rain_days = forms.IntegerField(label="Days kept free for rain", min_value=0, max_value=30)
    cold_days = forms.IntegerField(label="Days kept free for cold", min_value=0, max_value=30)
    scale_step = forms.CharField(label="Step of the scale, grams", max_length=10, help_text="1, or 0.1")
    recoat_hours = forms.IntegerField(
        label="Hours between two coats",
        help_text="24 is common practice, no published source; sooner brings bubbles in solvent sealers.",
        min_value=1,
        max_value=720,
    )

    def __init__(self, *args: Any, units: Units, limits: Limits, waits: Mapping[str, int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = units
        for kind in DISPUTED:
            quoted = kind.wait.quoted if kind.wait else ()
            self.fields[f"wait-{kind.key}"] = forms.TypedChoiceField(
                label=f"{kind.name} waits",
                choices=[(each.seconds, f"{each.words}: {each.source}") for each in quoted],
                coerce=int,
                widget=forms.RadioSelect,
                initial=waits.get(kind.key, quoted[0].seconds),
            )
        for limit in STARTING_LIMITS.all:
            now, start = limits[limit.key].figure(units), limit.figure(units)
            works = ", ".join(sorted(work.value for work in limit.works))
            self.fields[f"limit-{limit.key}"] = forms.CharField(
                label=f"{limit.name}, {limit.holds.value.replace('-', ' ')}, {limit.unit(units)}",
                help_text=f"{works}. Starting figure {start:f}; {limit.source}. Empty: not looked at.",
                max_length=12,
                required=False,
                initial="" if now is None else f"{now:f}",
            )

    @property
    def limit_fields(self) -> list[Any]:
        """The blanks of the limits."""
        return [self[name] for name in self.fields if name.startswith("limit-")]

    @property
    def wait_fields(self) -> list[Any]:
        """The choices of the waiting times."""
        return [self[name] for name in self.fields if name.startswith("wait-")]

    def clean_scale_step(self) -> Decimal:
        step = self._number("scale_step")
        if step is None or not Decimal("0.001") <= step <= LARGEST:
            raise forms.ValidationError("A scale shows steps of 0.001 to 1,000 grams.")
        return step

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        opens, closes = cleaned.get("opens"), cleaned.get("closes")
        minutes = cleaned.get("setting_up") or 0
        if opens and closes and (closes.hour - opens.hour) * 60 + closes.minute - opens.minute <= minutes:
            self.add_error("closes", "The day ends after it begins, and leaves time after setting up.")
        limits = {}
        for limit in STARTING_LIMITS.all:
            name = f"limit-{limit.key}"
            try:
                figure = self._number(name)
            except forms.ValidationError as error:
                self.add_error(name, error)
                continue
            if figure != limit.figure(self.units):
                limits[limit.key] = figure
        cleaned["limits"] = limits
        chosen = {kind: cleaned.get(f"wait-{kind.key}") for kind in DISPUTED}
        cleaned["waits"] = {
            kind.key: seconds
            for kind, seconds in chosen.items()
            if seconds and kind.wait and seconds != kind.wait.seconds
        }
        return cleaned

    def _number(self, name: str) -> Decimal | None:
        text = str(self.cleaned_data.get(name) or "").strip()
        if not text:
            return None
        try:
            value = parse_number(text)
        except NumberFault as fault:
            raise forms.ValidationError(str(fault)) from None
        if abs(value) > LARGEST:
            raise forms.ValidationError("This is no figure that can be kept to.")
        return value

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_rules` takes."""
        return {name: value for name, value in self.cleaned_data.items() if not name.startswith(("limit-", "wait-"))}
