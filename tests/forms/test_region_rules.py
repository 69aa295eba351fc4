"""What is typed about a rule becomes the texts that the core reads."""

import pytest

from quoting.forms.region_rules import RuleForm, rule_values
from quoting.models import RegionRule

WORDS = {"name": "Limit", "region": "California", "source": "Code 1", "text": "", "as_of": "2026-01-01"}


def form_of(kind: str, **typed: object) -> RuleForm:
    return RuleForm(WORDS | typed, kind=kind)


def test_a_cap_is_kept_as_texts():
    form = form_of("deposit-cap", figure_fraction="10 %", figure_amount="1000", figure_of="lesser")
    assert form.is_valid(), form.errors
    assert form.facts["figures"] == {"fraction": "0.1", "amount": "1000.00", "of": "lesser"}


def test_a_third_stays_a_third():
    form = form_of("deposit-cap", figure_fraction="1/3")
    assert form.is_valid(), form.errors
    assert form.facts["figures"] == {"fraction": "1/3"}


def test_two_limits_need_to_say_which_of_them_counts():
    form = form_of("deposit-cap", figure_fraction="10", figure_amount="1000")
    assert form.errors["__all__"] == ["Rule “Limit”: with a fraction and an amount, say “lesser” or “greater”."]


@pytest.mark.parametrize("typed", ["110 %", "-1", "1/4", "9**9", "ten"])
def test_what_is_no_share_is_refused_beside_its_field(typed):
    assert "figure_fraction" in form_of("deposit-cap", figure_fraction=typed).errors


def test_a_period_needs_its_days():
    assert "Rule “Limit”: a period needs its days." in form_of("cancellation", text="Words").errors["__all__"]


def test_a_notice_without_words_is_not_switched_on():
    assert form_of("notice", on="on").errors["text"] == ["A notice needs its words before it is switched on."]


def test_what_a_written_form_needs_is_a_list():
    form = form_of("written-form", figure_over="1000", figure_needs=["names", "dates"])
    assert form.is_valid(), form.errors
    assert form.facts["figures"] == {"over": "1000.00", "needs": "names, dates"}


def test_a_day_to_come_is_no_day_of_confirmation():
    assert "confirmed_on" in form_of("progress", confirmed_on="2999-01-01").errors


def test_figures_come_back_as_they_are_typed():
    rule = RegionRule(
        kind="deposit-cap", name="Limit", figures={"fraction": "0.10", "special_order": "yes", "of": "greater"}
    )
    form = RuleForm(kind=rule.kind, initial=rule_values(rule))
    assert form["figure_fraction"].value() == "10 %"
    assert form["figure_special_order"].value() is True


def test_the_firms_own_words_of_a_form_are_kept():
    form = form_of(
        "cancellation", text="Words", figure_days="3", figure_calendar="sales", figure_form="I cancel.\r\nNow."
    )
    assert form.is_valid(), form.errors
    assert form.facts["figures"] == {"days": "3", "calendar": "sales", "form": "I cancel.\r\nNow."}
