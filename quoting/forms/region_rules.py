"""What is typed about a region rule: its words and dates, and the figures of its kind."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from quoting.core.region_rules import FRACTIONS, OfferTerms, RegionRule, RuleFault, RuleKind, check_offer
from quoting.core.units import NumberFault, parse_number
from quoting.forms.figures import AmountField, plain
from quoting.forms.hands import Remembering
from quoting.models import RegionRule as Row

PAPER_HAS = (
    ("names", "names and addresses"),
    ("place", "the place of the work"),
    ("dates", "when the work is done"),
    ("price", "the price"),
    ("payments", "the payments"),
    ("description", "what is done"),
    ("warranty", "the warranty"),
)
"""What a written form may ask a paper to have, in the words of the rules' `needs`."""

OF = (("", "one of them alone"), ("lesser", "the lesser of the two"), ("greater", "the greater of the two"))
CALENDARS = (
    ("sales", "all but Sundays and federal holidays"),
    ("office", "Monday to Friday but federal holidays"),
    ("every", "every day"),
)
PROBE = Decimal(1_000_000)
"""A total that every threshold lets through, to try a rule's figures on."""


class ShareField(forms.CharField):
    """A share of the price, as 10 % or 1/3; cleans to the text that the core reads: 0.1, 1/3."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=12, **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        try:
            return f"{plain(parse_number(value).scaleb(2))} %"
        except (NumberFault, AttributeError, TypeError):
            return value

    def to_python(self, value: Any) -> str:
        text = super().to_python(value) or ""
        if not text or text in FRACTIONS:
            return text
        try:
            share = parse_number(text.removesuffix("%").strip()).scaleb(-2)
        except NumberFault as fault:
            raise forms.ValidationError(f"Write it as 10 % or 1/3. {fault}") from fault
        if not 0 <= share <= 1:
            raise forms.ValidationError("A share of the price is from 0 to 100 %.")
        return plain(share)

    def has_changed(self, initial: Any, data: Any) -> bool:
        return str(self.prepare_value(initial) or "") != str(data or "")


def _amount(label: str, help_text: str = "") -> AmountField:
    return AmountField(label=label, help_text=help_text, required=False)


def _days(label: str, most: int = 400) -> forms.IntegerField:
    few = forms.NumberInput(attrs={"class": "few"})
    return forms.IntegerField(label=label, min_value=1, max_value=most, required=False, widget=few)


def _thresholds() -> dict[str, forms.Field]:
    return {
        "over": _amount("Only over a total of", "The total itself is not reached."),
        "from": _amount("Only from a total of", "The total itself is reached."),
    }


def _figures_of(kind: str) -> dict[str, forms.Field]:
    """The fields for the figures that a rule of this kind has."""
    match kind:
        case RuleKind.DEPOSIT_CAP:
            return {
                "fraction": ShareField(label="Share of the price", help_text="10 % or 1/3.", required=False),
                "amount": _amount("Sum"),
                "of": forms.ChoiceField(label="Allowed is", choices=OF, required=False),
                "special_order": forms.BooleanField(
                    label="The cost of goods ordered specially counts as a sum", required=False
                ),
                "over": _amount("Only over a total of"),
            }
        case RuleKind.CANCELLATION:
            return {
                "days": _days("Days"),
                "calendar": forms.ChoiceField(label="Which days count", choices=CALENDARS, required=False),
                "from_home": _amount("When signed at the home, from a total of"),
                "from_elsewhere": _amount("When signed elsewhere, from a total of"),
                "older_days": _days("Days for older buyers"),
                "older_age": _days("Older is from the age of", 120),
                "form": forms.CharField(
                    label="Your own words of the form to send",
                    help_text="Stand on both copies of the form in place of ours, above the lines to sign and date it.",
                    max_length=4000,
                    required=False,
                    widget=forms.Textarea(attrs={"rows": 6}),
                ),
            }
        case RuleKind.WRITTEN_FORM:
            needs = forms.MultipleChoiceField(
                label="The paper has to have",
                choices=PAPER_HAS,
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )
            return {**_thresholds(), "needs": needs}
        case RuleKind.NOTICE:
            return _thresholds()
        case _:
            return {}


class RuleForm(Remembering):
    """One rule of a kind that is known when the form is made."""

    name = forms.CharField(label="Name", max_length=160)
    region = forms.CharField(label="Region", max_length=80)
    source = forms.CharField(label="Source", help_text="Law and section, as you would cite it.", max_length=200)
    as_of = forms.DateField(
        label="As of",
        help_text="The day of the text that was read.",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    text = forms.CharField(
        label="Words",
        help_text="Stand on the proposal where the rule reaches it.",
        max_length=6000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
    )
    confirmed_on = forms.DateField(
        label="Your adviser confirmed it on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    on = forms.BooleanField(label="Offers are held against it", required=False)

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        for name, field in _figures_of(kind).items():
            self.fields[f"figure_{name}"] = field
        self.remember()

    @property
    def figure_fields(self) -> list[forms.BoundField]:
        """The fields of the kind's figures."""
        return [self[name] for name in self.fields if name.startswith("figure_")]

    def clean_confirmed_on(self) -> date | None:
        day: date | None = self.cleaned_data["confirmed_on"]
        if day and day > timezone.localdate():
            raise forms.ValidationError("That day is still to come.")
        return day

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.errors:
            return data
        if self.kind in (RuleKind.CANCELLATION, RuleKind.NOTICE) and data["on"] and not data["text"].strip():
            self.add_error("text", "A notice needs its words before it is switched on.")
        rule = RegionRule(
            key=data["name"],
            region=data["region"],
            kind=RuleKind(self.kind),
            name=data["name"],
            figures=self.figures,
            source=data["source"],
        )
        try:
            check_offer([rule], OfferTerms(total=PROBE, currency="USD"))
        except RuleFault as fault:
            self.add_error(None, str(fault))
        return data

    @property
    def figures(self) -> dict[str, str]:
        """The figures as the rule's row keeps them: texts, without those that are empty."""
        told = {}
        for name in self.fields:
            if name.startswith("figure_") and (text := _text(self.cleaned_data.get(name))):
                told[name.removeprefix("figure_")] = text
        return told

    @property
    def facts(self) -> dict[str, Any]:
        """What the acts take."""
        names = ("name", "region", "source", "as_of", "text", "confirmed_on", "on")
        return {name: self.cleaned_data[name] for name in names} | {"figures": self.figures}


