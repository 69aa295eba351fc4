"""One thing of the firm's gear: its words in two languages, what it is taken for, how many, and where it is kept."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.gear import GearKind, Per
from quoting.core.trade_units import from_unit
from quoting.core.units import to_unit
from quoting.core.weather_limits import Work
from quoting.documents.crew_words import say
from quoting.forms.figures import NumberField, PercentField, plain
from quoting.forms.hands import Remembering
from quoting.models import GearItem

WORDS = ("name", "name_es", "place", "place_es")
BOTH_COLUMNS = "Where it is empty, the crew reads the English words in both columns."


class GearForm(Remembering):
    """A thing, or with `kind` masking a roll of tape or film. `roll_unit` is ft or m."""

    name = forms.CharField(label="Name, English", max_length=80)
    name_es = forms.CharField(label="Name, Spanish", max_length=80, required=False, help_text=BOTH_COLUMNS)
    place = forms.CharField(
        label="Kept in, English", max_length=60, required=False, help_text="The pick list is grouped by it."
    )
    place_es = forms.CharField(label="Kept in, Spanish", max_length=60, required=False)

    def __init__(self, *args: Any, kind: str, roll_unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_roll, self.roll_unit = kind == GearKind.MASKING, roll_unit
        for name in ("name_es", "place_es"):
            self.fields[name].widget.attrs["lang"] = "es"
        for work in Work:
            self.fields[f"for_{work}"] = forms.BooleanField(label=say(f"work.{work}").en, required=False)
        if self.is_roll:
            self.fields["roll"] = NumberField(label=f"On a roll, {roll_unit}", above=0, most=2000, places=2)
            self.fields["rows"] = forms.IntegerField(label="Times along the edge", min_value=1, max_value=20)
            self.fields["waste"] = PercentField(label="Waste, %", help_text="15 is common practice.")
        else:
            self.fields["count"] = forms.IntegerField(label="How many", min_value=1, max_value=500)
            self.fields["per"] = forms.ChoiceField(
                label="For", choices=[(Per.VISIT.value, "each visit"), (Per.PERSON.value, "each person")]
            )
        self.remember()

    @property
    def work_fields(self) -> list[forms.BoundField]:
        """What it is taken for, a tick each."""
        return [self[f"for_{work}"] for work in Work]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not any(cleaned.get(f"for_{work}") for work in Work):
            self.add_error(None, "Tick at least one kind of work, or it would never be loaded.")
        return cleaned

    @property
    def facts(self) -> dict[str, Any]:
        """What `add_gear` and `keep_gear` take."""
        typed = self.cleaned_data
        facts = {name: " ".join(typed[name].split()) for name in WORDS}
        facts["works"] = [work.value for work in Work if typed[f"for_{work}"]]
        if self.is_roll:
            return facts | {
                "roll": from_unit(typed["roll"], self.roll_unit), "rows": typed["rows"], "waste": typed["waste"]
            }  # fmt: skip
        return facts | {"count": typed["count"], "per": typed["per"]}


def gear_values(row: GearItem, roll_unit: str) -> dict[str, Any]:
    """A row as its form holds it."""
    values: dict[str, Any] = {name: getattr(row, name) for name in (*WORDS, "version", "count", "per", "rows", "waste")}
    values |= {f"for_{work}": work.value in row.works for work in Work}
    return values | {"roll": None if row.roll is None else Decimal(plain(to_unit(row.roll, roll_unit)))}
