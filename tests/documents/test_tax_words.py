"""A tax is told in the same words on a bill as on the proposal."""

from decimal import Decimal

import pytest

from quoting.core.contracts import TaxShare
from quoting.documents.invoices import tax_line


@pytest.mark.parametrize(
    ("on", "words"),
    [
        ("materials", "State, 6.25 % on the materials’ share"),
        ("labour", "State, 6.25 % on the labour’s share"),
        ("price", "State, 6.25 % on the price"),
    ],
)
def test_a_bill_says_on_what_its_tax_is_as_the_proposal_does(on: str, words: str) -> None:
    share = TaxShare(name="State", rate=Decimal("0.0625"), on=on, base=Decimal("100.00"), amount=Decimal("6.25"))
    assert tax_line(share, "USD")["words"].replace("\u00a0", " ") == words
