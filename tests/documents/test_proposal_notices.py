"""What region rules put on the paper, and the sections that a draft's terms add."""

from datetime import date
from decimal import Decimal

import pytest
from django.template.loader import render_to_string

from quoting.documents.proposal_notices import notice_facts
from quoting.documents.proposal_rules import held_by, last_day_by, payments_by
from quoting.models import Allowance, Proposal
from quoting.services.issue import issue_proposal
from tests.factories import OwnerFactory
from tests.reading_pdf import bookmarks_of, text_of, ua_faults
from tests.rule_factories import RegionRuleFactory
from tests.sample_offer import ready_draft

RULE = {"region": "Here", "source": "Code 1", "as_of": "2026-01-01", "text": "Words."}
COOLING = RULE | {"key": "cool", "kind": "cancellation", "name": "Cooling off", "figures": {"days": "3"}}
LONGER = RULE | {"key": "long", "kind": "cancellation", "name": "Longer", "figures": {"days": "5"}}
LIEN = RULE | {"key": "lien", "kind": "notice", "name": "Liens", "figures": {"over": "500.00"}}


def reckoned(*rules: dict, **more: object) -> dict:
    return {"currency": "USD", "payment_terms": [], "rules": list(rules), "at_home": "", "special_order": ""} | more


def test_the_longest_right_to_cancel_is_the_one_on_the_paper():
    """Wednesday 25 November 2026; the 26th is Thanksgiving: 27, 28, 30, 1, 2 are five days that count."""
    told = notice_facts(reckoned(COOLING, LONGER), [Decimal(900)], date(2026, 11, 25))["cancel"]
    assert (told["name"], told["period"], told["until"]) == (
        "Longer",
        "5\u00a0business\u00a0days",
        "2\u00a0December\u00a02026",
    )


def test_the_firms_own_words_of_the_form_stand_in_place_of_ours():
    own = COOLING | {"figures": {"days": "3", "form": "NOTICE\n\nI cancel this contract."}}
    for rule, lines in ((COOLING, []), (own, ["NOTICE", "I cancel this contract."])):
        told = notice_facts(reckoned(rule), [Decimal(900)], date(2026, 11, 25))["cancel"]
        assert told["form"] == lines
        slip = render_to_string("documents/proposal/_cancel.html", {"facts": {"number": "0417-A", "cancel": told}})
        assert slip.count("I hereby cancel this transaction.") == (0 if lines else 2)  # both copies
        assert slip.count("I cancel this contract.") == (2 if lines else 0)


def test_a_notice_stands_where_one_of_the_totals_is_reached():
    assert notice_facts(reckoned(LIEN), [Decimal("500.00")], date(2026, 6, 1))["notices"] == []
    told = notice_facts(reckoned(LIEN), [Decimal("500.00"), Decimal("500.01")], date(2026, 6, 1))["notices"]
    assert [(each["name"], each["source"]) for each in told] == [("Liens", "Code 1, as of 1 January 2026")]


def test_the_last_day_is_that_of_the_rule_that_gives_the_most_time():
    found = last_day_by(reckoned(COOLING, LONGER), Decimal(900), date(2026, 11, 25))
    assert found == (date(2026, 12, 2), "Words.")


def test_the_rule_that_holds_a_deposit_is_named():
    """A quarter of 1,000.00 is 250.00; a tenth is 100.00, and the 150.00 are asked for with the rest."""
    tenth = RULE | {"key": "tenth", "kind": "deposit-cap", "name": "A tenth", "figures": {"fraction": "0.10"}}
    large = RULE | {"key": "large", "kind": "deposit-cap", "name": "Large", "figures": {"amount": "900.00"}}
    terms = [
        {"name": "Deposit", "trigger": "now", "share": "0.25", "amount": "", "done": ""},
        {"name": "Rest", "trigger": "then", "share": "", "amount": "", "done": "1"},
    ]
    facts = reckoned(tenth, large, payment_terms=terms)
    assert [each.amount for each in payments_by(facts, Decimal(1000))] == [Decimal("100.00"), Decimal("900.00")]
    assert held_by(facts, [Decimal(1000)]) == ["A tenth"]


@pytest.mark.django_db
def test_terms_notices_and_both_copies_of_the_form_are_read_back():
    ines = OwnerFactory()
    draft = ready_draft(ines)
    RegionRuleFactory(on=True, key="lien", kind="notice", name="Warning about liens", figures={}, text="Who is unpaid.")
    RegionRuleFactory(
        on=True, key="cool", kind="cancellation", name="Cooling off", figures={"days": "3"}, text="You may cancel."
    )
    RegionRuleFactory(on=True, key="cap", name="A tenth at most", figures={"fraction": "0.10"})
    Allowance.objects.create(
        proposal=draft, name="Strip passes", included="up to 2", further="each further pass", price=Decimal("0.35")
    )
    Proposal.objects.filter(pk=draft.pk).update(
        work_dates="In the week of 13 July", left_off=["Joint sand, a bag laid"]
    )
    draft.refresh_from_db()
    pdf = bytes(issue_proposal(proposal=draft, version=draft.version, by=ines).pdf)
    text = text_of(pdf)
    words = (
        "In the week of 13 July", "Strip passes up to 2 each further pass 0.35", "Who is unpaid.", "A tenth at most",
        "and got two copies of the notice of cancellation", "localhost:8000/ read/0417-A",
    )  # fmt: skip
    assert [each for each in words if each.replace(" ", "") not in text.replace(" ", "").replace("\n", "")] == []
    assert text.count("I hereby cancel this transaction.") == 2
    assert "Joint sand, a bag laid" not in text
    heads = [words for level, words in bookmarks_of(pdf) if level == 1]
    assert heads[heads.index("Take care") :] == [
        "Take care",
        "Warning about liens",
        "Right to cancel",
        "Yes, please",
        "Notice of cancellation",
    ]
    assert ua_faults(pdf) == []
