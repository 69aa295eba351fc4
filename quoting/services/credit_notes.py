"""Taking a bill back, in whole or in part: by another paper that names it. The bill itself never changes."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.billing import BillingFault, credit
from quoting.core.books import EntryKind, from_minor, to_minor
from quoting.core.contracts import Agreed, added, taken_off
from quoting.core.spreading import released
from quoting.documents.billed import bill_of, figures_of
from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json
from quoting.documents.invoices import Account, BillStamp, credit_facts
from quoting.models import Firm, Invoice, Job, Paper, User, lock_row
from quoting.services.billing import Billing, billing_of, earned_before
from quoting.services.books import Fact, book_agreement, spread_facts, write_entries
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


class CantCredit(Exception):
    """So much of this bill can't be credited; the sentence says why."""


class CreditedMeanwhile(Exception):
    """Something of the bill was credited after the form was opened: by a second click, or by somebody else."""

    def __init__(self, number: str) -> None:
        super().__init__(f"Something of {number} was credited meanwhile. Look at it again; nothing more was credited.")


def usual_credit(invoice: Invoice) -> Decimal:
    """The sum that a credit note is proposed over: what is billed more than the contract now, where the bill still has
    so much; else all that is left of it.
    """
    left = left_of(invoice)
    over = -billing_of(invoice.job, ended_too=True).left
    return over if 0 < over < left else left


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedCredit:
    """A credit note that was printed, with all that it was made from."""

    invoice: Invoice
    billing: Billing
    credit: Agreed
    count: int
    stamp: BillStamp
    facts: Facts
    pdf: bytes
    made_from: tuple[Any, ...]


def left_of(invoice: Invoice) -> Decimal:
    """What of an issued bill is not credited, tax included."""
    return bill_of(invoice).total - credited_of(invoice).total


def credited_of(invoice: Invoice) -> Agreed:
    """All that was credited of a bill."""
    return added(bill_of(each) for each in Invoice.objects.issued().filter(credits=invoice.pk).order_by("pk"))


def credit_invoice(
    *,
    invoice: Invoice,
    amount: Decimal,
    left: Decimal,
    reason: str,
    by: User,
    mail_to: str = "",
    press: Press = print_facts,
) -> Paper:
    """Credit so much of an issued bill, tax included. `left` is what was not credited when the form was opened.

    What was paid on it beyond what it still comes to becomes the customer's credit again. It is printed outside any
    transaction. Raises CantCredit, CreditedMeanwhile, NoContract, StillMoving or a PaperNotPrinted; then nothing was
    issued.
    """
    return until_it_holds(lambda: _keep(_print(invoice, amount, left, reason, press), by, reason, mail_to))


def _print(invoice: Invoice, amount: Decimal, left: Decimal, reason: str, press: Press) -> PrintedCredit:
    row = Invoice.objects.select_related("job__property__customer", "paper").get(pk=invoice.pk)
    if row.state != Invoice.State.ISSUED or row.kind == Invoice.Kind.CREDIT:
        raise CantCredit("Only a bill that was issued can be credited.")
    if left_of(row) != left:
        raise CreditedMeanwhile(str(row))
    made_from = _made_from(row)
    firm = Firm.objects.get(pk=THE_FIRM)
    billing = billing_of(row.job, ended_too=True)
    currency = billing.contract.currency
    try:
        over = taken_off(billing.before, billing.contract.now)
        taken = credit(bill_of(row), credited_of(row), amount, over, currency)
    except BillingFault as fault:
        if left_of(row) != left:  # somebody credited it between the two looks
            raise CreditedMeanwhile(str(row)) from fault
        raise CantCredit(str(fault)) from fault
    now, count = timezone.now(), next_count(BILLS)
    stamp = BillStamp(number=bill_number(count, timezone.localdate(now)), issued_at=now)
    account = Account(
        contract=billing.contract,
        before=billing.before.total,
        paid_on_it=Decimal(0),
        earlier_due=Decimal(0),
        paid=from_minor(billing.balances.paid.amount, currency),
    )
    facts = credit_facts(
        firm=firm,
        job=row.job,
        credited=row,
        reason=reason,
        bill=taken,
        account=account,
        left=left - amount,
        stamp=stamp,
    )
    return PrintedCredit(
        invoice=row,
        billing=billing,
        credit=taken,
        count=count,
        stamp=stamp,
        facts=facts,
        pdf=press(facts, now),
        made_from=made_from,
    )


def _keep(printed: PrintedCredit, by: User, reason: str, mail_to: str) -> Paper:
    """Take the number and write everything, if nothing has changed since the note was printed."""
    with transaction.atomic():
        job = lock_row(Job, printed.invoice.job_id)
        lock_row(Firm, THE_FIRM)
        if _made_from(printed.invoice) != printed.made_from:
            raise Moved
        book_agreement(job)
        take_expected(BILLS, printed.count)
        paper = keep_paper(
            kind=Paper.Kind.CREDIT_NOTE,
            number=printed.stamp.number,
            job=job,
            facts=printed.facts,
            pdf=printed.pdf,
            issued_at=printed.stamp.issued_at,
            by=by,
        )
        currency = printed.billing.contract.currency
        note = Invoice.objects.create(
            job=job,
            kind=Invoice.Kind.CREDIT,
            state=Invoice.State.ISSUED,
            paper=paper,
            credits=printed.invoice,
            amount=printed.credit.total,
            issued_on=timezone.localdate(printed.stamp.issued_at),
            reason=reason,
            figures=canonical_json(figures_of(printed.credit, currency)),
            drafted_by=by,
        )
        told = write_entries(
            job, _facts_of(printed, paper), currency=currency, on=note.issued_on or timezone.localdate(),
            at=paper.issued_at,
        )  # fmt: skip
        if mail_to:
            mail_paper(paper=paper, to=mail_to, by=by)
        record("credit-note issued", job=job, paper=paper, actor=by, data=told_with(paper, told), at=paper.issued_at)
    return paper


def _facts_of(printed: PrintedCredit, paper: Paper) -> list[Fact]:
    """What the note brings into the books: itself, what was paid beyond what is left, a deposit that is not earned."""
    billing, invoice = printed.billing, printed.invoice
    amount = to_minor(printed.credit.total, billing.contract.currency)
    stands = billing.balances.invoice(str(invoice))
    over = max(stands.paid - (stands.billed + stands.credited - amount), 0)
    facts = [Fact(kind=EntryKind.CREDITED, amount=-amount, invoice=invoice, paper=paper)]
    facts += spread_facts(released(billing.entries, str(invoice), over))
    if invoice.kind == Invoice.Kind.DEPOSIT:
        deposit = to_minor(billing.deposit_billed, billing.contract.currency) - amount
        facts.append(Fact(kind=EntryKind.EARNED, amount=min(deposit - earned_before(billing), 0), paper=paper))
    return facts


def _made_from(invoice: Invoice) -> tuple[Any, ...]:
    job = Job.objects.select_related("property__customer").get(pk=invoice.job_id)
    return (billing_of(job, ended_too=True).contract, *stands_on(job))
