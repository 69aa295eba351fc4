"""What is typed about a draft's terms: payments, allowances, unit prices, when the work can be done, what rules ask."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms

from quoting.forms.figures import AmountField, PercentField
from quoting.forms.firm_rows import Rows, in_order, kept_forms
from quoting.models import Proposal, UnitPrice

MOST_ROWS = 12
WHOLE = Decimal(1)
HOME = (("", "not said"), ("yes", "at the customer’s home"), ("no", "elsewhere, or on line"))


class TermsForm(forms.Form):
    """What a draft says once: the days, where it is signed, special orders, and which unit prices go on the paper."""

    work_dates = forms.CharField(
        label="When the work can be done",
        help_text="Four days in the week of 13 July. Stands with the days; some written forms ask for it.",
        max_length=200,
        required=False,
    )
    at_home = forms.ChoiceField(
        label="It will be signed",
        choices=HOME,
        required=False,
        help_text="Rights to cancel depend on it; not said, the stricter holds.",
    )
    special_order = AmountField(
        label="Cost of goods ordered specially",
        help_text="Some caps on deposits count it. 0.00 where there is none.",
        required=False,
    )
    on_paper = forms.MultipleChoiceField(
        label="Unit prices on the paper", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, prices: Iterable[UnitPrice], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.names = [price.name for price in prices]
        self.fields["on_paper"].choices = [  # type: ignore[attr-defined]
            (price.name, f"{price.name}, {price.price.amount:.2f}") for price in prices
        ]

    @property
    def facts(self) -> dict[str, Any]:
        """What the act takes."""
        data = self.cleaned_data
        return {
            "work_dates": data["work_dates"],
            "at_home": {"yes": True, "no": False}.get(data["at_home"]),
            "special_order": data["special_order"] or Decimal(0),
            "left_off": [name for name in self.names if name not in data["on_paper"]],
        }


class PaymentForm(forms.Form):
    """One payment of the draft."""

    name = forms.CharField(label="Name", max_length=80)
    trigger = forms.CharField(label="When it is due", max_length=120)
    share = PercentField(label="Share, %", required=False)
    amount = AmountField(label="or a sum", required=False)
    done = PercentField(label="Work done by then, %", required=False)


class PaymentRows(Rows):
    """All payments: each a share or a sum, the last takes what is left. Their order is that of the rows."""

    def add_fields(self, form: forms.Form, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["ORDER"].widget = forms.HiddenInput()

    def clean(self) -> None:
        rows = in_order(self)
        if any(not form.is_valid() for form in rows):
            return
        if not rows:
            return
        *parts, last = rows
        for form in parts:
            share, amount = form.cleaned_data.get("share"), form.cleaned_data.get("amount")
            if (share is None) == (amount is None):
                form.add_error("share", "Write a share or a sum. Only the last may stay empty: it takes what is left.")
                return
        shares = sum((form.cleaned_data.get("share") or Decimal(0) for form in parts), Decimal(0))
        if shares >= WHOLE:
            raise forms.ValidationError(
                f"Nothing is left for “{last.cleaned_data['name']}”: the others take the whole."
            )
        self._need_rest(last, shares, whole=all(form.cleaned_data.get("share") is not None for form in parts))

    def _need_rest(self, last: forms.Form, shares: Decimal, *, whole: bool) -> None:
        """The last may say its share where that is what the others leave; it is kept as what is left."""
        said = last.cleaned_data.get("share")
        if last.cleaned_data.get("amount") is not None or (said is not None and not (whole and said == WHOLE - shares)):
            raise forms.ValidationError(
                f"“{last.cleaned_data['name']}” comes last and takes what is left: leave its share and its sum empty."
            )
        last.cleaned_data["share"] = None

    @property
    def facts(self) -> list[dict[str, Any]]:
        """Each payment that is kept, by field, in its order."""
        return [{name: form.cleaned_data[name] for name in PaymentForm.base_fields} for form in in_order(self)]


class AllowanceForm(forms.Form):
    """One allowance of the draft."""

    name = forms.CharField(label="Of what", max_length=120)
    included = forms.CharField(label="In the price", max_length=120)
    further = forms.CharField(label="What is more", max_length=120, required=False)
    price = AmountField(label="costs", required=False)


class AllowanceRows(Rows):
    """All allowances."""

    @property
    def facts(self) -> list[dict[str, Any]]:
        """Each allowance that is kept, by field."""
        return [{name: form.cleaned_data[name] for name in AllowanceForm.base_fields} for form in kept_forms(self)]


def terms_values(draft: Proposal, prices: Iterable[UnitPrice]) -> dict[str, Any]:
    """The draft's facts as the form begins with them."""
    return {
        "work_dates": draft.work_dates,
        "at_home": {True: "yes", False: "no", None: ""}[draft.at_home],
        "special_order": draft.special_order,
        "on_paper": [price.name for price in prices if price.name not in draft.left_off],
    }


PaymentFormSet = forms.formset_factory(
    PaymentForm,
    formset=PaymentRows,
    extra=1,
    can_delete=True,
    can_order=True,
    max_num=MOST_ROWS,
    validate_max=True,
    absolute_max=MOST_ROWS + 8,
)
AllowanceFormSet = forms.formset_factory(
    AllowanceForm,
    formset=AllowanceRows,
    extra=1,
    can_delete=True,
    max_num=MOST_ROWS,
    validate_max=True,
    absolute_max=MOST_ROWS + 8,
)
