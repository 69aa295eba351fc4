"""The printed proposal: what stands on it, that its sums add up, and that it is a sound PDF."""

import json
import re
from decimal import Decimal

import pytest

from quoting.documents.contexts import paper_html
from quoting.models import Option, OptionStep, Paper, PaymentTerm, Proposal
from quoting.services.issue import issue_proposal, print_draft
from quoting.services.proposals import draft_proposal
from tests.factories import OwnerFactory
from tests.reading_pdf import bookmarks_of, facts_of, pages_of, size_of, text_of, ua_faults
from tests.sample_offer import measured_job, offer_option, published_edition, ready_draft, the_firm

pytestmark = pytest.mark.django_db


@pytest.fixture
def paper() -> Paper:
    """0417-A: two options, the second advised, with two extras."""
    ines = OwnerFactory()
    draft = ready_draft(ines)
    return issue_proposal(proposal=draft, version=draft.version, by=ines)


@pytest.fixture
def facts(paper) -> dict:
    return json.loads(paper.facts)


@pytest.fixture
def pdf(paper) -> bytes:
    return bytes(paper.pdf)


def small(**firm) -> tuple[Proposal, dict]:
    """One option on three steps, not agreed; a firm as given."""
    ines = OwnerFactory()
    the_firm(**firm)
    published_edition()
    job = measured_job(["Steps"], agreed=False)
    offer_option(job, ines, "wash-and-reseal", ["Steps"])
    draft = draft_proposal(job=job, by=ines)
    return draft, print_draft(proposal=draft, version=draft.version).facts


def money(text: str) -> Decimal:
    return Decimal(text.replace(",", "") or "0")


# sums


def test_the_areas_of_each_option_add_up_to_its_price(facts):
    table = facts["compared"]
    for column, price in enumerate(table["prices"]):
        assert sum(money(area["cells"][column]) for area in table["areas"]) == money(price)


def test_price_and_tax_add_up_to_the_total(facts):
    for option in facts["options"]:
        assert money(option["price"]) + sum(money(tax["amount"]) for tax in option["taxes"]) == money(option["total"])


def test_the_payments_of_each_option_add_up_to_its_total(facts):
    for column, option in enumerate(facts["options"]):
        assert sum(money(row["cells"][column]) for row in facts["payment_rows"]) == money(option["total"])


def test_the_areas_add_up_to_all_areas(facts):
    """Pool deck 532.39 + steps 23.75 + walk 101.04 = 657.18.

    Deck: 32 × 14.5 = 464; offsets every 4 ft by Simpson's 1/3: 4/3 × (4 × (2.0833 + 4.1667 + 4.1667 + 2.0833)
    + 2 × (3.4167 + 4.4167 + 3.4167)) = 4/3 × (50 + 22.5) = 96.67; less π × 9 = 28.27. Steps: 3 × 5 × (1 + 7/12) =
    23.75. Walk: 24.25 × 4.1667 = 101.04.
    """
    assert [area["net"] for area in facts["measured"]] == ["532.39", "23.75", "101.04"]
    assert facts["measured_total"] == "657.18"


def test_what_an_extra_costs_with_tax_is_what_it_adds_to_the_total(facts, paper):
    walk = next(extra for extra in facts["extras"] if extra["name"] == "Front walk")
    together = json.loads(paper.scopes.get(role="together", name="Front walk").workings)["price"]["total"]
    alone = json.loads(paper.scopes.get(role="option", name="Recolour and seal").workings)["price"]["total"]
    assert money(walk["taxed"]) == Decimal(together) - Decimal(alone)


def test_where_every_extra_adds_its_tax_nothing_is_said(facts):
    assert (facts["extras_less"], [extra["less"] for extra in facts["extras"]]) == ("", ["", ""])


# what stands on it


def test_every_matter_has_its_heading_in_the_order_of_the_paper(pdf):
    assert [words for level, words in bookmarks_of(pdf) if level == 1] == [
        "In short",
        "Two ways to do it",
        "Extras",
        "The work, step by step",
        "What we measured",
        "Days",
        "Please do, and we do",
        "Price and payment",
        "Payments of each option",
        "If more turns up",
        "Not included",
        "Four things to expect",
        "Warranty",
        "Take care",
        "Yes, please",
    ]


def test_cover_letterhead_and_terms_are_read_back(pdf):
    text = text_of(pdf)
    words = (
        "Ferrow & Daughter", "3 Kiln Lane, Larkmere", "Licence 00-4417", "insured, certificate on request",
        "18 Alder Row",
        "Priya and Tom Wexley for their pool deck, steps and front walk", "Proposal 0417-A", "Stands until",
        "Sales tax, 6.25 % on the materials’ share", "Mrs Wexley, 1 June 2026", "One more strip pass, a square foot",
        "Old stains may stay.", "Signature",
    )  # fmt: skip
    assert [word for word in words if word not in text.replace("\u00a0", " ")] == []


