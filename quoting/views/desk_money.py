"""The desk's lines about changes and money: what waits for an answer, for days, for a bill or to be paid, each with its
one next act. For owner and office; in a number of queries that does not grow."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch
from django.urls import reverse
from django.utils import timezone

from quoting.core.books import EntryKind, from_minor
from quoting.documents.contexts import sum_text
from quoting.models import Acceptance, BookEntry, ChangeOrder, Invoice, Job, Message, Paper, PaperScope, Proposal, Visit
from quoting.models.jobs import JobQuerySet
from quoting.services.change_scope import STANDS
from quoting.services.owed import Due, dues_of
from quoting.views.desk_words import PATIENCE, call, day_words, days_words, since_words

MOST = 200
"""The newest that are looked at of each kind; all others stand in the lists of folders and of bills."""

AGAIN = 7
"""Days after a reminder from which a telephone call is the next act. Common practice, no published source."""

LASTS = (Invoice.Kind.FINAL, Invoice.Kind.SINGLE)
PUT = {EntryKind.AGREED.value: 1, EntryKind.CHANGED.value: 1, EntryKind.BILLED.value: -1, EntryKind.CREDITED.value: -1}
"""How the entries of a contract count for what of it is not billed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyLine:
    """Something about money that waits in a folder: what, on which paper, since when, and the act."""

    job: Job
    words: str
    paper: str
    state: str
    days: int
    act: str
    url: str
    since: str = ""
    late: bool = False


def money_lines(jobs: JobQuerySet, today: date) -> list[MoneyLine]:
    """All lines of these folders: what is late first, then what has waited longest."""
    dues = dues_of()
    lines = [*_changes(jobs, today), *_overdue(jobs, dues, today), *_contracts(jobs, dues, today)]
    return sorted(lines, key=lambda line: (not line.late, -line.days))


def _open_contracts(jobs: JobQuerySet) -> JobQuerySet:
    """The newest folders of which the last bill was not issued yet."""
    last = Invoice.objects.issued().filter(job=OuterRef("pk"), kind__in=LASTS)
    return jobs.filter(~Exists(last), proposals__state=Proposal.State.ACCEPTED)


def _changes(jobs: JobQuerySet, today: date) -> Iterator[MoneyLine]:
    """Changes that wait for an answer, and the last accepted one of each folder if its days are not laid."""
    issued, accepted = ChangeOrder.State.ISSUED, ChangeOrder.State.ACCEPTED
    scopes = PaperScope.objects.filter(role__in=STANDS).only("paper_id", "role", "scope_sha256")
    mails = Message.objects.filter(kind=Message.Kind.CHANGE).only("paper_id")
    rows = (
        ChangeOrder.objects.with_paper()
        .filter(job__in=jobs, state__in=[issued, accepted])
        .filter(Exists(_open_contracts(jobs).filter(pk=OuterRef("job"))))
        .select_related("job__property__customer", "job__day_plan")
        .prefetch_related(
            Prefetch("paper__scopes", queryset=scopes), Prefetch("paper__messages", queryset=mails, to_attr="mails")
        )
        .order_by("-paper__issued_at", "-pk")[:MOST]
    )
    planned: set[int] = set()
    for row in rows:
        if row.paper is None:
            continue
        if row.state == issued:
            yield _unanswered(row, row.paper, today)
        elif row.job_id not in planned:
            planned.add(row.job_id)
            if not _is_planned(row, row.paper):
                yield _unplanned(row, row.paper, today)


def _unanswered(row: ChangeOrder, paper: Paper, today: date) -> MoneyLine:
    days = (today - timezone.localdate(paper.issued_at)).days
    words = f"The change “{row.title}” waits for their answer."
    act, url = "Open the change", reverse("change", args=[row.job.number, row.pk])
    if not paper.mails and row.job.property.customer.email:  # type: ignore[attr-defined]
        words = f"The change “{row.title}” is issued, not mailed yet."
        act, url = "Mail it", reverse("change-send", args=[row.job.number, row.pk])
    elif days >= PATIENCE:
        act, url = call(row.job)
    return MoneyLine(
        job=row.job, words=words, paper=paper.number, state="issued", days=days, since=since_words(days), act=act,
        url=url,
    )  # fmt: skip


