"""The offer in short on the cover: its sums stand beside each other, however large they are."""

from datetime import UTC, datetime

import pypdfium2
import pytest

from quoting.documents.contexts import paper_html
from quoting.documents.render import render_pdf
from quoting.models import Proposal
from quoting.services.issue import print_draft
from tests.factories import OwnerFactory
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db


def box_of(pdf: bytes, words: str) -> tuple[float, float]:
    """Left and right of the first place on the cover where these words stand, in points."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        page = document[0].get_textpage()
        found = page.search(words).get_next()
        assert found is not None, words
        first, count = found
        return page.get_charbox(first)[0], page.get_charbox(first + count - 1)[2]
    finally:
        document.close()


@pytest.mark.parametrize(
    ("price", "total"),
    [
        ("9,955.00", "9,999.91"),
        ("999,955.00", "999,999.99"),
        ("1,234,567.89", "1,345,678.90"),
        ("123,456,789.00", "133,456,789.00"),
    ],
)
def test_price_and_total_never_touch(price: str, total: str) -> None:
    """A gap of 5 points at least: about two digits of the cover's table."""
    draft = ready_draft(OwnerFactory())
    facts = print_draft(proposal=Proposal.objects.get(pk=draft.pk), version=draft.version).facts
    for option in facts["options"]:
        option |= {"price": price, "total": total}
    pdf = render_pdf(paper_html(facts), document_date=datetime(2026, 6, 1, tzinfo=UTC))
    (_, right), (left, end) = box_of(pdf, price), box_of(pdf, total)
    assert left - right > 5
    assert box_of(pdf, "with tax")[0] < end
