"""What is typed about money that came in, went out or bounced. Never a card's number."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from quoting.forms.figures import AmountField
from quoting.models import Payment

OLDEST, CHOSEN = "oldest", "chosen"


def card_number(text: str) -> bool:
    """Whether 13 to 19 digits in a row pass the check that the numbers of cards pass (ISO/IEC 7812-1, annex B)."""
    for run in re.findall(r"(?:\d[ -]?){13,19}", text):
        digits = [int(each) for each in run if each.isdigit()]
        doubled = [each if place % 2 else sum(divmod(each * 2, 10)) for place, each in enumerate(reversed(digits), 1)]
        if sum(doubled) % 10 == 0:
            return True
    return False


class MoneyMoved(forms.Form):
    """The day on which money moved, and the name of the act, so that a second click changes nothing."""

    on = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}))
    once = forms.RegexField(regex=r"\A[0-9a-f]{32}\Z", widget=forms.HiddenInput)

    def clean_on(self) -> dt.date:
        on: dt.date = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError("That day has not come yet.")
        return on

    def clean_reference(self) -> str:
        reference: str = self.cleaned_data["reference"]
        if card_number(reference):
            raise forms.ValidationError("This looks like the number of a card. Card data are never kept here.")
        return reference


class PaymentForm(MoneyMoved):
    """A payment, and what it is put on: the oldest bill first, or so much on each as typed."""

    amount = AmountField(label="Sum", above=0)
    method = forms.ChoiceField(
        label="How it came", choices=[(value, label.capitalize()) for value, label in Payment.Method.choices]
    )
    reference = forms.CharField(label="Reference", max_length=80, required=False)
    spread = forms.ChoiceField(
        label="Put on",
        choices=[(OLDEST, "the oldest bill first"), (CHOSEN, "so much on each bill:")],
        widget=forms.RadioSelect,
        initial=OLDEST,
    )
    field_order = ("on", "amount", "method", "reference", "spread")

    def __init__(
        self,
        *args: Any,
        dues: Sequence[tuple[str, Decimal]] = (),
        places: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        """`places`: where the work of each bill is, for bills of several folders."""
        super().__init__(*args, **kwargs)
        self.dues = list(dues)
        self.fields["reference"].help_text = "The number of the check, the reference of the transfer."
        if not self.dues:
            del self.fields["spread"]
        for number, due in self.dues:
            self.fields[f"on_{number}"] = AmountField(
                label=", ".join([number, *([places[number]] if places else []), f"due {due:,}"]),
                required=False,
                most=due if due > 0 else 0,
            )

    @property
    def on_bills(self) -> list[forms.BoundField]:
        """The fields of the bills that something is due on."""
        return [self[f"on_{number}"] for number, _due in self.dues]

    @property
    def chosen(self) -> list[tuple[str, Decimal]] | None:
        """So much on each bill; None: the oldest first."""
        if self.cleaned_data.get("spread") != CHOSEN:
            return None
        found = [(number, self.cleaned_data.get(f"on_{number}")) for number, _due in self.dues]
        return [(number, amount) for number, amount in found if amount]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        chosen = sum((amount for _number, amount in self.chosen or ()), Decimal(0))
        if cleaned.get("amount") is not None and chosen > cleaned["amount"]:
            self.add_error("amount", f"{chosen:,} is put on bills; that is more than came in.")
        return cleaned


class RefundForm(MoneyMoved):
    """What is given back of a payment; `most` is what of it is on no bill."""

    amount = AmountField(label="Sum given back", above=0)
    method = forms.ChoiceField(
        label="How it goes back", choices=[(value, label.capitalize()) for value, label in Payment.Method.choices]
    )
    reference = forms.CharField(label="Reference", max_length=80, required=False)
    reason = forms.CharField(label="Why", max_length=200)
    field_order = ("on", "amount", "method", "reference", "reason")

    def __init__(self, *args: Any, most: Decimal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.most = most

    def clean_amount(self) -> Decimal:
        amount: Decimal = self.cleaned_data["amount"]
        if amount > self.most:
            raise forms.ValidationError(f"Of this payment {self.most:,} is on no bill; only that can be given back.")
        return amount


class BouncedForm(MoneyMoved):
    """The day on which a payment bounced."""

    reason = forms.CharField(label="What the bank said", max_length=200, required=False)
    field_order = ("on", "reason")
