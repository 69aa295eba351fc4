"""Forms of the price book: an edition, its figures in place, and each kind of row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from django import forms
from django.db import models
from moneyed import Money

from quoting.forms.figures import AmountField, NumberField, PercentField
from quoting.forms.hands import VERSION, KeepsTheirs
from quoting.forms.materials import OUT_OF_ORDER
from quoting.forms.rows import RowForm
from quoting.models import Charge, Condition, Coverage, Edition, LabourTask, Surface, UnitPrice


class EditionForm(RowForm):
    """Name, the day it takes over, and a note."""

    takes_over = forms.DateField(
        label="Takes over on", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    version = forms.IntegerField(required=False, **VERSION)

    class Meta:
        model = Edition
        fields = ("name", "takes_over", "note")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        error_messages = {"name": {"unique": "There is an edition of this name already."}}


class CopyForm(EditionForm):
    """A new edition from another: its words, and the units that it counts in."""

    units = forms.ChoiceField(
        label="Counts in",
        choices=Edition.Units,
        required=False,
        help_text="Chosen once. In other units than before, figures are converted; packs stay as sold.",
    )

    class Meta(EditionForm.Meta):
        fields = ("name", "takes_over", "units", "note")

    def clean_units(self) -> str:
        return str(self.cleaned_data["units"] or self.instance.units)


class BeginForm(forms.Form):
    """The units of the first edition."""

    units = forms.ChoiceField(label="Counts in", choices=Edition.Units, required=False)


class VersionForm(forms.Form):
    """Which state of the edition somebody looked at when he decided."""

    version = forms.IntegerField(**VERSION)


class LedgerFilter(forms.Form):
    """What of the book is shown; everything stands in the address."""

    q = forms.CharField(label="Find in the price book", max_length=100, required=False)
    kept = forms.CharField(label="Kept in", max_length=60, required=False)
    changed = forms.BooleanField(label="Only what changed", required=False)
    surface = forms.ChoiceField(label="Covers on", choices=Surface, required=False)
    condition = forms.ChoiceField(label="found", choices=Condition, required=False)
    after = forms.IntegerField(min_value=1, max_value=2**31 - 1, required=False, widget=forms.HiddenInput)


class Cell(NamedTuple):
    """One figure that is edited in place: its field's name, the row and attribute behind it, and what it is called."""

    name: str
    row: models.Model
    attribute: str
    label: str
    field: NumberField


def cell(row: models.Model, attribute: str, label: str) -> Cell:
    """The cell of a row's figure, with the field that fits it."""
    fields: dict[str, NumberField] = {
        "price": AmountField(required=True),
        "amount": AmountField(required=True),
        "waste": PercentField(),
        "share": PercentField(),
        "setup": NumberField(),
    }
    field = fields.get(attribute) or NumberField(above=0, least=None)
    field.label = label
    field.widget.attrs |= {"class": "quiet figure-in", "aria-label": label}
    return Cell(f"{row._meta.model_name}-{row.pk}-{attribute}", row, attribute, label, field)


class FiguresForm(KeepsTheirs, forms.Form):
    """The figures of a draft, edited in place in the ledger."""

    version = forms.IntegerField(**VERSION)

    def __init__(self, data: Mapping[str, Any] | None = None, *, cells: Iterable[Cell], version: int) -> None:
        self.cells = {each.name: each for each in cells}
        initial: dict[str, Any] = {"version": version}
        for each in self.cells.values():
            initial[each.name] = getattr(each.row, each.attribute)
        super().__init__(data, initial=initial, auto_id="f-%s")
        self.fields |= {each.name: each.field for each in self.cells.values()}
        for field in self.fields.values():
            field.show_hidden_initial = not isinstance(field.widget, forms.HiddenInput)

    def _clean_fields(self) -> None:
        """A cell that isn't in what was sent was not on that page: it stays as it is."""
        for name in [name for name in self.cells if self.add_prefix(name) not in self.data]:
            del self.fields[name]
            del self.cells[name]
        super()._clean_fields()

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for each in self.cells.values():
            if isinstance(each.row, Coverage) and each.attribute == "likely":
                low, likely, high = (
                    cleaned.get(each.name.replace("-likely", f"-{word}"), getattr(each.row, word))
                    for word in ("low", "likely", "high")
                )
                if None not in (low, likely, high) and not low <= likely <= high:
                    self.add_error(each.name, OUT_OF_ORDER)
        return cleaned

    def changed_rows(self) -> list[models.Model]:
        """The rows whose figures were changed, with their new figures set, each once."""
        rows: dict[tuple[str, int], models.Model] = {}
        for name in self.changed_data:
            if (each := self.cells.get(name)) is None:
                continue
            value = self.cleaned_data[name]
            before = getattr(each.row, each.attribute)
            setattr(each.row, each.attribute, Money(value, before.currency) if isinstance(before, Money) else value)
            if hasattr(each.row, "is_starting_value"):
                each.row.is_starting_value = False
            rows[(str(each.row._meta.model_name), each.row.pk)] = each.row
        return list(rows.values())


class TaskForm(RowForm):
    """A labour task with its production rate."""

    rate = NumberField(label="One person does in an hour", above=0, least=None)
    setup = NumberField(label="Set-up, person-hours", help_text="Each time the step is done, whatever the area.")
    textured = NumberField(label="On deep texture, ×", above=0, least=None)
    awkward = NumberField(label="On slopes, steps, in tight places, ×", above=0, least=None)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        counts_in = self.instance.edition.counts_in
        known = {counts_in.area_rate, counts_in.length_rate, "each/hour"}
        known |= {self.instance.unit} if self.instance.pk else set()
        self.fields["unit"].choices = [  # type: ignore[attr-defined]
            (key, label) for key, label in LabourTask.UNITS if key in known
        ]
        if not self.instance.pk:
            self.initial["unit"] = counts_in.area_rate

    class Meta:
        model = LabourTask
        fields = ("name", "rate", "unit", "setup", "textured", "awkward", "is_starting_value")
        labels = {"unit": "Reckoned in", "is_starting_value": "A starting value, not yet one of your own"}


class ChargeForm(RowForm):
    """A cost that is neither material nor labour."""

    amount = AmountField(label="Amount", required=False)
    share = PercentField(label="Or per cent of direct cost", required=False)

    class Meta:
        model = Charge
        fields = ("name", "category", "amount", "per", "share", "always")
        labels = {"per": "Charged", "always": "Put into every new option"}
        help_texts = {"always": ""}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        is_share = cleaned.get("per") == Charge.Per.SHARE
        if is_share:
            cleaned["amount"] = Money(0, self.currency)
            if not cleaned.get("share") and "share" not in self.errors:
                self.add_error("share", "Say how many per cent of materials, labour and the other charges it is.")
        else:
            cleaned["share"] = None
            if cleaned.get("amount") is None and "amount" not in self.errors:
                self.add_error("amount", "Say how much it is.")
        return cleaned


class UnitPriceForm(RowForm):
    """What may turn up, priced in advance."""

    price = AmountField(label="Price")

    class Meta:
        model = UnitPrice
        fields = ("name", "price")
        help_texts = {"name": "As the homeowner reads it: Crack filled with paste, a foot."}


class PriceListForm(forms.Form):
    """A CSV file of materials."""

    file = forms.FileField(label="CSV file", max_length=200, widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}))
    version = forms.IntegerField(**VERSION)
