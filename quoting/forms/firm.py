"""What is typed about the firm: its name, its look, its rules for price, its words."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.conf import settings

from quoting.core.follow_ups import DaysFault, days_from
from quoting.documents.accent import NotAColour, readable_accent
from quoting.documents.picture import LARGEST_FILE, SENTENCES, PictureRefused, rewrite_picture
from quoting.forms.figures import AmountField, PercentField
from quoting.forms.hands import Remembering
from quoting.models import Firm

MOST_MARGIN = 90
"""Per cent. Over this a margin is a slip: somebody typed the markup, or a factor."""

MOST_MARKUP = 900
"""Per cent."""

SAMPLE = Decimal("5000.00")
"""The total on which payment terms are shown until another is typed."""


def lines(rows: int = 3) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": rows})


class FirmForm(Remembering):
    """A piece of the firm's page; knows the fields that it keeps."""

    @property
    def facts(self) -> dict[str, Any]:
        """What the act takes: every field but the version."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}

    def values_of(self, firm: Firm) -> dict[str, Any]:
        """The firm's values as this form shows them."""
        names = [name for name in self.fields if hasattr(firm, name)]
        return {name: self.fields[name].prepare_value(getattr(firm, name)) for name in names}


class NameForm(FirmForm):
    """Who the firm is, as it stands on every paper."""

    name = forms.CharField(label="Name", max_length=120)
    tagline = forms.CharField(label="Line under the name", max_length=200, required=False)
    street = forms.CharField(label="Street and number", max_length=200, required=False)
    town = forms.CharField(label="Town", max_length=100, required=False)
    region = forms.CharField(label="State or province", max_length=100, required=False)
    postcode = forms.CharField(label="Postcode", max_length=20, required=False)
    country = forms.RegexField(
        r"^[A-Za-z]{2}\Z",
        label="Country",
        help_text="Two letters, such as US; on machine-readable bills.",
        max_length=2,
        required=False,
        error_messages={"invalid": "A country is two letters, such as US or CA."},
    )
    phone = forms.CharField(label="Telephone", max_length=40, required=False)
    email = forms.EmailField(label="E-mail", required=False)
    website = forms.URLField(label="Web page", max_length=200, required=False, assume_scheme="https")
    licence = forms.CharField(
        label="Licence", help_text="As your state or town wants it on papers.", max_length=120, required=False
    )
    insurance = forms.CharField(
        label="Insurance", help_text="Kind, insurer and the day it runs to.", max_length=200, required=False
    )
    registration = forms.CharField(
        label="Registration", help_text="Company or tax registration.", max_length=120, required=False
    )

    def clean_country(self) -> str:
        """In capitals; where nothing was typed, what a firm begins with."""
        return str(self.cleaned_data["country"] or Firm._meta.get_field("country").default).upper()


