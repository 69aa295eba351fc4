"""What the paper says of options and extras, from figures that are worked out already."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.documents.offers import OfferedAddOn, OfferedOption
from quoting.documents.proposal_options import add_on_facts
from quoting.models import Firm
from quoting.services.offers import chosen_of, work_out_offer
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db


def grit() -> tuple[OfferedOption, OfferedAddOn]:
    """The advised option, and its grit; the tax is on the materials' share."""
    draft = ready_draft()
    offer = work_out_offer(Firm.objects.get(), chosen_of(draft), lambda total: ())
    option = next(each for each in offer.options if each.add_ons)
    return option, option.add_ons[0]


def with_tax_fallen_by(option: OfferedOption, add_on: OfferedAddOn, cents: str) -> OfferedAddOn:
    """The extra as if the tax with it were less than without, as it is where the extra is labour only."""
    before, priced = option.alone.workings.price.of, add_on.together.workings.price
    tax = replace(before.taxes[0], amount=before.taxes[0].amount - Decimal(cents))
    price = replace(priced, of=replace(priced.of, taxes=(tax,), total=priced.of.price + tax.amount))
    return replace(add_on, together=replace(add_on.together, workings=replace(add_on.together.workings, price=price)))


def test_an_extra_that_adds_less_with_tax_than_before_it_says_why() -> None:
    option, add_on = grit()
    facts = add_on_facts(option, with_tax_fallen_by(option, add_on, "0.09"), 1, several=True)
    assert Decimal(facts["now"]) - Decimal(facts["taxed"]) == Decimal("0.09")
    assert facts["less"] == "tax is on the materials’ share of the whole price, which is a little smaller with it"


def test_an_extra_that_adds_its_tax_says_nothing() -> None:
    option, add_on = grit()
    assert add_on_facts(option, add_on, 1, several=True)["less"] == ""
