"""How long a seal lasts, in years, by itself and under each exposure; and the months in which the firm seals."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.dates import MONTHS

from quoting.core.recall import Exposure, RecallFault, Season, life_from, years_of
from quoting.documents.recall_rules import LifeRow, Years
from quoting.documents.slab_record import EXPOSED
from quoting.forms.figures import NumberField
from quoting.forms.hands import Remembering

FIGURES = ("low", "likely", "high")


class LivesForm(Remembering):
    """Three figures for the seal by itself and three for each exposure; all three empty: not shortened by it."""

    source = forms.CharField(
        label="What your figures rest on",
        max_length=200,
        required=False,
        help_text="Your own jobs of which years, a maker’s data sheet. It stands beside every figure that you change.",
    )

    def __init__(self, *args: Any, rows: list[LifeRow], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rows = rows
        for row in rows:
            values = years_of(row.life) if row.life else (None, None, None)
            where = f"under {EXPOSED[row.exposure]}" if row.exposure else "by itself"
            for name, value in zip(FIGURES, values, strict=True):
                self.fields[_name(row.exposure, name)] = NumberField(
                    label=f"{where.capitalize()}, {name}", required=False, above=0, most=50, places=2, initial=value
                )
        self.remember()

    @property
    def table(self) -> list[tuple[LifeRow, str, list[forms.BoundField]]]:
        """Each life with its words and three blanks."""
        return [
            (
                row,
                EXPOSED[row.exposure] if row.exposure else "by itself",
                [self[_name(row.exposure, name)] for name in FIGURES],
            )
            for row in self.rows
        ]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        years: dict[Exposure | None, Years] = {}
        for row in self.rows:
            names = [_name(row.exposure, name) for name in FIGURES]
            if any(name in self.errors for name in names):
                continue
            told: list[Decimal | None] = [cleaned.get(name) for name in names]
            if not any(each is not None for each in told):
                years[row.exposure] = None
                if row.exposure is None:
                    self.add_error(names[0], "A seal lasts for some time by itself; write its years.")
                continue
            figures = [each for each in told if each is not None]
            if len(figures) < 3:
                self.add_error(names[0], "Write all three years, or none.")
                continue
            try:
                life_from(figures)
            except RecallFault:
                self.add_error(names[0], "Low, likely and high rise, from a month to 50 years.")
            years[row.exposure] = figures
        cleaned["years"] = years
        return cleaned


class SeasonForm(Remembering):
    """The first and the last month in which the firm seals; both empty: all year round."""

    first = forms.TypedChoiceField(label="Sealing begins in", coerce=int, empty_value=None, required=False)
    last = forms.TypedChoiceField(label="Sealing ends in", coerce=int, empty_value=None, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("first", "last"):
            field: Any = self.fields[name]
            field.choices = [("", "all year round"), *((number, str(words)) for number, words in MONTHS.items())]
        self.remember()

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if bool(cleaned.get("first")) != bool(cleaned.get("last")):
            self.add_error("last", "Name both months, or neither.")
        return cleaned

    @property
    def season(self) -> Season | None:
        """What `keep_season` takes."""
        first, last = self.cleaned_data["first"], self.cleaned_data["last"]
        return Season(first=first, last=last) if first and last else None


def _name(exposure: Exposure | None, figure: str) -> str:
    return f"{exposure.value if exposure else 'itself'}-{figure}"