def _is_planned(row: ChangeOrder, paper: Paper) -> bool:
    """Whether the days were laid for what is agreed with this change; so is a change that takes all work out."""
    stages = {scope.role: scope.scope_sha256 for scope in paper.scopes.all()}
    if "after" not in stages and json.loads(paper.facts).get("all_out"):
        return True
    plan = getattr(row.job, "day_plan", None)
    return plan is not None and plan.scope_sha256 == next((stages[role] for role in STANDS if role in stages), "")


def _unplanned(row: ChangeOrder, paper: Paper, today: date) -> MoneyLine:
    days = (today - timezone.localdate(paper.issued_at)).days
    laid = getattr(row.job, "day_plan", None) is not None
    return MoneyLine(
        job=row.job, words=f"The change “{row.title}” is accepted; its days are not planned yet.", paper=paper.number,
        state="accepted", days=days, since=since_words(days), act="Lay the days again" if laid else "Lay the days",
        url=reverse("visits", args=[row.job.number]),
    )  # fmt: skip


def _overdue(jobs: JobQuerySet, dues: dict[int, Due], today: date) -> Iterator[MoneyLine]:
    """Bills that are past their day: a reminder first, some days after it a call."""
    late = [due for due in dues.values() if due.amount > 0 and due.due_on and due.due_on < today][:MOST]
    mails = Message.objects.filter(kind=Message.Kind.REMINDER).only("paper_id", "written_at").order_by("-written_at")
    found = Invoice.objects.with_paper().filter(job__in=jobs, pk__in=[due.invoice for due in late])
    bills = {row.pk: row for row in found.prefetch_related(Prefetch("paper__messages", mails, to_attr="reminders"))}
    for due in late:
        bill = bills.get(due.invoice)
        if bill is None or due.due_on is None or bill.paper is None:
            continue
        days, currency = (today - due.due_on).days, json.loads(bill.figures)["currency"]
        reminders: list[Message] = bill.paper.reminders  # type: ignore[attr-defined]
        act, url, told = "Draft a reminder", reverse("bill-remind", args=[due.number]), ""
        if reminders:
            last = timezone.localdate(reminders[0].written_at)
            told = f" Reminded on {day_words(last)}."
            if today - last >= timedelta(days=AGAIN):
                act, url = call(bill.job)
            else:
                act, url = "Open the bill", reverse("bill", args=[due.number])
        elif not bill.job.property.customer.email:
            act, url = call(bill.job)
        words = f"{sum_text(from_minor(due.amount, currency), currency)} was due on {day_words(due.due_on)}.{told}"
        yield MoneyLine(
            job=bill.job, words=words, paper=due.number, state="overdue", days=days, since=f"{days_words(days)} over",
            act=act, url=url, late=True,
        )  # fmt: skip


def _contracts(jobs: JobQuerySet, dues: dict[int, Due], today: date) -> Iterator[MoneyLine]:
    """Accepted work: its deposit, and what is done and not billed."""
    bills = Invoice.objects.with_paper().exclude(kind__in=[Invoice.Kind.CREDIT, Invoice.Kind.INTEREST]).order_by("pk")
    entries = BookEntry.objects.filter(kind__in=PUT).exclude(invoice__kind=Invoice.Kind.INTEREST)
    rows = (
        _open_contracts(jobs)
        .with_place()
        .prefetch_related(
            Prefetch("invoices", queryset=bills, to_attr="bills"),
            Prefetch("book", queryset=entries.only("job_id", "kind", "amount"), to_attr="put"),
            Prefetch("visits", queryset=Visit.objects.only("job_id", "number", "state", "day"), to_attr="days"),
            Prefetch("papers", queryset=_handed_over(), to_attr="handed_over"),
        )
        .order_by("-pk")
        .distinct()[:MOST]
    )
    standing = Acceptance.objects.filter(paper__job__in=[job.pk for job in rows])
    standing = standing.filter(paper__proposal__state=Proposal.State.ACCEPTED).select_related("paper")
    agreed = {each.paper.job_id: each for each in standing.defer("paper__pdf", "paper__facts").order_by("confirmed_at")}
    for job in rows:
        if job.pk in agreed and (line := _contract(job, agreed[job.pk], dues, today)):
            yield line