class LoadForm(forms.Form):
    """Which region's starting rules to load."""

    region = forms.ChoiceField(label="Region")

    def __init__(self, *args: Any, regions: list[tuple[str, int]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["region"].choices = [  # type: ignore[attr-defined]
            (region, f"{region} ({count} rule{'' if count == 1 else 's'})") for region, count in regions
        ]


class KindForm(forms.Form):
    """What kind of rule is added."""

    kind = forms.ChoiceField(label="Kind", choices=Row.Kind)


def rule_values(rule: Row) -> dict[str, Any]:
    """The rule's values as its form begins with them."""
    names = ("name", "region", "source", "as_of", "text", "confirmed_on", "on", "version")
    return {name: getattr(rule, name) for name in names} | _figure_values(rule.kind, rule.figures)


def _figure_values(kind: str, figures: Mapping[str, str]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for name, field in _figures_of(kind).items():
        text = figures.get(name, "")
        if isinstance(field, forms.BooleanField):
            values[f"figure_{name}"] = text == "yes"
        elif isinstance(field, forms.MultipleChoiceField):
            values[f"figure_{name}"] = [each.strip() for each in text.split(",") if each.strip()]
        else:
            values[f"figure_{name}"] = text
    return values


def _text(value: Any) -> str:
    match value:
        case None | False:
            return ""
        case True:
            return "yes"
        case Decimal():
            return f"{value:.2f}"
        case list():
            return ", ".join(value)
        case _:
            return str(value)
