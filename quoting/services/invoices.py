"""Acts on bills: drafting, changing and throwing a draft away, and issuing it: one paper, whatever is clicked twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.billing import BillingFault, bill
from quoting.core.books import EntryKind, from_minor, to_minor
from quoting.core.contracts import Agreed
from quoting.core.region_rules import RuleFault
from quoting.core.schedule import next_part
from quoting.core.spreading import spread_oldest_first
from quoting.documents.billed import figures_of
from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json
from quoting.documents.invoices import Account, BillStamp, invoice_facts
from quoting.models import ChangedMeanwhile, Firm, Invoice, Job, Paper, User, lock_row
from quoting.services.billing import Billing, billing_of, check_work, fault_of, newly_earned, usual_kind
from quoting.services.books import Fact, book_agreement, spread_facts, write_entries
from quoting.services.exemptions import exempt_words
from quoting.services.firm import THE_FIRM
from quoting.services.issue import print_facts
from quoting.services.money_papers import (
    BILLS,
    Moved,
    Press,
    bill_number,
    keep_paper,
    mail_paper,
    next_count,
    stands_on,
    take_expected,
    told_with,
    until_it_holds,
)
from quoting.services.trail import record

State = Invoice.State


class NothingToBill(Exception):
    """All that is agreed is billed."""

    def __init__(self) -> None:
        super().__init__("All that is agreed is billed. What comes on top is a change first.")


class CantBill(Exception):
    """The draft can't be issued as it stands; the sentence says why."""


class NoDraft(Exception):
    """The draft is gone: thrown away by somebody else."""

    def __init__(self) -> None:
        super().__init__("This draft was thrown away meanwhile. Nothing was issued.")


