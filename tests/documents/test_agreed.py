"""What a choice on an issued paper comes to: from its frozen scopes, whichever extras are ticked."""

import json
from decimal import Decimal
from itertools import combinations

import pytest

from quoting.documents.agreed import DoesNotAddUp, NotOffered, Offered
from quoting.documents.consent import consent_text, intent_text
from quoting.models import Paper, PaperScope
from tests.frozen_rows import triggers_lifted
from tests.sample_answer import FULL, GRIT, WALK, issued_paper

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def offered() -> Offered:
    return Offered(Paper.objects.get(pk=issued_paper().pk))


def test_options_and_extras_are_numbered_as_on_the_paper(offered):
    told = [
        (each.place, each.name, [(one.number, one.facts["name"]) for one in each.extras]) for each in offered.choices
    ]
    assert told == [
        (1, "Wash and reseal", []),
        (2, "Recolour and seal", [(GRIT, "Grit in the last coat"), (WALK, "Front walk")]),
    ]


def test_every_choice_is_the_option_and_the_differences_the_paper_shows(offered):
    options = {each["place"]: Decimal(each["price"].replace(",", "")) for each in offered.facts["options"]}
    extras = [Decimal(each["now"]) for each in offered.facts["extras"]]
    for count in range(3):
        for ticked in combinations((GRIT, WALK), count):
            agreed = offered.agree(FULL, ticked)
            assert agreed.price == options["2"] + sum(extras[number - 1] for number in ticked)
            assert agreed.total == agreed.price + sum(amount for _name, amount in agreed.taxes)
            assert sum(each.amount for each in agreed.payments) == agreed.total


def test_without_extras_it_is_what_the_paper_says(offered):
    # 1,973.52 in 25, 50 and 25 per cent: 493.38, 986.76, 493.38.
    agreed = offered.agree(FULL, [])
    assert f"{agreed.total:,}" == offered.facts["options"][1]["total"]
    assert [f"{each.amount:,}" for each in agreed.payments] == [
        row["cells"][1] for row in offered.facts["payment_rows"]
    ]


@pytest.mark.parametrize(("option", "add_ons"), [(0, []), (3, []), (1, [GRIT]), (2, [3]), (2, [0])])
def test_what_is_not_on_the_paper_is_not_offered(offered, option, add_ons):
    with pytest.raises(NotOffered):
        offered.agree(option, add_ons)


def test_an_extra_ticked_twice_counts_once(offered):
    assert offered.agree(FULL, [GRIT, GRIT]) == offered.agree(FULL, [GRIT])


@pytest.mark.parametrize("column", ["workings", "scope"])
def test_a_frozen_text_that_was_changed_is_not_reckoned_with(offered, column):
    row = PaperScope.objects.get(paper=offered.paper, position=1)
    data = json.loads(getattr(row, column))
    data["format"] = 9
    with triggers_lifted():
        PaperScope.objects.filter(pk=row.pk).update(**{column: json.dumps(data)})
    with pytest.raises(DoesNotAddUp):
        Offered(offered.paper).agree(FULL, [])


def test_only_the_areas_of_the_choice_are_told(offered):
    assert [area["name"] for area in offered.areas(offered.agree(FULL, [GRIT]))] == ["Pool deck", "Steps"]
    assert [area["name"] for area in offered.areas(offered.agree(FULL, [WALK]))] == ["Pool deck", "Steps", "Front walk"]


def test_a_paper_without_payment_terms_asks_for_no_deposit(offered):
    del offered.facts["payment_terms"]
    agreed = offered.agree(FULL, [])
    assert (agreed.payments, agreed.deposit) == ((), Decimal(0))


def test_the_words_signed_name_the_paper_the_choice_and_the_sum(offered):
    words = intent_text(offered.facts, offered.agree(FULL, [GRIT, WALK]))
    assert words.startswith("I accept proposal 0417-A of ")
    assert "option 2, Recolour and seal, with Grit in the last coat and Front walk, for 2,388.77 USD in all" in words


def test_the_consent_says_what_the_act_asks_for(offered):
    # 15 U.S.C. 7001(c)(1)(B) and (C): paper instead; taking it back and any fee; what it covers; how to take it back,
    # how to change the address; a paper copy; hardware and software; shown to be accessible.
    text = consent_text(offered.facts)
    heads = (
        "On paper instead:",
        "What it covers:",
        "Taking it back:",
        "free of charge",
        "To change the address",
        "What I need:",
    )
    assert [head for head in heads if head not in text] == []
