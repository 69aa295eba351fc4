"""What is typed about a draft's terms: shares or sums, the last takes the rest; unit prices left off by name."""

from decimal import Decimal
from types import SimpleNamespace

import pytest

from quoting.forms.proposal_terms import PaymentFormSet, TermsForm


def payments(*rows: tuple[str, str, str]) -> PaymentFormSet:
    """Rows of name, share and sum."""
    sent = {"p-TOTAL_FORMS": str(len(rows)), "p-INITIAL_FORMS": "0"}
    for at, (name, share, amount) in enumerate(rows):
        sent |= {f"p-{at}-name": name, f"p-{at}-trigger": "then", f"p-{at}-share": share, f"p-{at}-amount": amount}
        sent |= {f"p-{at}-ORDER": str(at + 1)}
    return PaymentFormSet(sent, prefix="p")


def test_a_share_and_a_sum_may_stand_side_by_side():
    typed = payments(("Deposit", "", "200"), ("Half", "50", ""), ("Rest", "", ""))
    assert typed.is_valid(), typed.errors
    assert [(each["share"], each["amount"]) for each in typed.facts] == [
        (None, Decimal(200)),
        (Decimal("0.50"), None),
        (None, None),
    ]


def test_the_last_may_say_the_share_that_is_left():
    typed = payments(("Deposit", "25", ""), ("Rest", "75", ""))
    assert typed.is_valid(), typed.errors
    assert typed.facts[-1]["share"] is None


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            [("Deposit", "25", ""), ("Rest", "70", "")],
            "“Rest” comes last and takes what is left: leave its share and its sum empty.",
        ),
        (
            [("Deposit", "25", ""), ("Rest", "", "100")],
            "“Rest” comes last and takes what is left: leave its share and its sum empty.",
        ),
        ([("Deposit", "100", ""), ("Rest", "", "")], "Nothing is left for “Rest”: the others take the whole."),
    ],
)
def test_what_leaves_no_rest_is_refused(rows, said):
    assert payments(*rows).non_form_errors() == [said]


@pytest.mark.parametrize("row", [("Deposit", "25", "100"), ("Deposit", "", "")])
def test_a_payment_is_a_share_or_a_sum(row):
    typed = payments(row, ("Rest", "", ""))
    assert not typed.is_valid()
    assert "share" in typed.errors[0]


def test_the_order_is_the_one_that_was_typed():
    typed = payments(("Rest", "", ""), ("Deposit", "25", ""))
    typed.data = typed.data | {"p-0-ORDER": "2", "p-1-ORDER": "1"}
    assert typed.is_valid(), typed.errors
    assert [each["name"] for each in typed.facts] == ["Deposit", "Rest"]


def test_what_is_not_ticked_is_left_off():
    prices = [SimpleNamespace(name=name, price=SimpleNamespace(amount=Decimal(1))) for name in ("Pass", "Sand")]
    form = TermsForm({"on_paper": ["Sand"], "at_home": "no", "special_order": ""}, prices=prices)
    assert form.is_valid(), form.errors
    assert form.facts == {"work_dates": "", "at_home": False, "special_order": Decimal(0), "left_off": ["Pass"]}