class BilledAlready(Exception):
    """This draft was issued before: by a second click, or by somebody else at the same moment."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        super().__init__(f"{paper.number} is issued already. There is one bill, and this is it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedBill:
    """A bill that was printed, with all that it was made from."""

    invoice: Invoice
    billing: Billing
    bill: Agreed
    count: int
    stamp: BillStamp
    facts: Facts
    pdf: bytes
    made_from: tuple[Any, ...]


def draft_invoice(*, job: Job, by: User) -> Invoice:
    """The draft of the next bill of a job: over what is left of the next payment. The one that is there, if one is.

    Raises NoContract or NothingToBill.
    """
    with transaction.atomic():
        lock_row(Job, job.pk)
        if found := Invoice.objects.filter(job=job, state=State.DRAFTED).first():
            return found
        billing = billing_of(job)
        part = next_part(billing.parts)
        if part is None or billing.left <= 0:
            raise NothingToBill
        kind = usual_kind(billing, part)
        return Invoice.objects.create(
            job=job,
            kind=kind,
            event=part.trigger,
            amount=billing.left if kind in (Invoice.Kind.FINAL, Invoice.Kind.SINGLE) else min(part.left, billing.left),
            due_on=usual_due(timezone.localdate()),
            drafted_by=by,
        )


def keep_invoice(*, invoice: Invoice, version: int, **facts: Any) -> Invoice:
    """Keep what was changed on a draft. Raises ChangedMeanwhile, or BilledAlready."""
    with transaction.atomic():
        row = _locked(invoice)
        row.claim(version)
        for name, value in facts.items():
            setattr(row, name, value)
        row.save(update_fields=list(facts))
    return row


def discard_invoice(*, invoice: Invoice, version: int) -> None:
    """Throw a draft away; it never had a number. Raises ChangedMeanwhile, or BilledAlready."""
    with transaction.atomic():
        row = _locked(invoice)
        row.claim(version)
        row.delete()


def issue_invoice(*, invoice: Invoice, version: int, by: User, mail_to: str = "", press: Press = print_facts) -> Paper:
    """Issue the draft with the next number of the bills; from then on it never changes.

    With `mail_to` the mail that brings it is written in the same transaction, so that a crash loses neither. A credit
    of the customer's is put on it at once. It is printed outside any transaction, so do not call this inside one.
    Raises ChangedMeanwhile, BilledAlready, NoDraft, NoContract, CantBill, StillMoving or a PaperNotPrinted; in each
    case nothing was issued, and no number is lost.
    """
    return until_it_holds(lambda: _keep(print_bill(invoice=invoice, version=version, press=press), by, mail_to))


def preview_invoice(*, invoice: Invoice) -> bytes:
    """The draft as a PDF, marked as a draft; nothing is kept. Raises as issuing does."""
    return print_bill(invoice=invoice, version=None).pdf


def print_bill(*, invoice: Invoice, version: int | None, press: Press = print_facts) -> PrintedBill:
    """Work the draft out and print it with the number that it will get; without a version, marked as a draft."""
    row = Invoice.objects.select_related("job__property__customer", "paper").filter(pk=invoice.pk).first()
    if row is None:
        raise NoDraft
    if row.paper:
        raise BilledAlready(row.paper)
    if version is not None and row.version != version:
        raise ChangedMeanwhile(row)
    made_from = _made_from(row)
    firm = Firm.objects.get(pk=THE_FIRM)
    billing, this = work_out_bill(row)
    now = timezone.now()
    count = next_count(BILLS)
    stamp = BillStamp(
        number=bill_number(count, timezone.localdate(now)),
        issued_at=now,
        due_on=row.due_on or usual_due(timezone.localdate(now)),
        is_draft=version is None,
    )
    currency = billing.contract.currency
    paid_on_it = min(from_minor(max(billing.balances.credit.amount, 0), currency), this.total)
    account = Account(
        contract=billing.contract,
        before=billing.before.total,
        paid_on_it=paid_on_it,
        earlier_due=from_minor(billing.balances.due.amount, currency),
        paid=from_minor(billing.balances.paid.amount, currency),
    )
    facts = invoice_facts(
        firm=firm,
        job=row.job,
        invoice=row,
        bill=this,
        account=account,
        stamp=stamp,
        exempt=exempt_words(row.job),
    )
    pdf = press(facts, now)
    return PrintedBill(
        invoice=row, billing=billing, bill=this, count=count, stamp=stamp, facts=facts, pdf=pdf, made_from=made_from
    )


def work_out_bill(invoice: Invoice) -> tuple[Billing, Agreed]:
    """Where the job stands, and what the draft says line by line. Raises NoContract or CantBill."""
    billing = billing_of(invoice.job)
    if fault := fault_of(billing, invoice.kind, invoice.amount):
        raise CantBill(fault)
    try:
        check_work(billing, invoice.kind, invoice.amount, invoice.done)
        return billing, bill(billing.contract.now, billing.before, invoice.amount, billing.contract.currency)
    except (BillingFault, RuleFault) as refused:
        raise CantBill(str(refused)) from refused


def _keep(printed: PrintedBill, by: User, mail_to: str) -> Paper:
    """Take the number and write everything, if nothing has changed since the bill was printed."""
    with transaction.atomic():
        job = lock_row(Job, printed.invoice.job_id)
        row = _locked(printed.invoice)
        lock_row(Firm, THE_FIRM)
        if _made_from(row) != printed.made_from:
            raise Moved
        book_agreement(job)
        take_expected(BILLS, printed.count)
        paper = keep_paper(
            kind=Paper.Kind.INVOICE,
            number=printed.stamp.number,
            job=job,
            facts=printed.facts,
            pdf=printed.pdf,
            issued_at=printed.stamp.issued_at,
            by=by,
        )
        row.claim(row.version)
        row.state, row.paper = State.ISSUED, paper
        row.issued_on, row.due_on = timezone.localdate(printed.stamp.issued_at), printed.stamp.due_on
        row.figures = canonical_json(figures_of(printed.bill, printed.billing.contract.currency))
        row.save(update_fields=["state", "paper", "issued_on", "due_on", "figures"])
        told = write_entries(
            job, _facts_of(printed, row), currency=printed.billing.contract.currency, on=row.issued_on,
            at=paper.issued_at,
        )  # fmt: skip
        if mail_to:
            mail_paper(paper=paper, to=mail_to, by=by)
        record("invoice issued", job=job, paper=paper, actor=by, data=told_with(paper, told), at=paper.issued_at)
    return paper


def _facts_of(printed: PrintedBill, row: Invoice) -> list[Fact]:
    """What the bill brings into the books: itself, a credit that is put on it, what of the deposit is earned."""
    billing, currency = printed.billing, printed.billing.contract.currency
    amount = to_minor(printed.bill.total, currency)
    lefts = [(each.key, each.left) for each in billing.balances.payments if each.left > 0]
    spreads = spread_oldest_first(lefts, [(str(row), amount)])
    earned = newly_earned(billing, row.kind, printed.bill.total, row.done)
    return [
        Fact(kind=EntryKind.BILLED, amount=amount, invoice=row, paper=row.paper),
        *spread_facts(spreads, new=row),
        Fact(kind=EntryKind.EARNED, amount=earned, paper=row.paper),
    ]


def _made_from(invoice: Invoice) -> tuple[Any, ...]:
    """The state of everything that is on the bill: equal means unchanged."""
    billing = billing_of(invoice.job)
    return (
        *Invoice.objects.filter(pk=invoice.pk).values_list("version", "state"),
        billing.contract,
        *stands_on(Job.objects.select_related("property__customer").get(pk=invoice.job_id)),
    )


def _locked(invoice: Invoice) -> Invoice:
    try:
        row = lock_row(Invoice, invoice.pk)
    except Invoice.DoesNotExist as gone:
        raise NoDraft from gone
    if row.paper:
        raise BilledAlready(row.paper)
    return row


def usual_due(on: date) -> date:
    """The day on which a bill of this day is due, so many days later as the firm says."""
    days = Firm.objects.values_list("pay_days", flat=True).first()
    return on + timedelta(days=14 if days is None else days)
