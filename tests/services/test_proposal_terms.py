"""A draft's own payments and allowances: copied from the firm or from what stands, kept, and never of a paper."""

from decimal import Decimal

import pytest

from quoting.documents.proposal_facts import terms_of
from quoting.models import ChangedMeanwhile, Firm, PaymentTerm, Proposal, User
from quoting.services.issue import issue_proposal
from quoting.services.proposal_terms import AllowanceLine, PaymentLine, allowance_line, keep_terms, payment_line
from quoting.services.proposals import NotDrafted, revise
from tests.factories import OwnerFactory
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db

HALF = [
    PaymentLine(name="Deposit", trigger="on acceptance", amount=Decimal("200.00")),
    PaymentLine(name="Half", trigger="when it is washed", share=Decimal("0.5"), done=Decimal("0.6")),
    PaymentLine(name="Rest", trigger="at hand-over"),
]
STRIP = AllowanceLine(name="Strip passes", included="up to 2", further="each further pass", price=Decimal("0.35"))


@pytest.fixture
def ines() -> User:
    return OwnerFactory()


@pytest.fixture
def draft(ines) -> Proposal:
    return ready_draft(ines)


def keep(draft: Proposal, **more) -> Proposal:
    facts = {"payments": HALF, "allowances": [STRIP], "work_dates": "In July", "left_off": ["A bag of sand"]}
    return keep_terms(proposal=draft, version=draft.version, **(facts | more))


def test_a_new_draft_begins_with_the_firms_terms_the_last_taking_what_is_left(draft):
    assert [payment_line(row) for row in draft.payments.all()] == [
        PaymentLine(name="Deposit", trigger="on acceptance", share=Decimal("0.250000")),
        PaymentLine(name="Progress", trigger="when the colour is on", share=Decimal("0.500000")),
        PaymentLine(name="Rest", trigger="at hand-over"),
    ]


def test_the_firms_later_terms_leave_the_draft_alone(draft):
    PaymentTerm.objects.all().delete()
    assert len(terms_of(Firm.objects.get(), draft)) == 3


def test_what_is_kept_takes_the_place_of_what_was(draft):
    kept = keep(draft)
    assert [payment_line(row) for row in kept.payments.all()] == HALF
    assert [allowance_line(row) for row in kept.allowances.all()] == [STRIP]
    assert (kept.work_dates, kept.left_off, kept.version) == ("In July", ["A bag of sand"], draft.version + 1)


def test_an_older_version_overwrites_nothing(draft):
    keep(draft)
    with pytest.raises(ChangedMeanwhile):
        keep(draft, payments=[])
    assert draft.payments.count() == 3


def test_what_was_issued_keeps_its_terms(draft, ines):
    issue_proposal(proposal=draft, version=draft.version, by=ines)
    draft.refresh_from_db()
    with pytest.raises(NotDrafted):
        keep(draft)


def test_a_revision_begins_with_the_terms_of_what_stands(draft, ines):
    kept = keep(draft, at_home=True, special_order=Decimal("80.00"))
    issue_proposal(proposal=kept, version=kept.version, by=ines)
    again = revise(proposal=Proposal.objects.get(pk=kept.pk), by=ines)
    again = Proposal.objects.get(pk=again.pk)
    assert [payment_line(row) for row in again.payments.all()] == HALF
    assert [allowance_line(row) for row in again.allowances.all()] == [STRIP]
    assert (again.work_dates, again.left_off, again.at_home) == ("In July", ["A bag of sand"], True)
    assert again.special_order == Decimal("80.00")
