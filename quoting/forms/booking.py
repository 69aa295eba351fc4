"""What the office says of a lot before it is booked: packs opened, what is left in the open one, sizes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.rounding import round_half_up
from quoting.core.trade_units import to_unit
from quoting.core.units import Dimension, Quantity, QuantityFault, parse_quantity
from quoting.documents.booking import LineBooked, StockLine

PACKED = (Dimension.VOLUME, Dimension.MASS, Dimension.COUNT)
UNITS = {
    "us": {"volume": "gal", "mass": "lb", "count": "each"},
    "metric": {"volume": "L", "mass": "kg", "count": "each"},
}


def plain_amount(magnitude: Decimal, dimension: str, size_text: str, units: str) -> str:
    """An amount as it may be typed, in the unit in which the pack is sold: “1.25 gal”; nothing for nothing."""
    if not magnitude:
        return ""
    unit = size_text.rpartition(" ")[2] if " " in size_text else ""
    try:
        parse_quantity(f"1 {unit}", Dimension[dimension.upper()])
    except (QuantityFault, KeyError):
        unit = UNITS["metric" if units == "metric" else "us"][dimension]
    return f"{round_half_up(to_unit(magnitude, unit), 3).normalize():f} {unit}"


class LineForm(forms.Form):
    """One lot. What was never in stock is asked for its size and for full ones that came back."""

    opened = forms.IntegerField(label="Full packs opened", min_value=0, max_value=999, required=False)
    left = forms.CharField(
        label="Left in the open one", max_length=40, required=False, help_text="Empty when none is open any more."
    )
    size = forms.CharField(label="Size of one", max_length=40, required=False, help_text="5 gal, 1 lb")
    full = forms.IntegerField(label="Full ones that came back", min_value=0, max_value=999, required=False)
    place = forms.CharField(label="Where it is kept", max_length=80, required=False)

    def __init__(self, *args: Any, line: StockLine, units: str, **kwargs: Any) -> None:
        self.line = line
        super().__init__(*args, **kwargs)
        if line.rows:
            for name in ("size", "full", "place"):
                del self.fields[name]
            first = line.rows[0]
            self.initial = {
                "opened": line.drawn.opened,
                "left": plain_amount(line.drawn.left, first.dimension, first.size_text, units),
            }
        else:
            del self.fields["opened"]
            told = next((entry.data for entry in reversed(line.wrote) if entry.kind == "left"), None)
            self.initial = {"left": told["called"] if told else "", "full": 0}

    def clean_left(self) -> Quantity | None:
        return self._amount("left")

    def clean_size(self) -> Quantity | None:
        return self._amount("size")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if "size" in self.fields and not self.errors and (cleaned["left"] or cleaned["full"]) and not cleaned["size"]:
            self.add_error("size", "Say how large one pack is, so that what came back can be kept in stock.")
        return cleaned

    def _amount(self, name: str) -> Quantity | None:
        text = self.cleaned_data[name].strip()
        if not text:
            return None
        try:
            return parse_quantity(text, *PACKED, zero=name == "left")
        except QuantityFault as fault:
            raise forms.ValidationError(str(fault)) from None

    @property
    def booked(self) -> LineBooked:
        """What `book_work` takes."""
        cleaned = self.cleaned_data
        left = cleaned["left"]
        return LineBooked(
            line=self.line, opened=cleaned.get("opened") or 0, left=left if left and left.magnitude else None,
            size=cleaned.get("size"), full=cleaned.get("full") or 0, place=(cleaned.get("place") or "").strip(),
        )  # fmt: skip


class BookForm(forms.Form):
    """The press that books all of it."""

    once = forms.UUIDField(widget=forms.HiddenInput)
    seen = forms.CharField(max_length=4000, widget=forms.HiddenInput)
    free = forms.BooleanField(label="What is still kept for this folder is free again", required=False)
