"""Region rules held against a draft: caps, progress, written form, notices, what is off or not confirmed."""

from datetime import date
from decimal import Decimal
from itertools import combinations

import pytest

from quoting.core.offers import offer_total
from quoting.documents.proposal_facts import terms_of
from quoting.documents.proposal_rules import payments_by, reckoned_by
from quoting.models import Firm, ProposalPayment, RegionRule, User
from quoting.services.offers import chosen_of
from quoting.services.proposal_checks import Readiness, look_over
from quoting.services.region_rules import load_rules
from tests.factories import OwnerFactory
from tests.rule_factories import RegionRuleFactory
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines() -> User:
    return OwnerFactory()


@pytest.fixture
def draft(ines):
    return ready_draft(ines)


def looked_over(draft) -> Readiness:
    draft.refresh_from_db()
    firm = Firm.objects.get()
    return look_over(firm, draft, chosen_of(draft), terms_of(firm, draft))


def sentences(draft, page: str) -> list[str]:
    return [point.sentence for point in looked_over(draft).points if point.page == page]


def rule(kind: str, figures: dict[str, str] | None = None, **more) -> RegionRule:
    return RegionRuleFactory(
        kind=kind, figures=figures or {}, on=True, confirmed_on=date(2026, 1, 2), **({"text": "Words."} | more)
    )


# caps on the deposit


def test_a_deposit_over_its_cap_is_lowered_and_the_rest_moves_on(draft):
    """Deposit a quarter, progress a half, the rest: a tenth at most moves 15 % of the total on to the second."""
    rule("deposit-cap", {"fraction": "0.10"}, name="A tenth")
    ready = looked_over(draft)
    paid = ready.offer.options[0].payments
    total = ready.offer.options[0].alone.workings.price.of.total
    assert paid[0].amount == (total * 10).__floor__() / Decimal(100)
    assert sum(payment.amount for payment in paid) == total
    said = [sentence for sentence in sentences(draft, "terms") if "A tenth" in sentence]
    assert said[0].startswith("Wash and reseal: “Deposit” is lowered to")
    assert said[0].endswith("what that takes off is asked for with “Progress”.")


def test_the_lesser_of_two_caps_is_the_one_that_is_named(draft):
    rule("deposit-cap", {"fraction": "0.10"}, name="A tenth")
    rule("deposit-cap", {"amount": "50.00"}, name="Fifty")
    ready = looked_over(draft)
    assert [each.payments[0].amount for each in ready.offer.options] == [Decimal("50.00")] * 2
    assert all("by Fifty;" in sentence for sentence in sentences(draft, "terms") if "lowered" in sentence)


def test_a_cap_only_over_a_total_leaves_smaller_offers_alone(draft):
    rule("deposit-cap", {"fraction": "1/3", "over": "1000000.00"}, name="A third")
    assert not [sentence for sentence in sentences(draft, "terms") if "lowered" in sentence]


def test_goods_ordered_specially_raise_the_cap_that_counts_them(draft):
    """The greater of a tenth and what was ordered for 200.00 is 200.00 for both options, which are under 2,000."""
    draft.special_order = Decimal(200)
    draft.save()
    rule("deposit-cap", {"fraction": "0.10", "special_order": "yes", "of": "greater"})
    assert looked_over(draft).offer.options[0].payments[0].amount == Decimal("200.00")


@pytest.mark.parametrize("figures", [{"of": "lesser", "fraction": "0.10", "amount": "150.00"}, {"fraction": "1/3"}])
def test_the_payments_of_every_choice_add_up_to_the_cent(draft, figures):
    rule("deposit-cap", figures)
    offer = looked_over(draft).offer
    firm = Firm.objects.get()
    reckoned = reckoned_by(firm, draft, terms_of(firm, draft)) | {"currency": "USD"}
    for each in offer.options:
        prices = [add_on.together.workings.price for add_on in each.add_ons]
        for count in range(len(prices) + 1):
            for chosen in combinations(prices, count):
                total = offer_total(each.alone.workings.price, chosen).total
                paid = payments_by(reckoned, total)
                assert sum(payment.amount for payment in paid) == total
                assert all(payment.amount >= 0 for payment in paid)


# payments and the work


def test_payments_ahead_of_the_work_stop_the_issue(draft):
    """A quarter and a half are paid when half of the work is done."""
    ProposalPayment.objects.filter(proposal=draft, name="Progress").update(done=Decimal("0.5"))
    rule("progress", name="Never ahead")
    ready = looked_over(draft)
    assert ready.offer is None
    assert ready.missing[0].sentence.startswith("Wash and reseal: Never ahead: with “Progress”")
    assert ready.missing[0].page == "terms"


def test_payments_behind_the_work_are_kept(draft):
    ProposalPayment.objects.filter(proposal=draft, name="Progress").update(done=Decimal("0.8"))
    rule("progress", name="Never ahead")
    assert any(line.startswith("Never ahead: no payment runs ahead") for line in looked_over(draft).kept)


def test_nobody_said_how_much_is_done(draft):
    rule("progress")
    assert "say how much of the work is done when “Progress” is due." in looked_over(draft).missing[0].sentence


# written form, notices, cancelling


def test_a_written_form_asks_for_the_dates_until_they_are_said(draft):
    rule("written-form", {"from": "500.00", "needs": "names, dates"}, name="In writing", source="Code 7")
    assert "In writing: the paper lacks dates. (Code 7, as of 1 January 2026)" in looked_over(draft).missing[0].sentence
    draft.work_dates = "Four days in the week of 13 July"
    draft.save()
    assert looked_over(draft).missing == ()


def test_a_notice_that_is_on_without_words_stops_the_issue(draft):
    rule("notice", name="Lien warning", text="")
    assert [(point.page, point.stops) for point in looked_over(draft).missing] == [("rules", True)]


def test_how_long_it_may_be_cancelled_is_told(draft):
    rule("cancellation", {"days": "3", "calendar": "sales"}, name="Cooling off", source="Code 9")
    assert looked_over(draft).kept == (
        "Cooling off: it may be cancelled for 3 business days after it is signed. (Code 9, as of 1 January 2026)",
    )


def test_figures_that_cannot_be_used_are_named(draft):
    RegionRuleFactory(key="odd", on=True, figures={"fraction": "a lot"})
    ready = looked_over(draft)
    assert ready.offer is None
    assert ready.missing[0].sentence.startswith("Rule “odd”: fraction:")


# what is off, not confirmed, not there


def test_rules_of_the_region_that_are_off_are_named(draft, ines):
    Firm.objects.update(region="Maryland")
    load_rules(region="Maryland", by=ines)
    said = sentences(draft, "rules")
    assert said == ["Switched off, though it would reach this offer: Maryland limit on the deposit."]


def test_rules_of_another_region_that_are_off_are_left_alone(draft, ines):
    Firm.objects.update(region="Maryland")
    load_rules(region="Maine", by=ines)
    assert sentences(draft, "rules") == ["None of the starting rules for Maryland is kept, so none was checked."]


def test_a_rule_that_no_adviser_confirmed_is_named(draft):
    RegionRule.objects.filter(pk=rule("notice", name="Lien warning").pk).update(confirmed_on=None)
    assert sentences(draft, "rules") == ["On, but not confirmed by your adviser: Lien warning."]
