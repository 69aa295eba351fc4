"""Forms of a material of the price book, with its packs and how far it goes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.db import models

from quoting.forms.figures import AmountField, NumberField, PercentField
from quoting.forms.hands import Hands
from quoting.forms.rows import RowForm
from quoting.models import Coverage, Material, Pack
from quoting.models.pricebook import UNITS_OF_KIND

OUT_OF_ORDER = "Low, likely and high must stand in this order."
MOST_ROWS = 100


class MaterialForm(RowForm):
    """A material without its packs and coverage."""

    waste = PercentField(label="Waste, %", required=False, help_text="Liquids 5 to 8, sand 5 to 10, film and tape 15.")
    scoop = NumberField(
        label="A level scoop holds", above=0, required=False, help_text="Weigh it once; dose by weight."
    )
    strength = NumberField(label="Strength", above=0, required=False)
    solids = PercentField(label="Solids by volume, %", required=False)
    density = NumberField(label="Density", above=0, required=False)

    class Meta:
        model = Material
        fields = (
            "name", "group", "kind", "kept_in", "waste", "strength", "scoop", "solids", "density", "charge",
            "cautions", "is_starting_value",
        )  # fmt: skip
        labels = {
            "kind": "Bought",
            "charge": "Charged at",
            "kept_in": "Kept in",
            "is_starting_value": "A starting value, not yet one of your own",
        }
        help_texts = {"is_starting_value": "", "kept_in": "The pick list is grouped by it."}
        widgets = {"cautions": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        counts_in = self.instance.edition.counts_in
        for name, unit in (
            ("scoop", counts_in.scoop),
            ("strength", counts_in.strength_said),
            ("density", counts_in.density_said),
        ):
            self.fields[name].label = f"{self.fields[name].label}, {unit}"

    def clean_waste(self) -> Decimal:
        return self.cleaned_data["waste"] or Decimal(0)


class PackForm(RowForm):
    """A pack as sold."""

    size = NumberField(label="Size", above=0, least=None)
    price = AmountField(label="Price")

    class Meta:
        model = Pack
        fields = ("size", "unit", "price")


class CoverageForm(RowForm):
    """How far it goes on one surface in one condition, one coat."""

    coat = NumberField(label="Coat", least=1, most=10, places=0, initial=1)
    low = NumberField(label="Low", above=0, least=None)
    likely = NumberField(label="Likely", above=0, least=None)
    high = NumberField(label="High", above=0, least=None)
    spread = PercentField(label="Spread, %", initial=Decimal("0.25"))

    class Meta:
        model = Coverage
        fields = ("surface", "condition", "coat", "low", "likely", "high", "spread")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        low, likely, high = (cleaned.get(name) for name in ("low", "likely", "high"))
        if None not in (low, likely, high) and not low <= likely <= high:
            self.add_error("likely", OUT_OF_ORDER)
        return cleaned

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            for name in ("low", "likely", "high", "spread"):
                self.fields[name].widget.attrs["class"] = "quiet figure-in"

    def clean_coat(self) -> int:
        return int(self.cleaned_data["coat"])

    def _get_validation_exclusions(self) -> set[str]:
        # The order of the three is said at the field; the constraint would say it a second time, without a place.
        return super()._get_validation_exclusions() | ({"low", "likely", "high"} if self.errors else set())


class RowsFormSet(forms.BaseInlineFormSet):
    """The packs, or the coverage, of one material; no two rows alike."""

    def get_unique_error_message(self, unique_check: Any) -> str:
        return "Two of these rows are alike; keep one."

    def get_form_error(self) -> str:
        return "It is there twice."

    def both_changed(self) -> list[Hands]:
        return [hands for form in self.forms if form.instance.pk for hands in form.both_changed()]

    @property
    def kept_rows(self) -> list[models.Model]:
        """Rows that are new or were changed."""
        return [form.instance for form in self.forms if form.has_changed() and form not in self.deleted_forms]

    @property
    def removed_rows(self) -> list[models.Model]:
        """Rows that are to go."""
        return [form.instance for form in self.deleted_forms if form.instance.pk]


class PacksFormSet(RowsFormSet):
    def clean(self) -> None:
        """Packs of one material are all liquid, all dry or all counted: what the material is bought as."""
        super().clean()
        units = UNITS_OF_KIND.get(Material.Kind(self.instance.kind)) if self.instance.kind else None
        for form in self.forms:
            unit = getattr(form, "cleaned_data", {}).get("unit")
            if units and unit and form not in self.deleted_forms and unit not in units:
                form.add_error("unit", f"It is bought {self.instance.get_kind_display()}: {', '.join(units)}.")


PackFormSet = forms.inlineformset_factory(
    Material, Pack, form=PackForm, formset=PacksFormSet, extra=1, max_num=MOST_ROWS, absolute_max=MOST_ROWS * 2
)
CoverageFormSet = forms.inlineformset_factory(
    Material, Coverage, form=CoverageForm, formset=RowsFormSet, extra=1, max_num=MOST_ROWS, absolute_max=MOST_ROWS * 2
)
