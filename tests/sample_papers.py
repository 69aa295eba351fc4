"""Every kind of paper, from one folder that was offered, agreed, changed, billed, paid, planned and handed over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models
from django.test import Client
from django.utils import timezone

from customers.models import Customer, Property
from quoting.documents.evidence import evidence_pdf
from quoting.models import (
    Allowance,
    Area,
    ChangeOrder,
    Edition,
    Firm,
    HandOver,
    Job,
    Material,
    Option,
    Part,
    PaymentTerm,
    Proposal,
    ProposalPayment,
    RegionRule,
    RestorationSystem,
    Sample,
    SystemStep,
    TaxRule,
    Tone,
    UnitPrice,
    User,
)
from quoting.services import hand_over
from quoting.services.change_orders import add_work, draft_change
from quoting.services.change_papers import issue_change
from quoting.services.credit_notes import credit_invoice, left_of
from quoting.services.demo_photos import demo_photo
from quoting.services.invoices import draft_invoice, issue_invoice
from quoting.services.issue import issue_proposal
from quoting.services.payments import enter_payment
from quoting.services.photos import add_photo
from quoting.services.receipts import issue_receipt
from quoting.services.starter_edition import create_starter_edition
from quoting.services.statements import print_statement
from quoting.services.visits import plan_visits
from tests.factories import OwnerFactory
from tests.found_factories import FindingFactory, SampleFactory, ToneFactory
from tests.sample_answer import accept, link_to
from tests.sample_change import yes
from tests.sample_offer import ready_draft

WORDS: Mapping[type[models.Model], str] = {
    Firm: "name tagline street town licence insurance registration pay_to weather_rule please_do we_do payment_note "
    "change_rule exclusions expectations cautions notice",
    Customer: "name",
    Property: "street town access",
    Job: "asked poured last_sealed pool",
    Area: "name agreed_with",
    Part: "name",
    Proposal: "title in_short work_dates",
    ProposalPayment: "name trigger",
    PaymentTerm: "name trigger",
    Allowance: "name included further",
    TaxRule: "name",
    RegionRule: "name text source",
    Option: "name mends does_not_mend life look slip",
    Tone: "role colour",
    Sample: "recipe approved_by",
}
"""What people type that papers print, by its row."""

BOOK: Mapping[type[models.Model], str] = {
    UnitPrice: "name",
    RestorationSystem: "name warranty",
    SystemStep: "name how",
    Material: "name kept_in",
}
"""The same in the price book, which is written before it is published and never after."""


def folder(*, words: str = "", **firm: Any) -> tuple[Proposal, User]:
    """A draft with all that a proposal may say: found, wished, allowed, cancelled; nothing is printed yet. `words`
    stand in everything that a person typed."""
    by = OwnerFactory(email="ines@example.com")
    edition = create_starter_edition(name="2026-1")
    if words:
        _write(words, BOOK)
    Edition.objects.filter(pk=edition.pk).update(state=Edition.State.PUBLISHED)
    draft = ready_draft(by)
    Firm.objects.update(**({"email": "office@ferrow.example.com", "pay_to": "Larkmere Savings, account 555"} | firm))
    job = Job.objects.get(pk=draft.job_id)
    Job.objects.filter(pk=job.pk).update(
        asked="It looked like stone the first summer.", poured="about 2014", last_sealed="2021", pool="chlorine"
    )
    deck, steps, walk = job.areas.order_by("position")
    FindingFactory(area=deck, kind="water-drop", answers={"result": "soaks", "seconds": "8"}, reading="open")
    FindingFactory(area=deck, kind="slip", answers={"result": "slips", "barefoot": "yes", "slope": "yes"}, reading="")
    FindingFactory(area=deck, kind="crack", answers={"width": "1/16", "length": "18", "level": "no"}, reading="")
    FindingFactory(area=steps)
    FindingFactory(area=walk, kind="joint-sand", answers={"result": "low"}, reading="")
    ToneFactory(job=job)
    SampleFactory(job=job, area=deck, approved_on=date(2026, 6, 3), approved_by="Mrs Wexley")
    for name in ("dry", "crack"):
        add_photo(job=job, content=demo_photo(name), by=by, area=deck)
    Allowance.objects.create(
        proposal=draft, position=0, name="Crack filled", included="18 ft", further="a further foot", price=Decimal(6)
    )
    RegionRule.objects.create(
        firm=Firm.objects.get(), key="cooling-off", region="United States", kind=RegionRule.Kind.CANCELLATION,
        name="Cooling-off", figures={"days": "3", "calendar": "sales"}, source="16 CFR 429.1", on=True,
        text="You may cancel within three business days.",
    )  # fmt: skip
    Proposal.objects.filter(pk=draft.pk).update(at_home=True, work_dates="four days within two weeks")
    if words:
        _write(words, WORDS)
    return Proposal.objects.get(pk=draft.pk), by


def _write(words: str, where: Mapping[type[models.Model], str]) -> None:
    """The same words in every one of these columns, cut to what each holds."""
    for model, names in where.items():
        for row in model._default_manager.all():
            told = {name: _fitted(words, model, name, row.pk) for name in names.split()}
            model._default_manager.filter(pk=row.pk).update(**told)


def _fitted(words: str, model: type[models.Model], name: str, key: int) -> str:
    """The words as that column can hold them, told apart from row to row."""
    most = model._meta.get_field(name).max_length or 600
    return f"{words[: most - len(str(key))]}{key}"


def papers_of(draft: Proposal, by: User) -> Iterator[tuple[str, bytes]]:
    """Every kind of paper of this folder by its kind, from the proposal to the hand-over sheet, as printed."""
    paper = issue_proposal(proposal=draft, version=draft.version, by=by)
    yield "proposal", bytes(paper.pdf)
    firm = Firm.objects.get()
    yield "evidence", evidence_pdf(accept(link_to(paper)), firm)
    job = Job.objects.with_place().get(pk=draft.job_id)
    yield from _changed(job, by)
    yield from _billed(job, by)
    plan_visits(job=job, by=by, first_day=date(2026, 7, 16), crew=2)
    client = Client()
    client.force_login(by)
    for name in ("pick-list", "mix-sheet", "2/pick-list", "2/mix-sheet"):
        yield name.replace("/", "-"), client.get(f"/folders/{job.number}/visits/{name}.pdf").content
    row = hand_over.begin_hand_over(job=job, by=by)
    HandOver.objects.filter(pk=row.pk).update(finished_on=date(2026, 7, 20))
    row = HandOver.objects.get(pk=row.pk)
    yield "hand-over", bytes(hand_over.issue_hand_over(row=row, version=row.version, by=by).pdf)


def _changed(job: Job, by: User) -> Iterator[tuple[str, bytes]]:
    title = Proposal.objects.get(job=job, state="accepted").title[:120] or "More of it"
    row = draft_change(job=job, by=by, title=title, reason=ChangeOrder.Reason.ASKED)
    found = RestorationSystem.objects.get(edition__state="published", key="clean-sand-seal")
    add_work(row=row, version=row.version, system=found, areas=list(job.areas.order_by("position")[2:]), count=3)
    row = ChangeOrder.objects.get(pk=row.pk)
    paper = issue_change(row=row, version=row.version, by=by)
    yield "change-order", bytes(paper.pdf)
    yes(paper)


def _billed(job: Job, by: User) -> Iterator[tuple[str, bytes]]:
    draft = draft_invoice(job=job, by=by)
    bill = issue_invoice(invoice=draft, version=draft.version, by=by)
    yield "invoice", bytes(bill.pdf)
    today = timezone.localdate()
    payment = enter_payment(job=job, on=today, method="check", amount=Decimal("100.00"), by=by, once="1" * 32)
    yield "receipt", bytes(issue_receipt(payment=payment, by=by).pdf)
    note = credit_invoice(
        invoice=bill.invoice, amount=Decimal("50.00"), left=left_of(bill.invoice), reason="A slip of ours.", by=by
    )
    yield "credit-note", bytes(note.pdf)
    yield "statement", print_statement(customer=job.property.customer)
