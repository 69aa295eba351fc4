"""Certificates that take tax off: chosen on a draft, or confirmed on a contract; never by themselves."""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from customers.models import Customer
from quoting.core.contracts import Agreed, added, taken_off
from quoting.documents.billed import bill_of
from quoting.documents.proposal_facts import terms_of
from quoting.models import Certificate, ChangeOrder, Exemption, Firm, Invoice, Job, Paper, Proposal, User
from quoting.services.billing import billing_of
from quoting.services.certificates import (
    CertificateUsed,
    add_certificate,
    certificate_faults,
    remove_certificate,
)
from quoting.services.change_scope import work_out_change
from quoting.services.contracts import need_contract
from quoting.services.customers import merge_customers
from quoting.services.exemptions import CantExempt, exempt_contract
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.issue import NotReady, issue_proposal
from quoting.services.offers import chosen_of
from quoting.services.proposal_checks import Readiness, look_over
from quoting.services.proposals import revise
from quoting.services.verify import Counted, verify_all
from quoting.services.verify_books import book_faults_of_all
from tests.factories import CustomerFactory, OwnerFactory, PaperFactory
from tests.reading_pdf import text_of
from tests.sample_answer import accept, link_to
from tests.sample_change import drafted, with_walk
from tests.sample_contract import accepted_job
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db
D = Decimal
PDF = b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


def certificate(customer: Customer, by: User, **facts: Any) -> Certificate:
    """One of an exempt organisation, in force, for every tax and region."""
    usual = {
        "content": PDF, "kind": "organisation", "number": "12-7", "region": "", "valid_from": date(2020, 1, 1),
        "valid_until": None,
    }  # fmt: skip
    return add_certificate(customer=customer, by=by, **(usual | facts))


@pytest.fixture
def job() -> Job:
    """650.00, State 6.91 on the materials and City 8.94 on the price: 665.85 in three payments."""
    return accepted_job()


def bill_next(job: Job) -> Invoice:
    draft = draft_invoice(job=job, by=job.opened_by)
    return issue_invoice(
        invoice=draft, version=draft.version, by=job.opened_by, press=lambda facts, at: b"%PDF-1.7"
    ).invoice


def exempted(job: Job, **facts: Any) -> Exemption:
    row = certificate(job.property.customer, job.opened_by, **facts)
    return exempt_contract(job=job, certificate=row, by=job.opened_by)


# a contract


def test_a_contract_loses_its_taxes_and_its_payments_add_up_to_the_rest(job):
    row = exempted(job)
    contract = need_contract(job)
    assert (row.taxes, contract.now.total, contract.now.taxes) == (["State", "City"], D("650.00"), ())
    # 650.00 in a quarter, a half and the rest
    assert [part.amount for part in billing_of(job).parts] == [D("162.50"), D("325.00"), D("162.50")]
    assert list(book_faults_of_all()) == []


def test_a_certificate_takes_off_only_the_taxes_that_it_covers(job):
    exempted(job, taxes=["State"])
    now = need_contract(job).now
    assert [(tax.name, tax.amount) for tax in now.taxes] == [("City", D("8.94"))]
    assert now.total == D("658.94")


def test_the_taxes_of_all_bills_are_those_of_the_contract_though_one_was_billed_with_tax(job):
    first = bill_next(job)
    assert bill_of(first).tax > 0
    exempted(job)
    bills = [first]
    while billing_of(job).left > 0:
        bills.append(bill_next(job))
    # what the first one charged comes off the second
    assert bill_of(bills[1]).tax == -bill_of(first).tax
    whole = added(bill_of(each) for each in bills)
    assert (whole.tax, whole.total) == (D("0.00"), D("650.00"))
    assert taken_off(need_contract(job).now, billing_of(job).before) == Agreed()
    assert list(book_faults_of_all()) == []


def test_the_bill_says_by_which_certificate_and_the_account_what_came_off(job):
    exempted(job)
    draft = draft_invoice(job=job, by=job.opened_by)
    paper = issue_invoice(invoice=draft, version=draft.version, by=job.opened_by)
    text = " ".join(text_of(bytes(paper.pdf)).split())
    wanted = ("State and City taken off: exempt organisation, certificate 12-7.", "Tax taken off", "−15.85")
    assert [words for words in wanted if words not in text] == []


@pytest.mark.parametrize(
    "facts",
    [
        {"valid_until": date(2020, 12, 31)},
        {"valid_from": date(2099, 1, 1)},
        {"region": "Ohio"},
    ],
)
def test_one_that_does_not_hold_today_here_takes_nothing_off(job, facts):
    with pytest.raises(CantExempt, match="does not hold today"):
        exempted(job, **facts)
    assert need_contract(job).now.total == D("665.85")


def test_one_of_somebody_else_takes_nothing_off(job):
    row = certificate(CustomerFactory(), job.opened_by)
    with pytest.raises(CantExempt, match="does not hold"):
        exempt_contract(job=job, certificate=row, by=job.opened_by)


def test_one_that_covers_no_tax_of_the_contract_takes_nothing_off(job):
    with pytest.raises(CantExempt, match="charges no tax"):
        exempted(job, taxes=["County"])


