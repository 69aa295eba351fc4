"""Rows that are typed about the firm: its taxes, and the stretches of a payment plan."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.tax_places import places_in
from quoting.forms.figures import PercentField
from quoting.models import PaymentTerm, TaxRule

MOST_ROWS = 12
WHOLE = Decimal(1)


class OpenedWith(forms.Form):
    """The version that a page of rows was opened with, and the rows that it had, one a line."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    had = forms.CharField(max_length=40000, required=False, strip=False, widget=forms.HiddenInput)


class TaxForm(forms.Form):
    """One tax."""

    name = forms.CharField(label="Name", max_length=80)
    rate = PercentField(label="Rate, %")
    on = forms.ChoiceField(label="On", choices=TaxRule.Base)
    region = forms.CharField(
        label="In the region", max_length=100, required=False, help_text="As in the addresses; empty: everywhere."
    )
    places = forms.CharField(
        label="In these towns or postcodes only",
        max_length=2000,
        required=False,
        help_text="By commas. 02740 holds for 02740-1234 too; empty: in the whole region.",
    )
    as_of = forms.DateField(label="As of", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    source = forms.CharField(label="Source", max_length=200, required=False)
    active = forms.BooleanField(label="Goes on proposals", required=False, initial=True)

    field_order = ("name", "rate", "on", "region", "places", "as_of", "source", "active")

    def clean_places(self) -> str:
        """The towns and postcodes in one line, each once trimmed."""
        return ", ".join(places_in(self.cleaned_data["places"]))


class Rows(forms.BaseFormSet):  # type: ignore[type-arg]
    """Rows of the firm that can be struck out."""

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Strike this out"
        if "ORDER" in form.fields:
            form.fields["ORDER"].label = "Stands at place"


class TaxRows(Rows):
    """All taxes of the firm."""

    def clean(self) -> None:
        named: dict[str, list[str]] = {}
        for form in kept_forms(self):
            if "name" in form.cleaned_data:
                region = str(form.cleaned_data.get("region", "")).casefold()
                named.setdefault(form.cleaned_data["name"].casefold(), []).append(region)
        if any(len(regions) > 1 and ("" in regions or len(regions) != len(set(regions))) for regions in named.values()):
            raise forms.ValidationError(
                "Two taxes of one region have the same name. On a paper nobody could tell them apart."
            )

    @property
    def facts(self) -> list[dict[str, Any]]:
        """Each tax that is kept, by field."""
        return [{name: form.cleaned_data[name] for name in TaxForm.field_order} for form in kept_forms(self)]


class TermForm(forms.Form):
    """One stretch of the payment plan."""

    name = forms.CharField(label="Name", max_length=80)
    trigger = forms.CharField(label="When it is due", max_length=120)
    share = PercentField(label="Share, %", required=False)
    done = PercentField(
        label="Work done by then, %", help_text="Some region rules ask; the last is the whole.", required=False
    )


class TermRows(Rows):
    """The payment plan: the shares add up to the whole; the last may stay empty and takes what is left."""

    def clean(self) -> None:
        forms_kept = in_order(self)
        if not forms_kept:
            raise forms.ValidationError("There must be at least one payment.")
        if any(not form.is_valid() for form in forms_kept):
            return
        *parts, last = forms_kept
        for form in parts:
            if not form.cleaned_data.get("share"):
                form.add_error("share", "Only the last may stay empty: it takes what is left.")
                return
        left = WHOLE - sum((form.cleaned_data["share"] for form in parts), Decimal(0))
        if left <= 0:
            raise forms.ValidationError(
                f"Nothing is left for “{last.cleaned_data['name']}”: the others come to the whole."
            )
        share = last.cleaned_data.get("share")
        if share is not None and share != left:
            raise forms.ValidationError(
                f"The shares come to {_percent(WHOLE - left + share)}, not 100 %. "
                f"Leave “{last.cleaned_data['name']}” empty, and it takes the {_percent(left)} that are left."
            )
        last.cleaned_data["share"] = left

    @property
    def facts(self) -> list[dict[str, Any]]:
        """Each stretch that is kept, by field, in its order."""
        names = ("name", "trigger", "share", "done")
        return [{name: form.cleaned_data[name] for name in names} for form in in_order(self)]


def in_order(rows: forms.BaseFormSet[Any]) -> list[forms.Form]:
    """The forms that are kept, by the order that was typed; those without one come last."""

    def place(form: forms.Form) -> tuple[bool, int]:
        order = form.cleaned_data.get("ORDER")
        return (order is None, order or 0)

    return sorted(kept_forms(rows), key=place)


def kept_forms(rows: forms.BaseFormSet[Any]) -> list[forms.Form]:
    """The forms of rows in which something stands and that are not struck out."""
    return [
        form
        for form in rows.forms
        if (form.has_changed() or not form.empty_permitted) and not form.cleaned_data.get("DELETE")
    ]


def told_tax(rule: TaxRule) -> str:
    """A tax in one line, for the page of two hands."""
    on = dict(TaxRule.Base.choices)[rule.on]
    told = [f"{rule.name}: {_percent(rule.rate)} on {on}", str(rule.as_of or "no date"), rule.source or "no source"]
    if rule.region or rule.places:
        told[1:1] = [f"in {place}" for place in (rule.region, rule.places) if place]
    return ", ".join(told if rule.active else [*told, "off"])


def told_term(term: PaymentTerm) -> str:
    """A stretch of the payments in one line, for the page of two hands."""
    done = "" if term.done is None else f", {_percent(term.done)} done"
    return f"{term.name}: {_percent(term.share)} {term.trigger}{done}"


def _percent(share: Decimal) -> str:
    return f"{(share * 100).normalize():f} %"


TaxFormSet = forms.formset_factory(
    TaxForm, formset=TaxRows, extra=1, can_delete=True, max_num=MOST_ROWS, validate_max=True, absolute_max=MOST_ROWS + 8
)
TermFormSet = forms.formset_factory(
    TermForm,
    formset=TermRows,
    extra=1,
    can_delete=True,
    can_order=True,
    max_num=MOST_ROWS,
    validate_max=True,
    absolute_max=MOST_ROWS + 8,
)
