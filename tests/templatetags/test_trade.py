"""How figures, dates and states are shown."""

import datetime as dt
from decimal import Decimal

import pytest
from django import forms
from django.http import QueryDict
from django.template import defaultfilters
from moneyed import Money

from quoting.templatetags import trade

NB = "\u00a0"


@pytest.mark.parametrize(
    ("value", "places", "shown"),
    [
        ("1810", 2, "1,810.00"),
        ("-28.274", 2, "−28.27"),
        ("2.675", 2, "2.68"),  # half up; a binary float would give 2.67
        ("1234567.5", 0, "1,234,568"),
        (0, 1, "0.0"),
        ("-0.001", 2, "0.00"),  # no negative nothing
    ],
)
def test_figures_are_grouped_and_rounded_half_up(value, places, shown):
    assert trade.figure(Decimal(value), places) == shown


@pytest.mark.parametrize("value", [None, "", "some", 1.5, Decimal("NaN"), Decimal("Infinity")])
def test_what_is_no_exact_figure_shows_as_nothing(value):
    assert [show(value) for show in (trade.figure, trade.money, trade.area, trade.tape, trade.percent)] == [""] * 5


@pytest.mark.parametrize(
    ("value", "shown"), [("150.000", "150"), ("0.750", "0.75"), ("1200", "1,200"), ("0", "0"), ("-2.50", "−2.5")]
)
def test_exact_figures_keep_the_decimals_that_they_have(value, shown):
    assert trade.exact(Decimal(value)) == shown


def test_money_has_the_decimals_of_its_currency():
    assert trade.money(Money("1265.745", "USD")) == "1,265.75"
    assert trade.money(Money("1265.5", "JPY")) == "1,266"  # the yen has no minor unit, ISO 4217
    assert trade.money(Decimal("84"), "EUR") == "84.00"


def test_money_that_stands_alone_has_its_sign():
    assert trade.money_sign(Money("-12.5", "GBP")) == "−£12.50"
    assert trade.money_sign(Money("1810", "USD")) == "$1,810.00"
    assert trade.money_sign(Money("80", "CHF")) == f"CHF{NB}80.00"


def test_an_area_is_shown_in_the_units_of_the_firm():
    # 1 ft = 0.3048 m exactly, so 1 ft² = 0.09290304 m²; 532.39 × 0.09290304 = 49.4606494656
    assert trade.area(Decimal("49.4606494656"), "us") == f"532.39{NB}ft²"
    assert trade.area(Decimal("49.4606494656"), "metric") == f"49.46{NB}m²"
    assert trade.area_round(Decimal("49.4606494656"), "us") == f"532.4{NB}ft²"


def test_lengths_volumes_and_masses_are_shown_in_the_units_of_the_firm():
    # 80.54 × 0.3048 = 24.548592; 4.55 × 0.003785411784 = 0.0172236236172; 22.5 ÷ 16 × 0.45359237 = 0.63786427…
    assert trade.as_length(Decimal("24.548592")) == f"80.54{NB}ft"
    assert trade.volume(Decimal("0.0172236236172")) == f"4.55{NB}gal"
    assert trade.volume(Decimal("0.0172236236172"), "metric") == f"17.22{NB}L"
    assert trade.mass(Decimal("0.6378642703125")) == f"22.5{NB}oz"
    assert trade.mass(Decimal("0.6378642703125"), "metric") == f"0.64{NB}kg"


@pytest.mark.parametrize(
    ("metres", "shown"),
    [
        ("4.4196", f"14′{NB}6″"),  # 14.5 × 0.3048
        ("2.6797", f"8′{NB}9½″"),  # 105.5 in × 0.0254
        ("0.0127", f"0′{NB}½″"),
        ("9.7536", f"32′{NB}0″"),
        ("3.65759", f"12′{NB}0″"),  # 143.9996 in: up to the next whole foot, never 11′ 12″
        ("-0.3048", f"−1′{NB}0″"),
    ],
)
def test_a_length_reads_as_the_tape_does(metres, shown):
    assert trade.tape(Decimal(metres)) == shown


