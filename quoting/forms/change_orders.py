"""What is typed about a change order: why, what is added or taken out, a sum agreed outright, days."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.units import NumberFault, QuantityFault, parse_length, parse_number
from quoting.forms.hands import Remembering
from quoting.forms.options import GroupForm
from quoting.models import ChangeOrder
from quoting.models.change_orders import MOST_DAYS

LARGEST_SUM = Decimal("9999999.99")


class WorkForm(GroupForm):
    """A restoration system on areas of the folder, with what its steps by length or by the piece need."""

    length = forms.CharField(
        label="Length",
        max_length=40,
        required=False,
        help_text="For steps by length, or an edge that the shapes leave open: 18 ft.",
    )
    count = forms.IntegerField(
        label="Pieces",
        min_value=1,
        max_value=100_000,
        required=False,
        help_text="Only for steps by the piece.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "few"}),
    )

    def clean_length(self) -> str:
        text: str = self.cleaned_data["length"].strip()
        if text:
            try:
                parse_length(text)
            except QuantityFault as fault:
                raise forms.ValidationError(str(fault)) from fault
        return text

    @property
    def work(self) -> dict[str, Any]:
        """What `add_work` takes."""
        return {name: self.cleaned_data[name] for name in ("system", "areas", "length", "count")}


class AddWorkForm(WorkForm):
    """Work that is added to a draft of this version."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)


class AddChangeForm(WorkForm):
    """A new change order in a minute: why, and the work that is added; without work it is changed on its sheet."""

    reason = forms.ChoiceField(label="Reason", choices=ChangeOrder.Reason, initial=ChangeOrder.Reason.ASKED)
    title = forms.CharField(
        label="Called", max_length=120, required=False, help_text="Empty: as the areas, such as “Front walk too”."
    )
    why = forms.CharField(
        label="What they read about it", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    field_order = ("areas", "system", "reason", "title", "why", "length", "count")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["areas"].required = self.fields["system"].required = False

    def clean_system(self) -> Any:
        return super().clean_system() if self.cleaned_data["system"] else None

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if bool(found.get("areas")) != bool(found.get("system")) and not self.errors:
            lacking = "system" if found.get("areas") else "areas"
            self.add_error(lacking, self.fields[lacking].error_messages["required"])
        return found

    @property
    def facts(self) -> dict[str, Any]:
        """What `draft_change` takes."""
        names = [area.name for area in self.cleaned_data["areas"]]
        usual = f"{', '.join(names)} too" if names else "A change"
        return {
            "title": self.cleaned_data["title"] or usual[:120],
            "reason": self.cleaned_data["reason"],
            "why": self.cleaned_data["why"],
        }


class ChangeForm(Remembering):
    """The sheet of a draft, its added work apart."""

    title = forms.CharField(label="Called", max_length=120)
    reason = forms.ChoiceField(label="Reason", choices=ChangeOrder.Reason)
    why = forms.CharField(
        label="What they read about it", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    prices = forms.ChoiceField(label="Added work is priced", choices=ChangeOrder.Prices)
    out_areas = forms.MultipleChoiceField(label="Areas taken out", required=False, widget=forms.CheckboxSelectMultiple)
    out_steps = forms.MultipleChoiceField(label="Steps taken out", required=False, widget=forms.CheckboxSelectMultiple)
    amount = forms.CharField(
        label="A sum agreed outright, before tax",
        max_length=14,
        initial="0",
        help_text="With a minus where it comes off: -120.00. Taxes on the price are put on it.",
        widget=forms.TextInput(attrs={"inputmode": "text", "class": "figure-in few"}),
    )
    amount_for = forms.CharField(label="What the sum is for", max_length=120, required=False)
    days = forms.IntegerField(
        label="Days more or fewer",
        min_value=-MOST_DAYS,
        max_value=MOST_DAYS,
        initial=0,
        help_text="Besides the visits that the work brings or saves.",
        widget=forms.TextInput(attrs={"inputmode": "text", "class": "few"}),
    )

    paid_with = forms.ChoiceField(
        label="Paid with",
        choices=ChangeOrder.PaidWith,
        help_text="What is taken off comes off the last payment, where it would have one of its own.",
    )

    def __init__(
        self,
        *args: Any,
        areas: Sequence[str],
        steps: Sequence[tuple[str, str]],
        editions: Sequence[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["out_areas"].choices = [(name, name) for name in areas]  # type: ignore[attr-defined]
        self.fields["out_steps"].choices = list(steps)  # type: ignore[attr-defined]
        self.fields["prices"].choices = list(editions)  # type: ignore[attr-defined]
        for name in ("out_areas", "out_steps"):
            self.fields[name].show_hidden_initial = False
            if not self.fields[name].choices:  # type: ignore[attr-defined]
                del self.fields[name]

    def clean_amount(self) -> Decimal:
        text = self.cleaned_data["amount"].strip().replace("\u2212", "-").replace(",", "")
        try:
            amount = parse_number(text)
        except NumberFault as fault:
            raise forms.ValidationError(str(fault)) from fault
        if amount != round(amount, 2) or abs(amount) > LARGEST_SUM:
            raise forms.ValidationError("Write a sum with two places after the point at most, such as 120.00.")
        return amount

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("amount") and not found.get("amount_for"):
            self.add_error("amount_for", "Say what the sum is for; it stands on the paper.")
        return found

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_change` takes."""
        told = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        return {"out_areas": [], "out_steps": []} | told
