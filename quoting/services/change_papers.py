"""Issuing a change order: printed first, numbered and kept with its scopes in one short transaction."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.scope_file import write_scope
from quoting.core.workings_file import workings_data
from quoting.documents.change_orders import WorkedChange, change_facts
from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.documents.invoices import BillStamp
from quoting.documents.numbering import change_number
from quoting.models import Area, ChangedMeanwhile, ChangeOrder, Edition, Firm, Job, Paper, PaperScope, User, lock_row
from quoting.services.change_orders import NotDrafted, NotStanding
from quoting.services.change_scope import agreed_scope, edition_for, work_out_change
from quoting.services.contracts import contract_of
from quoting.services.firm import THE_FIRM
from quoting.services.issue import print_facts, told_of
from quoting.services.money_papers import Moved, keep_paper, mail_paper, stands_on, until_it_holds
from quoting.services.trail import record

State = ChangeOrder.State
OWN_STAGES = ("before", "kept")
"""The stages that are priced as it was agreed, whatever the added work is priced with."""


class IssuedAlready(Exception):
    """This draft was issued before: by a second click, or by somebody else at the same moment."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        super().__init__(f"{paper.number} is issued already. There is one paper, and this is it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedChange:
    """A change order that was printed, with all that it was made from."""

    row: ChangeOrder
    of: WorkedChange
    facts: Facts
    pdf: bytes
    number: str
    issued_at: datetime
    agreed_edition: str
    made_from: tuple[Any, ...]


def issue_change(*, row: ChangeOrder, version: int, by: User, mail_to: str = "") -> Paper:
    """Issue the draft with the folder's next number of a change; from then on it never changes.

    With `mail_to` the mail that brings it is written in the same transaction. It is printed outside any transaction, so
    do not call this inside one. Raises ChangedMeanwhile, IssuedAlready, NotDrafted, NoContract, NotWorkable,
    DoesNotAddUp, StillMoving or a PaperNotPrinted; in each case nothing was issued, and no number is lost.
    """
    return until_it_holds(lambda: _keep(print_change(row=row, version=version), by, mail_to))


def preview_change(*, row: ChangeOrder) -> bytes:
    """The draft as a PDF, marked as a draft; nothing is kept. Raises as issuing does."""
    return print_change(row=row, version=None).pdf


def print_change(*, row: ChangeOrder, version: int | None) -> PrintedChange:
    """Work the draft out and print it with the number that it will get; without a version, marked as a draft."""
    found = ChangeOrder.objects.select_related("job__property__customer", "paper").filter(pk=row.pk).first()
    if found is None:
        raise NotDrafted("This draft", "thrown away")
    if found.paper:
        raise IssuedAlready(found.paper)
    if version is not None and found.version != version:
        raise ChangedMeanwhile(found)
    made_from = _made_from(found)
    of = work_out_change(found)
    now = timezone.now()
    number = change_number(found.job.number, _count(found.job) + 1)
    facts = change_facts(
        firm=Firm.objects.get(pk=THE_FIRM),
        job=found.job,
        row=ChangeOrder.objects.prefetch_related("added__system", "added__areas").get(pk=found.pk),
        of=of,
        stamp=BillStamp(number=number, issued_at=now, is_draft=version is None),
    )
    return PrintedChange(
        row=found,
        of=of,
        facts=facts,
        pdf=print_facts(facts, now),
        number=number,
        issued_at=now,
        agreed_edition=agreed_scope(found.job).edition,
        made_from=made_from,
    )


def mail_change(*, row: ChangeOrder, to: str, by: User, once: str) -> None:
    """Put the mail that brings an issued change order into the outbox, once whatever is clicked twice."""
    if row.paper is None:
        raise NotStanding(row)
    with transaction.atomic():
        mail_paper(paper=row.paper, to=to, by=by, once=once)


def _keep(printed: PrintedChange, by: User, mail_to: str) -> Paper:
    """Take the number and write everything, if nothing has changed since the change order was printed."""
    with transaction.atomic():
        job = lock_row(Job, printed.row.job_id)
        row = lock_row(ChangeOrder, printed.row.pk)
        lock_row(Firm, THE_FIRM)
        if row.paper:
            raise IssuedAlready(row.paper)
        if _made_from(row) != printed.made_from:
            raise Moved
        paper = keep_paper(
            kind=Paper.Kind.CHANGE,
            number=printed.number,
            job=job,
            facts=printed.facts,
            pdf=printed.pdf,
            issued_at=printed.issued_at,
            by=by,
        )
        scopes = PaperScope.objects.bulk_create(_scope_rows(printed, paper))
        row.claim(row.version)
        row.state, row.paper = State.ISSUED, paper
        row.save(update_fields=["state", "paper"])
        if mail_to:
            mail_paper(paper=paper, to=mail_to, by=by)
        told = told_of(paper, scopes)
        record("change-order issued", job=job, paper=paper, actor=by, data=told, at=paper.issued_at)
    return paper


def _scope_rows(printed: PrintedChange, paper: Paper) -> list[PaperScope]:
    rows = []
    for place, (stage, workings) in enumerate(printed.of.worked.items()):
        scope, text = write_scope(workings.scope), canonical_json(workings_data(workings))
        rows.append(
            PaperScope(
                paper=paper,
                position=place,
                role=stage,
                name=printed.row.title,
                edition=printed.agreed_edition if stage in OWN_STAGES else printed.of.edition,
                scope=scope,
                scope_sha256=sha256_of(scope),
                workings=text,
                workings_sha256=sha256_of(text),
            )
        )
    return rows


def _made_from(row: ChangeOrder) -> tuple[Any, ...]:
    """The state of everything that is on the change order: equal means unchanged."""
    job = Job.objects.select_related("property__customer").get(pk=row.job_id)
    agreed = agreed_scope(job)
    areas = Area.objects.filter(pk__in=row.added.values("areas")).order_by("pk")
    return (
        *ChangeOrder.objects.filter(pk=row.pk).values_list("version", "state"),
        contract_of(job),
        agreed,
        _count(job),
        *Edition.objects.filter(pk=edition_for(row, agreed).pk).values_list("pk", "version"),
        *areas.values_list("pk", "version"),
        *stands_on(job),
    )


def _count(job: Job) -> int:
    return Paper.objects.filter(job=job, kind=Paper.Kind.CHANGE).count()