def test_a_metric_tape_reads_in_metres():
    assert trade.tape(Decimal("3.81"), "metric") == f"3.81{NB}m"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("12' 6 1/2\"", f"12′{NB}6½″"),
        ("32' x 14'6\"", f"32′{NB}× 14′{NB}6″"),
        ("7 1/4 in", "7¼ in"),
        ("under 1/8 in", "under ⅛ in"),
        ("1/16", "1/16"),  # no sign of its own
        ("don't", "don't"),
        ("1/0", "1/0"),
    ],
)
def test_what_was_called_out_is_shown_in_the_drawings_characters(typed, shown):
    assert trade.called(typed) == shown


def test_hours_and_shares_carry_their_unit():
    assert trade.hours(Decimal("15.26")) == f"15.3{NB}h"
    assert trade.percent(Decimal("0.15")) == f"15{NB}%"
    assert trade.percent(Decimal("0.0625")) == f"6.25{NB}%"
    assert trade.percent(Decimal("0.30061"), 1) == f"30.1{NB}%"


def test_a_count_comes_with_its_noun():
    assert [trade.plural(count, "visit") for count in (None, 0, 1, 4)] == [
        f"0{NB}visits",
        f"0{NB}visits",
        f"1{NB}visit",
        f"4{NB}visits",
    ]
    assert trade.plural(2, "person,people") == f"2{NB}people"


def test_small_counts_are_words():
    assert [trade.number_word(count) for count in (1, 2, 12, 13)] == ["One", "Two", "Twelve", "13"]


def test_dates_and_times_are_in_the_firms_own_time(settings):
    settings.TIME_ZONE = "America/New_York"
    late = dt.datetime(2026, 6, 13, 1, 5, tzinfo=dt.UTC)  # 21:05 on the 12th in New York, four hours behind in summer
    assert trade.day(late) == f"12{NB}June 2026"
    assert trade.day_clock(late) == f"12{NB}June 2026, 21:05"
    assert trade.short_day(dt.date(2026, 7, 4)) == f"4{NB}July"
    assert trade.day(None) == trade.clock(None) == trade.day_clock(None) == ""


def test_the_line_of_a_state_says_how_firm_it_is():
    words = ["drafted", "issued", "accepted", "overdue", "superseded", "declined", "taken back", "withdrawn", "expired"]
    words += ["published"]
    assert [trade.state_line(word) for word in words] == [
        "drafted",
        "issued",
        "accepted",
        "late",
        "ended",
        "ended",
        "ended",
        "ended",
        "ended",
        "published",
    ]


class Deck(forms.Form):
    width = forms.IntegerField()
    ticket = forms.CharField(widget=forms.HiddenInput)

    def clean(self):
        raise forms.ValidationError("The deck is not closed.")


def test_faults_name_field_sentence_and_place():
    assert trade.faults(Deck({"width": "wide"})) == [
        trade.Fault("Width", "Enter a whole number.", "id_width"),
        trade.Fault("", "This field is required.", ""),
        trade.Fault("", "The deck is not closed.", ""),
    ]


def test_an_unbound_form_has_nothing_to_mend():
    assert trade.faults(Deck()) == trade.faults(None) == trade.faults([]) == []


def test_faults_of_a_formset_come_in_order():
    rows = forms.formset_factory(Deck, min_num=1, validate_min=True, extra=0)
    bound = rows({"form-TOTAL_FORMS": "1", "form-INITIAL_FORMS": "0", "form-0-width": "3", "form-0-ticket": "t"})
    assert trade.faults(bound) == [trade.Fault("", "The deck is not closed.", "")]
    assert trade.faults([bound, Deck()]) == [trade.Fault("", "The deck is not closed.", "")]


def test_what_was_typed_is_kept_without_token_and_version():
    posted = QueryDict("csrfmiddlewaretoken=x&version=3&coats=1&coats=2&name=A%26B")
    assert trade.kept(posted) == [("coats", "1"), ("coats", "2"), ("name", "A&B")]


def test_no_filter_hides_one_of_djangos():
    assert not set(trade.register.filters) & set(defaultfilters.register.filters)
