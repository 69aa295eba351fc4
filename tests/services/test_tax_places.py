"""Taxes by the place of the work: on options, changes and papers, before they are issued, and for the bookkeeper."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from customers.models import Property
from quoting.core.sales_tax import tax_lines
from quoting.documents.proposal_facts import terms_of
from quoting.models import Certificate, Firm, Job, Proposal, TaxRule
from quoting.services.bookkeeper import sales_of
from quoting.services.change_scope import work_out_change
from quoting.services.change_work import NotWorkable
from quoting.services.exemptions import exempt_on
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.issue import NotReady, issue_proposal
from quoting.services.offers import chosen_of
from quoting.services.proposal_checks import look_over
from quoting.services.scope import pricing_data, workings_of
from tests.factories import OwnerFactory
from tests.sample_change import agreed_job, drafted, with_walk
from tests.sample_contract import accepted_job, two_areas
from tests.sample_offer import ready_draft
from tests.sample_options import House, whole

pytestmark = pytest.mark.django_db
D = Decimal


def tax(firm: Firm, name: str, rate: str, **facts: Any) -> TaxRule:
    return TaxRule.objects.create(firm=firm, name=name, rate=D(rate), **facts)


def move(job: Job, **address: str) -> None:
    Property.objects.filter(pk=job.property_id).update(**address)
    job.property.refresh_from_db()


@pytest.mark.parametrize(
    ("region", "town", "charged"),
    [
        ("Bristol", "Larkmere", [("Federal", "6.68"), ("Bristol", "26.70"), ("Larkmere", "2.67")]),
        ("Bristol", "Ashby", [("Federal", "6.68"), ("Bristol", "26.70")]),
        ("Kent", "Larkmere", [("Federal", "6.68"), ("Kent", "13.35")]),
    ],
)
def test_an_option_is_taxed_where_the_work_is(region: str, town: str, charged: list[tuple[str, str]]) -> None:
    """The price is 267.00, worked in test_scope: 2.5 % of it is 6.675, 10 % 26.70, 5 % 13.35, 1 % 2.67."""
    house = House()
    tax(house.firm, "Federal", "0.025")
    tax(house.firm, "Bristol", "0.1", region="bristol")
    tax(house.firm, "Kent", "0.05", region="Kent")
    tax(house.firm, "Larkmere", "0.01", region="Bristol", places="Larkmere, 02740")
    move(house.job, region=region, town=town, postcode="09999")
    price = workings_of(house.firm, whole(house.option(house.area()))).price.of
    assert [(each.tax.name, str(each.amount)) for each in price.taxes] == charged


def test_a_tax_that_is_off_is_charged_nowhere() -> None:
    firm = House().firm
    tax(firm, "Kent", "0.05", region="Kent", active=False)
    firm.region = "Kent"
    assert pricing_data(firm, firm)["tax"] == []


# before a paper is issued


@pytest.fixture
def draft() -> Proposal:
    """The demo's folder in Larkmere, without region and postcode; one tax that holds everywhere."""
    return ready_draft(OwnerFactory())


def said(draft: Proposal) -> list[tuple[str, bool]]:
    """What is said of the place, and whether it stops."""
    draft.job.property.refresh_from_db()
    firm = Firm.objects.get()
    points = look_over(firm, draft, chosen_of(draft), terms_of(firm, draft)).points
    return [(point.sentence, point.stops) for point in points if point.page == "place"]


def test_where_no_tax_differs_by_place_an_address_needs_no_region(draft: Proposal) -> None:
    assert said(draft) == []


def test_without_a_region_nothing_is_issued_while_taxes_differ_by_place(draft: Proposal) -> None:
    tax(Firm.objects.get(), "County tax", "0.01", region="Bristol")
    told = (
        "The address of the work has no region, so nobody can tell whether County tax is charged there. "
        "Your taxes differ by place."
    )
    assert said(draft) == [(told, True)]
    with pytest.raises(NotReady, match="has no region"):
        issue_proposal(proposal=draft, version=draft.version, by=draft.job.opened_by)


