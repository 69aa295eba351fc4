"""What was used, thing by thing, as the office writes it: hours, gallons or litres, ounces or grams, pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.job_cost import Used
from quoting.core.rounding import round_half_up
from quoting.core.units import from_unit, to_unit
from quoting.documents.used import Thing
from quoting.forms.figures import AmountField, NumberField, plain
from quoting.models import ExtraCost

MORE = "What the weather and extras took is part of what was used."


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    """One thing to write down: its words, the unit that it is written in, and what is known of it."""

    thing: Thing
    step: str
    of: str
    unit: str
    shown: str
    estimated: str
    used: Used | None
    by_crew: bool = False


@dataclass(frozen=True, slots=True)
class AreaRow:
    """An area with its net size: estimated, and as it was found where that is another; both in the unit shown."""

    name: str
    estimated: str
    found: Decimal | None


class CostForm(forms.Form):
    """A row of three figures for each thing. What is empty isn't known; what the crew wrote stands there first."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, rows: Sequence[CostRow], areas: Sequence[AreaRow], area_unit: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rows, self.areas, self.area_unit = list(rows), list(areas), area_unit
        for n, row in enumerate(self.rows):
            words = f"{row.step}, {row.thing[1]}, {row.of}"
            for name, label in (("used", "used"), ("weather", "of it weather"), ("extra", "of it extra")):
                first = getattr(row.used, "amount" if name == "used" else name) if row.used else None
                self.fields[f"{name}_{n}"] = NumberField(
                    label=f"{words}: {label}", required=False, initial=_shown(first, row.unit) if first else None
                )
        for n, area in enumerate(self.areas):
            self.fields[f"found_{n}"] = NumberField(
                label=f"{area.name}, as it was found", required=False, above=0, initial=area.found
            )
        for field in self.fields.values():
            # So that of two people each changes only what he touched, and both see what differs.
            field.show_hidden_initial = not field.widget.is_hidden

    @property
    def values(self) -> dict[str, Any]:
        """Every figure as the form holds it before anybody types."""
        return {name: field.initial for name, field in self.fields.items() if name != "version"}

    @property
    def table(self) -> list[tuple[CostRow, forms.BoundField, forms.BoundField, forms.BoundField]]:
        """Each row with its three fields."""
        return [(row, self[f"used_{n}"], self[f"weather_{n}"], self[f"extra_{n}"]) for n, row in enumerate(self.rows)]

    @property
    def found_table(self) -> list[tuple[AreaRow, forms.BoundField]]:
        """Each area with its field."""
        return [(area, self[f"found_{n}"]) for n, area in enumerate(self.areas)]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for n in range(len(self.rows)):
            used = cleaned.get(f"used_{n}")
            parts = (cleaned.get(f"weather_{n}") or Decimal(0)) + (cleaned.get(f"extra_{n}") or Decimal(0))
            if parts > (used or Decimal(0)) and f"used_{n}" not in self.errors:
                self.add_error(f"used_{n}", MORE)
        return cleaned

    @property
    def used(self) -> Mapping[Thing, Used]:
        """What differs from what the crew wrote down, or was never written down by it. What nobody touched here is as
        it stands now, whoever wrote it since the form was opened."""
        said = {}
        for n, row in enumerate(self.rows):
            touched = any(f"{name}_{n}" in self.changed_data for name in ("used", "weather", "extra"))
            amounts = [self.cleaned_data[f"{name}_{n}"] for name in ("used", "weather", "extra")]
            if not touched:
                if row.used and not row.by_crew:
                    said[row.thing] = row.used
                continue
            if amounts[0] is None:
                continue
            amount, weather, extra = (from_unit(each or Decimal(0), row.unit) for each in amounts)
            said[row.thing] = Used(amount=amount, weather=weather, extra=extra)
        return said

    @property
    def found(self) -> Mapping[str, Decimal]:
        """The net areas that were found to be others, m²."""
        sizes = {
            area.name: self.cleaned_data[f"found_{n}"] if f"found_{n}" in self.changed_data else area.found
            for n, area in enumerate(self.areas)
        }
        return {name: from_unit(size, self.area_unit) for name, size in sizes.items() if size is not None}


class ExtraCostForm(forms.Form):
    """A sum that was paid for nothing in the scope."""

    kind = forms.ChoiceField(label="What it was", choices=ExtraCost.Kind.choices)
    words = forms.CharField(
        label="In words", max_length=200, help_text="It can’t be changed later, only taken back; name no person."
    )
    amount = AmountField(label="Amount", above=0, least=None)
    on = forms.DateField(label="On", widget=forms.DateInput(attrs={"type": "date"}))
    once = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, currency: str, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["amount"].label = f"Amount, {currency}"

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
        if on > self.today:
            raise forms.ValidationError("That day has not come yet.")
        return on


def _shown(amount: Decimal, unit: str) -> Decimal:
    return Decimal(plain(round_half_up(to_unit(amount, unit), 2)))
