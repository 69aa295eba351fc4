"""Fields for figures: numbers go through the one number grammar, quantities through the closed list of units."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from moneyed import Money

from quoting.core.trade_units import QuantityFault
from quoting.core.units import Dimension, NumberFault, parse_number, parse_quantity


def plain(number: Decimal) -> str:
    """The number as it is typed: no exponent, no zeros at the end."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


class NumberField(forms.CharField):
    """A number; cleans to a Decimal, or None when it is empty. `least` and `most` are allowed, `above` is not."""

    def __init__(
        self,
        *,
        least: Decimal | int | None = 0,
        above: Decimal | int | None = None,
        most: Decimal | int = 99_999_999,
        places: int = 4,
        **kwargs: Any,
    ) -> None:
        self.least, self.above, self.most, self.places = least, above, most, places
        # No `max_length`: its validator would ask the Decimal for its length. The grammar refuses long text itself.
        super().__init__(empty_value=None, **kwargs)
        self.widget.attrs.setdefault("maxlength", "20")
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Money):
            value = value.amount
        return plain(value) if isinstance(value, Decimal) else value

    def to_python(self, value: Any) -> Decimal | None:
        text = super().to_python(value)
        return None if text is None else self.read(text)

    def read(self, text: str) -> Decimal:
        """The number that the text says, within the field's bounds; raises ValidationError with its sentence."""
        try:
            number = parse_number(text)
        except NumberFault as fault:
            raise forms.ValidationError(str(fault)) from fault
        exponent = number.as_tuple().exponent
        if isinstance(exponent, int) and -exponent > self.places:
            raise forms.ValidationError(f"At most {self.places} digits after the point.")
        if self.above is not None and number <= self.above:
            raise forms.ValidationError(f"It must be more than {plain(Decimal(self.above))}.")
        if self.least is not None and number < self.least:
            raise forms.ValidationError(f"It can’t be less than {plain(Decimal(self.least))}.")
        if number > self.most:
            raise forms.ValidationError(f"It can’t be more than {plain(Decimal(self.most))}.")
        return number

    def has_changed(self, initial: Any, data: Any) -> bool:
        """220 and 220.0 are the same figure; what can't be read is a change."""
        if self.disabled:
            return False
        before, after = (str(self.prepare_value(each) or "").strip() for each in (initial, data))
        try:
            return (parse_number(before) if before else None) != (parse_number(after) if after else None)
        except NumberFault:
            return before != after


class PercentField(NumberField):
    """A share typed in per cent; cleans to the fraction: 5 is 0.05."""

    def __init__(self, *, most: Decimal | int = 100, **kwargs: Any) -> None:
        super().__init__(least=0, most=most, places=2, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return plain(value.scaleb(2)) if isinstance(value, Decimal) else value

    def to_python(self, value: Any) -> Decimal | None:
        number = super().to_python(value)
        return None if number is None else number.scaleb(-2)


class AmountField(NumberField):
    """A sum in the firm's currency, with its two decimals; cleans to a Decimal."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("most", 999_999_999)
        super().__init__(places=2, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Money):
            value = value.amount
        return f"{value:.2f}" if isinstance(value, Decimal) else value


class QuantityField(forms.CharField):
    """A number with its unit, such as 5 gal or 1/4 in; cleans to the text as it was typed, once it can be read.

    `words` are taken as they stand, such as “edge” for a length.
    """

    def __init__(self, *dimensions: Dimension, words: tuple[str, ...] = (), unit: str = "", **kwargs: Any) -> None:
        self.dimensions, self.words, self.unit = dimensions, words, unit
        super().__init__(max_length=40, **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> str:
        text = " ".join(str(super().to_python(value) or "").split())
        if not text or text in self.words:
            return text
        try:
            return parse_quantity(text, *self.dimensions, default_unit=self.unit or None).text
        except QuantityFault as fault:
            raise forms.ValidationError(str(fault)) from fault