def test_a_list_of_postcodes_asks_for_the_postcode(draft: Proposal) -> None:
    move(draft.job, region="Bristol")
    tax(Firm.objects.get(), "Town tax", "0.01", region="Bristol", places="Ashby, 02740")
    assert [(sentence[:39], stops) for sentence, stops in said(draft)] == [
        ("The address of the work has no postcode", True)
    ]


def test_a_place_in_which_none_of_them_is_charged_is_asked_about(draft: Proposal) -> None:
    move(draft.job, region="Kent")
    tax(Firm.objects.get(), "County tax", "0.01", region="Bristol")
    told = "None of your taxes that differ by place is charged in Larkmere and Kent: County tax. Is that so?"
    assert said(draft) == [(told, False)]


def test_the_paper_bears_the_taxes_of_its_place_for_good(draft: Proposal) -> None:
    firm = Firm.objects.get()
    tax(firm, "Bristol tax", "0.01", region="Bristol")
    tax(firm, "Kent tax", "0.02", region="Kent")
    move(draft.job, region="Kent")
    paper = issue_proposal(proposal=draft, version=draft.version, by=draft.job.opened_by)
    move(draft.job, region="Bristol")
    scope = paper.scopes.get(position=0)
    assert [each["name"] for each in json.loads(scope.scope)["pricing"]["tax"]] == ["Sales tax", "Kent tax"]


def test_a_certificate_takes_off_only_what_is_charged_there(draft: Proposal) -> None:
    firm = Firm.objects.get()
    tax(firm, "Bristol tax", "0.01", region="Bristol")
    move(draft.job, region="Kent")
    assert exempt_on(firm, draft.job, Certificate(taxes=[])) == ["Sales tax"]


# changes


@pytest.fixture
def agreed() -> Job:
    """The demo's folder, agreed while one tax of 6.25 % held everywhere."""
    return agreed_job()


def test_a_change_at_todays_prices_bears_the_taxes_of_the_place(agreed: Job) -> None:
    TaxRule.objects.update(region="Kent")
    tax(Firm.objects.get(), "Bristol tax", "0.01", region="Bristol")
    move(agreed, region="Bristol")
    rows = (with_walk(drafted(agreed, prices=prices)) for prices in ("agreed", "today"))
    taxes = [{each.name for each in work_out_change(row).change.taxes if each.amount > 0} for row in rows]
    assert taxes == [{"Sales tax"}, {"Bristol tax"}]


def test_a_change_at_todays_prices_needs_the_region_too(agreed: Job) -> None:
    TaxRule.objects.update(region="Kent")
    assert work_out_change(with_walk(drafted(agreed))).change.taxes
    with pytest.raises(NotWorkable, match="has no region"):
        work_out_change(with_walk(drafted(agreed, prices="today")))


# the bookkeeper


def test_each_region_stands_with_its_own_taxes() -> None:
    """Two folders billed in two regions; the second folder moves afterwards, its bill does not."""
    kent = two_areas()
    kent["pricing"]["tax"] = [{"name": "Kent tax", "rate": "0.05", "on": "price"}]
    jobs = [
        accepted_job(number="0501", property__region="Bristol"),
        accepted_job(number="0502", data=kent, property__region="Kent"),
    ]
    for job in jobs:
        row = draft_invoice(job=job, by=job.opened_by)
        issue_invoice(invoice=row, version=row.version, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7")
    move(jobs[1], region="Bristol")
    today = timezone.localdate()
    lines = tax_lines(sale.sold for sale in sales_of(today, today))
    assert [(line.region, line.name, line.exempt > 0) for line in lines] == [
        ("Bristol", "City", False),
        ("Bristol", "State", True),
        ("Kent", "Kent tax", False),
    ]