class LookForm(FirmForm):
    """How papers and pages look, and in what they count."""

    accent = forms.CharField(
        label="Accent colour",
        help_text="One colour for what a hand does: acts, changed figures, the line over a heading.",
        max_length=7,
        widget=forms.TextInput(attrs={"type": "color"}),
    )
    paper_size = forms.ChoiceField(label="Paper", choices=Firm.PaperSize, widget=forms.RadioSelect)
    units = forms.ChoiceField(
        label="Units",
        choices=Firm.Units,
        widget=forms.RadioSelect,
        help_text="Lengths, areas and workings are shown so, and a new price book counts so.",
    )
    currency = forms.ChoiceField(label="Currency", choices=[(code, code) for code in settings.CURRENCIES])

    def __init__(self, *args: Any, currency_fixed: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if currency_fixed:
            field = self.fields["currency"]
            field.disabled, field.show_hidden_initial = True, False
            field.help_text = "Papers have been issued in it, so it stays."

    def clean_accent(self) -> str:
        accent: str = self.cleaned_data["accent"].lower()
        try:
            readable_accent(accent)
        except NotAColour as error:
            raise forms.ValidationError(error.sentence) from error
        if len(accent) != 7:
            raise forms.ValidationError("Write all six digits: #8a2b17.")
        return accent


class LogoForm(forms.Form):
    """The logo, and what it shows for those who can't see it. Cleans `logo` to the PNG that is kept, or None."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)
    logo = forms.FileField(
        label="Logo",
        help_text="PNG or JPEG, 5 MB and 20 megapixels at most; kept at most 1200 pixels wide.",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg"}),
    )
    logo_words = forms.CharField(
        label="What it shows",
        help_text="For those who can’t see it: a kiln between two pines.",
        max_length=200,
        required=False,
    )
    remove = forms.BooleanField(label="Take the logo away", required=False)

    def clean_logo(self) -> bytes | None:
        upload = self.cleaned_data["logo"]
        if upload is None:
            return None
        if upload.size > LARGEST_FILE:
            raise forms.ValidationError(SENTENCES["bytes"])
        try:
            return rewrite_picture(upload.read())
        except PictureRefused as refused:
            raise forms.ValidationError(str(refused)) from refused

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("logo") and not data.get("logo_words"):
            self.add_error("logo_words", "Say in a few words what the logo shows.")
        return data

    @property
    def facts(self) -> dict[str, Any]:
        """What `keep_firm` takes."""
        data = self.cleaned_data
        if data["remove"] and not data["logo"]:
            return {"logo": None, "logo_words": ""}
        return {"logo_words": data["logo_words"]} | ({"logo": data["logo"]} if data["logo"] else {})


class PricingForm(FirmForm):
    """How a cost becomes a price."""

    crew_size = forms.IntegerField(
        label="People in a crew", min_value=1, max_value=20, widget=forms.NumberInput(attrs={"class": "few"})
    )
    hourly_cost = AmountField(
        label="Burdened cost of a person-hour",
        help_text="Not the wage: with taxes, insurance, leave and the hours that nobody pays.",
    )
    overhead = PercentField(label="Overhead, % of direct cost", most=500, help_text="Van, shop, telephone, office.")
    profit_kind = forms.ChoiceField(label="Profit is told as", choices=Firm.Profit, widget=forms.RadioSelect)
    profit = PercentField(label="Profit, %", most=MOST_MARKUP)
    minimum = AmountField(label="Smallest price of a job", help_text="0 when there is none.")
    round_to = AmountField(label="Prices go up to the next", help_text="5.00, 10.00; 0 leaves them as they come out.")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        profit = data.get("profit")
        if data.get("profit_kind") == Firm.Profit.MARGIN and profit is not None and profit * 100 > MOST_MARGIN:
            self.add_error(
                "profit",
                f"A margin of {self.data.get('profit')} % is hardly right: it is a share of the price. "
                "Did you mean a markup, a share of the cost?",
            )
        return data


MOST_HOURS = 720
"""A month after the last coat; nothing cures for longer."""


def _hours(label: str) -> forms.IntegerField:
    """Hours after the last coat from which something may be done; common practice 24, 72, 72 and 168, no published
    source. The label of the product goes before it."""
    few = forms.NumberInput(attrs={"class": "few"})
    return forms.IntegerField(
        label=f"{label} after the last coat, hours", min_value=1, max_value=MOST_HOURS, widget=few
    )


class WordsForm(FirmForm):
    """What proposals say of themselves."""

    valid_days = forms.IntegerField(
        label="A proposal is valid for, days",
        min_value=1,
        max_value=365,
        widget=forms.NumberInput(attrs={"class": "few"}),
    )
    follow_up_days = forms.CharField(
        label="Days after sending to write again, when nobody answers",
        help_text="Whole numbers with commas. The desk has the letter ready on that day; it never goes out by itself.",
        max_length=60,
        required=False,
    )
    walk_hours = _hours("Walk on it")
    park_hours = _hours("Park on it")
    furniture_hours = _hours("Furniture back")
    mats_hours = _hours("Mats, grill and planters back")
    weather_rule = forms.CharField(label="Weather", max_length=2000, required=False, widget=lines())
    please_do = forms.CharField(
        label="What the homeowner does", help_text="One a line.", max_length=3000, required=False, widget=lines(4)
    )
    we_do = forms.CharField(
        label="What we do", help_text="One a line.", max_length=3000, required=False, widget=lines(4)
    )
    payment_note = forms.CharField(
        label="How to pay", help_text="Stands under the payments.", max_length=2000, required=False, widget=lines(2)
    )
    change_rule = forms.CharField(label="How changes are made", max_length=2000, required=False, widget=lines())
    exclusions = forms.CharField(
        label="What is not included", help_text="One a line.", max_length=4000, required=False, widget=lines(4)
    )
    expectations = forms.CharField(
        label="What to expect",
        help_text="One a line; four plain ones are usual.",
        max_length=4000,
        required=False,
        widget=lines(4),
    )
    cautions = forms.CharField(
        label="Cautions", help_text="One a line.", max_length=4000, required=False, widget=lines(4)
    )
    notice = forms.CharField(
        label="Legal notice",
        help_text="Stands on papers only when something is written here. Have it checked by your adviser.",
        max_length=4000,
        required=False,
        widget=lines(5),
    )

    def clean_follow_up_days(self) -> str:
        text: str = self.cleaned_data["follow_up_days"]
        try:
            return ", ".join(str(day) for day in days_from(text))
        except DaysFault as fault:
            raise forms.ValidationError(str(fault)) from fault


class SampleForm(forms.Form):
    """A total to try the payment terms on."""

    sample = AmountField(label="Sample total", above=0, required=False)

    @property
    def total(self) -> Decimal:
        """What was typed, or the usual sample."""
        return (self.cleaned_data.get("sample") if self.is_valid() else None) or SAMPLE