@pytest.mark.parametrize("word", ["margin", "markup", "overhead", "burdened", "profit", "39.00"])
def test_no_cost_and_no_margin_stands_on_it(paper, pdf, word):
    assert word not in text_of(pdf).lower()
    html = paper_html(json.loads(paper.facts))
    assert word not in re.sub(r"class=\"[^\"]*\"", "", html).lower()


def test_the_direct_cost_of_no_option_stands_on_it(paper, pdf):
    text = text_of(pdf)
    for row in paper.scopes.all():
        price = json.loads(row.workings)["price"]
        assert [f"{Decimal(price[name]):,.2f}" in text for name in ("direct", "cost", "profit")] == [False] * 3


def test_the_advised_option_is_marked_in_words(pdf):
    assert "Option 2, our advice" in text_of(pdf)


def test_every_page_names_the_paper_and_counts(pdf):
    pages = pages_of(pdf)
    for place, page in enumerate(pages, start=1):
        assert "Proposal 0417-A" in page
        assert f"page {place} of {len(pages)}" in page


def test_what_has_no_content_is_left_out():
    _, facts = small(please_do="", we_do="", exclusions="", expectations="", cautions="", notice="", change_rule="")
    html = paper_html(facts)
    left_out = ("Please do", "Not included", "to expect", "Take care", "Notice", "Extras", "Payments of each option")
    assert [words for words in left_out if words in html] == []


def test_a_firm_without_payment_terms_says_nothing_about_paying():
    draft, _ = small()
    PaymentTerm.objects.all().delete()
    draft.payments.all().delete()
    facts = print_draft(proposal=draft, version=draft.version).facts
    assert (facts["payments"], facts["payment_rows"]) == ("", [])


def test_metric_papers_measure_in_metres():
    """3 × 5 ft × (12 in + 7 in) = 23.75 ft² = 23.75 × 0.09290304 = 2.206 m²."""
    _, facts = small(units="metric", paper_size="a4")
    assert (facts["measured"][0]["net"], facts["measured_unit"]) == ("2.21", "m²")
    assert facts["compared"]["areas"][0]["net"] == "2.21\u00a0m²"


def test_words_that_look_like_markup_are_printed_as_they_are():
    ines = OwnerFactory()
    draft = ready_draft(ines)
    Option.objects.filter(name="Wash and reseal").update(mends="<script>alert(1)</script> & <b>all</b>")
    Proposal.objects.filter(pk=draft.pk).update(in_short="Under <img src=x> the film")
    paper = issue_proposal(proposal=draft, version=draft.version, by=ines)
    text = text_of(bytes(paper.pdf))
    assert "<script>alert(1)</script> & <b>all</b>" in text
    assert "Under <img src=x> the film" in text


# the PDF


def test_the_pdf_is_tagged_bookmarked_and_has_its_fonts(pdf):
    assert ua_faults(pdf) == []


def test_the_pdf_has_title_author_and_language(pdf):
    facts = facts_of(pdf)
    assert (facts["Title"], facts["Author"], facts["Lang"]) == (
        "Proposal 0417-A, 18 Alder Row",
        "Ferrow & Daughter",
        "en",
    )


def test_the_pdf_is_small(pdf):
    assert len(pdf) < 150_000


def test_a_firm_on_a4_gets_a4():
    draft, _ = small(paper_size="a4")
    assert size_of(print_draft(proposal=draft, version=draft.version).pdf) == (595, 842)


def test_a_plan_higher_than_a_sheet_is_drawn_in_parts():
    """Twenty-four decks of 32 × 20 ft, each with its label and its dimension lines, are higher than 905 px."""
    ines = OwnerFactory()
    the_firm()
    published_edition()
    names = [f"Walk {number}" for number in range(1, 25)]
    job = measured_job(names)
    offer_option(job, ines, "wash-and-reseal", names)
    facts = print_draft(proposal=(draft := draft_proposal(job=job, by=ines)), version=draft.version).facts
    heights = [int(dict(each["attributes"])["height"]) for each in facts["plans"]]
    assert (len(heights) > 1, max(heights) <= 800) == (True, True)
    titles = [each["title"] for each in facts["plans"]]
    assert titles[0].startswith("Plan of 18 Alder Row, to scale: A to ")
    assert titles[-1].endswith(" to X")


def test_a_job_that_ends_without_a_coat_says_nothing_of_one():
    draft, before = small()
    OptionStep.objects.filter(step__name__startswith="Seal").update(on=False)
    facts = print_draft(proposal=draft, version=draft.version).facts
    assert (before["after"][:19], facts["after"]) == ("After the last coat", "")
    words = [thing["words"] for thing in facts["days"][0]["drawing"]["primitives"]]
    assert [word for word in words if "walk on it" in word] == []
