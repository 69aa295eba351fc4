"""How a step uses up a material: the fields for each way of using it, by the scope file's names."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.units import Dimension
from quoting.forms.figures import NumberField, PercentField, QuantityField
from quoting.forms.hands import KeepsTheirs
from quoting.models import Condition, Edition, Material, StepMaterial

KINDS_OF_USE = {
    "coverage": "spread over the area",
    "mix": "powder stirred into water, in batches",
    "dilution": "concentrate let down with water",
    "stirred": "stirred into what is spread, by its volume",
    "length": "so much a length",
    "crack": "filled into a crack",
    "joint": "swept into the joints of pavers",
    "each": "counted",
}
"""How a material can be used up: the scope file's word, and what a person reads."""


def whole(**kwargs: Any) -> NumberField:
    """A field for a small whole number."""
    return NumberField(places=0, **kwargs)


FIRST_USE: dict[str, dict[str, Any]] = {
    "coverage": {"coats": 1},
    "mix": {"coats": 1, "batch": "5 gal", "batch_step": "0.25 gal"},
    "dilution": {"parts_water": "4", "coats": 1},
    "stirred": {"coats": 1},
    "length": {"per_length": "", "length": "edge"},
    "crack": {"width": "1/4 in", "depth": "1/2 in"},
    "joint": {"unit_length": "8 in", "unit_width": "4 in", "joint": "1/8 in", "depth": "1 in"},
    "each": {"count": 1},
}
"""What a use begins with, to be changed: common practice, no published source."""

METRIC_FIRST_USE: Mapping[str, dict[str, Any]] = FIRST_USE | {
    "mix": {"coats": 1, "batch": "20 L", "batch_step": "1 L"},
    "crack": {"width": "6 mm", "depth": "12 mm"},
    "joint": {"unit_length": "20 cm", "unit_width": "10 cm", "joint": "3 mm", "depth": "25 mm"},
}
"""The same in a metric book."""

_COVERAGE = (Dimension.AREA_PER_VOLUME, Dimension.AREA_PER_MASS)
_PER_LENGTH = (Dimension.VOLUME_PER_LENGTH, Dimension.MASS_PER_LENGTH, Dimension.COUNT_PER_LENGTH)
FROM_THE_BOOK = "Empty: the material’s own figure for the slab."


def _coats() -> dict[str, forms.Field]:
    return {
        "coats": whole(label="Coats", least=1, most=10),
        "first_coat": whole(
            label="Beginning with coat",
            least=1,
            most=10,
            required=False,
            help_text="2 where the first is another step.",
        ),
        "condition": forms.ChoiceField(
            label="Slab reckoned", choices=[("", "as it was found"), *Condition.choices], required=False
        ),
    }


def _covers(*dimensions: Dimension) -> QuantityField:
    return QuantityField(*dimensions, label="Covers", required=False, help_text=FROM_THE_BOOK)


def _length(label: str) -> QuantityField:
    return QuantityField(Dimension.LENGTH, label=label)


def fields_of_use(kind: str) -> dict[str, forms.Field]:
    """The fields for a way of using material, by the scope file's names."""
    if kind == "coverage":
        return {**_coats(), "coverage": _covers(*_COVERAGE)}
    if kind == "mix":
        volume = (Dimension.VOLUME,)
        return {
            **_coats(),
            "batch": QuantityField(*volume, label="Water of one batch"),
            "batch_step": QuantityField(*volume, label="Last batch up to the next", required=False),
            "strength": QuantityField(
                Dimension.MASS_PER_VOLUME, label="Strength", required=False, help_text="Empty: the material’s own."
            ),
            "coverage": _covers(Dimension.AREA_PER_VOLUME),
        }
    if kind == "dilution":
        return {
            "parts_water": NumberField(label="Parts of water to one", most=10_000),
            **_coats(),
            "coverage": _covers(Dimension.AREA_PER_VOLUME),
        }
    if kind == "stirred":
        return {
            **_coats(),
            "strength": QuantityField(
                Dimension.MASS_PER_VOLUME, label="Strength", required=False, help_text="Empty: the material’s own."
            ),
            "coverage": _covers(Dimension.AREA_PER_VOLUME),
        }
    if kind == "length":
        return {
            "per_length": QuantityField(*_PER_LENGTH, label="So much a length", help_text="0.01 each/ft, 10 g/m"),
            "length": QuantityField(
                Dimension.LENGTH,
                words=("edge",),
                label="Along",
                required=False,
                help_text="A length, or edge; empty asks for it in the option.",
            ),
        }
    if kind == "crack":
        return {"width": _length("Width"), "depth": _length("Filled deep")}
    if kind == "joint":
        return {
            "unit_length": _length("A paver is long"),
            "unit_width": _length("and wide"),
            "joint": _length("Joint"),
            "depth": _length("Filled deep"),
        }
    return {
        "count": whole(label="How many", least=1, most=99_999, required=False),
        "per_area": QuantityField(Dimension.AREA, label="Or one for each", required=False, help_text="100 ft², 10 m²"),
    }


WHOLE = {"coats", "count", "first_coat"}
NUMBERS = {"parts_water"}


class UseForm(KeepsTheirs, forms.Form):
    """How one step uses up one material: the fields of its kind, and its waste."""

    def __init__(self, data: Mapping[str, Any] | None = None, *, row: StepMaterial, edition: Edition) -> None:
        self.row, self.kind = row, str(row.use.get("by", "coverage"))
        initial = {name: Decimal(value) if name in WHOLE | NUMBERS else value for name, value in row.use.items()}
        initial |= {"material": row.material_id, "waste": row.waste}
        super().__init__(data, prefix=f"use-{row.pk}", initial=initial)
        material = forms.ModelChoiceField(
            label="Material", queryset=Material.objects.filter(edition=edition), empty_label=None
        )
        waste = PercentField(label="Waste, %", required=False, help_text="Empty: the material’s own.")
        self.fields |= {"material": material, **fields_of_use(self.kind), "waste": waste}
        for field in self.fields.values():
            field.show_hidden_initial = True

    @property
    def said(self) -> str:
        """How it is used up, in words."""
        return KINDS_OF_USE.get(self.kind, self.kind)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name in set(cleaned) - set(self.changed_data):
            cleaned[name] = (
                self.row.material if name == "material" else self.get_initial_for_field(self.fields[name], name)
            )
        if self.kind == "each" and not self.errors and bool(cleaned.get("count")) == bool(cleaned.get("per_area")):
            self.add_error("count", "Give exactly one of the two.")
        return cleaned

    def changed_row(self) -> StepMaterial:
        """The row with what was typed; figures that were left empty come from the material."""
        use: dict[str, Any] = {"by": self.kind}
        for name, value in self.cleaned_data.items():
            if name in {"material", "waste"} or value in (None, ""):
                continue
            if name in WHOLE:
                use[name] = int(value)
            elif name in NUMBERS:
                use[name] = self.fields[name].prepare_value(value)
            else:
                use[name] = value
        if use.get("first_coat") == 1:
            del use["first_coat"]
        self.row.use, self.row.waste, self.row.material = use, self.cleaned_data["waste"], self.cleaned_data["material"]
        return self.row