def _handed_over() -> Any:
    return Paper.objects.filter(kind=Paper.Kind.HAND_OVER).only("job_id", "issued_at").order_by("-issued_at")


def _contract(job: Job, yes: Acceptance, dues: dict[int, Due], today: date) -> MoneyLine | None:
    """The line of one contract: first what is done and not billed, then its deposit."""
    figures = json.loads(yes.figures)
    currency, payments = figures["currency"], figures["payments"]
    bills: list[Invoice] = job.bills  # type: ignore[attr-defined]
    left = from_minor(sum(PUT[each.kind] * each.amount for each in job.put), currency)  # type: ignore[attr-defined]
    draft = next((bill for bill in bills if bill.state == Invoice.State.DRAFTED), None)
    issued = [bill for bill in bills if bill.state == Invoice.State.ISSUED]
    act = ("Go on with the draft", reverse("bill-draft", args=[job.number])) if draft else (
        "Draft the bill", f"{reverse('job-money', args=[job.number])}#payments"
    )  # fmt: skip
    if left > 0 and (found := _done(job, left, sum_text(left, currency), today)):
        words, days = found
        return MoneyLine(
            job=job, words=words, paper=yes.paper.number, state="accepted", days=days, since=since_words(days),
            act=act[0], url=act[1],
        )  # fmt: skip
    deposit = Decimal(payments[0]["amount"]) if len(payments) > 1 else Decimal(0)
    if not issued and deposit:
        days = (today - timezone.localdate(yes.confirmed_at)).days
        return MoneyLine(
            job=job, words=f"Accepted; the deposit of {sum_text(deposit, currency)} is not billed yet.",
            paper=yes.paper.number, state="accepted", days=days, since=since_words(days), act=act[0], url=act[1],
        )  # fmt: skip
    return _unpaid_deposit(job, issued, dues, currency, today)


def _done(job: Job, left: Decimal, said: str, today: date) -> tuple[str, int] | None:
    """What is said of work that is done and not billed, and for how many days: all of it, or handed over."""
    days: list[Visit] = job.days  # type: ignore[attr-defined]
    papers: list[Paper] = job.handed_over  # type: ignore[attr-defined]
    if papers:
        return f"Handed over; {said} of the contract is not billed.", (
            today - timezone.localdate(papers[0].issued_at)
        ).days  # fmt: skip
    if days and all(visit.state == Visit.State.DONE for visit in days):
        last = max(visit.day for visit in days)
        return f"All visits are done; {said} of the contract is not billed.", max((today - last).days, 0)
    return None


def _unpaid_deposit(
    job: Job, issued: list[Invoice], dues: dict[int, Due], currency: str, today: date
) -> MoneyLine | None:
    """A deposit that is billed, not paid and not yet overdue."""
    for bill in issued:
        due = dues.get(bill.pk)
        if bill.kind != Invoice.Kind.DEPOSIT or due is None or due.due_on is None or due.due_on < today:
            continue
        days = (today - (bill.issued_on or today)).days
        amount = sum_text(from_minor(due.amount, currency), currency)
        words = f"The deposit of {amount} is not paid yet; it is due on {day_words(due.due_on)}."
        return MoneyLine(
            job=job, words=words, paper=due.number, state="issued", days=days, since=since_words(days),
            act="Enter the payment", url=reverse("payment-enter", args=[job.number]),
        )  # fmt: skip
    return None