def test_it_is_confirmed_once_whatever_is_clicked_twice_and_a_second_one_finds_nothing(job):
    row = certificate(job.property.customer, job.opened_by)
    first, again = (exempt_contract(job=job, certificate=row, by=job.opened_by) for _ in range(2))
    assert first == again
    other = certificate(job.property.customer, job.opened_by, number="99")
    with pytest.raises(CantExempt, match="charges no tax"):
        exempt_contract(job=job, certificate=other, by=job.opened_by)


def test_changes_that_wait_for_an_answer_were_made_on_another_contract(job):
    paper = PaperFactory(kind=Paper.Kind.CHANGE, number="0417-C1", job=job, revision=7)
    row = ChangeOrder.objects.create(job=job, state="issued", paper=paper, title="More", drafted_by=job.opened_by)
    exempted(job)
    row.refresh_from_db()
    assert row.state == "superseded"


def test_the_database_refuses_to_change_an_exemption(job):
    row = exempted(job)
    with pytest.raises(DatabaseError), transaction.atomic():
        Exemption.objects.filter(pk=row.pk).update(number="13")
    with pytest.raises(DatabaseError), transaction.atomic():
        Exemption.objects.filter(pk=row.pk).delete()


# an offer


def offer(**facts: Any) -> Proposal:
    """The demo's draft, with a certificate of its customer chosen."""
    by = OwnerFactory(email="ines@example.com")
    draft = ready_draft(by)
    draft.certificate = certificate(draft.job.property.customer, by, **facts)
    draft.save(update_fields=["certificate"])
    return draft


def issued(draft: Proposal) -> Paper:
    return issue_proposal(proposal=draft, version=draft.version, by=User.objects.get(email="ines@example.com"))


def test_an_offer_charges_no_tax_and_says_why_and_the_contract_follows_it():
    paper = issued(offer())
    facts = json.loads(paper.facts)
    words = "Sales tax not charged: exempt organisation, certificate 12-7."
    assert (facts["exempt"]["words"], facts["exempt"]["taxes"], facts["taxed"]) == (words, ["Sales tax"], "")
    assert words in " ".join(text_of(bytes(paper.pdf)).split())
    accept(link_to(paper))
    job = Job.objects.with_place().get(pk=paper.job_id)
    assert (need_contract(job).now.tax, need_contract(job).now.total) == (D("0.00"), D("1995.00"))
    assert list(verify_all(Counted())) == []


def test_what_a_change_adds_to_such_a_contract_is_not_taxed_either():
    accept(link_to(issued(offer())))
    row = with_walk(drafted(Job.objects.with_place().get()))
    # 335.00 before tax, as with tax
    change = work_out_change(row).change
    assert (change.price, change.tax) == (D("335.00"), D("0.00"))


def test_an_offer_without_a_choice_is_taxed_and_the_draft_says_that_one_holds():
    draft = offer()
    Proposal.objects.filter(pk=draft.pk).update(certificate=None)
    draft.refresh_from_db()
    assert [point.sentence for point in ready(draft).warnings if "certificate" in point.sentence] == [
        "Exempt organisation, certificate 12-7, holds today; tax is charged all the same."
    ]
    facts = json.loads(issued(draft).facts)
    assert (facts["exempt"], facts["taxed"]) == ({}, "yes")


def ready(draft: Proposal) -> Readiness:
    firm = Firm.objects.get()
    return look_over(firm, draft, chosen_of(draft), terms_of(firm, draft))


def test_one_that_has_run_out_stops_the_offer():
    draft = offer(valid_until=timezone.localdate() - timedelta(days=1))
    with pytest.raises(NotReady, match="does not hold today for work at this place"):
        issued(draft)


def test_the_next_revision_begins_with_the_same_certificate():
    paper = issued(offer())
    draft = revise(proposal=paper.proposal, by=User.objects.get(email="ines@example.com"))
    assert draft.certificate == paper.proposal.certificate


# the files


def test_a_certificate_that_was_used_stays(job):
    row = exempted(job).certificate
    with pytest.raises(CertificateUsed, match="its file is the proof"):
        remove_certificate(certificate=row, by=job.opened_by)


def test_verify_reads_every_file_again(job):
    row = certificate(job.property.customer, job.opened_by)
    assert list(certificate_faults()) == []
    Certificate.objects.filter(pk=row.pk).update(content=PDF + b"\n")
    assert list(certificate_faults()) == [
        f"certificate {row.pk}: file: its bytes do not have the SHA-256 that was kept"
    ]
    Certificate.objects.filter(pk=row.pk).update(content=PDF, sha256="0" * 64)
    assert len(list(certificate_faults())) == 2


def test_merging_people_keeps_the_row_that_a_contract_names(job):
    used = exempted(job).certificate
    stays = CustomerFactory()
    certificate(stays, job.opened_by)
    goes = job.property.customer
    merge_customers(by=job.opened_by, stays=stays, version=stays.version, goes=goes, goes_version=goes.version)
    assert list(stays.certificates.all()) == [used]
